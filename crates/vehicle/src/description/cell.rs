//! The value of one entry.

/// One entry's value.
#[derive(Clone, Debug)]
pub enum Cell {
    /// A number in SI units, with the text it was written as where there is one.
    Number {
        /// SI value.
        si: f64,
        /// As written, with its unit.
        written: Option<Box<str>>,
    },
    /// A text or a choice.
    Text(Box<str>),
}

/// Two values are equal if they are the same number or text, however written.
impl PartialEq for Cell {
    fn eq(&self, other: &Cell) -> bool {
        match (self, other) {
            (Cell::Number { si: a, .. }, Cell::Number { si: b, .. }) => a == b,
            (Cell::Text(a), Cell::Text(b)) => a == b,
            _ => false,
        }
    }
}
