//! Numerical methods that Axletree's crates share. Nothing here knows anything physical.
//!
//! - `exponential`: the matrix exponential.
//! - `lu`: square linear systems of a size known to the compiler.

mod exponential;
mod lu;

pub use exponential::exponential;
pub use lu::{Lu, Square};
