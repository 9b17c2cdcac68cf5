//! Fuzz harnesses of the two parsers: the text of a car file, and quantities with their units.
//!
//! A case is a number: it seeds the generator of one input. A bounded test runs the first cases and
//! the inputs of `regressions`; `AXLETREE_FUZZ_CASES` runs more of them, `AXLETREE_FUZZ_FIRST`
//! begins later, which resumes a long run and repeats a single case. Every input ends in a car or a
//! quantity that reads back exactly, or in faults that can be shown; nothing panics; work grows no
//! faster than the text, counted in allocations.

mod car_text;
mod cases;
mod mutate;
mod quantity_text;
mod shown;
