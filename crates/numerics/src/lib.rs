//! Numerical methods that Axletree's crates share. Nothing here knows anything physical.
//!
//! - [`exponential()`]: the matrix exponential.
//! - [`least_squares()`]: the minimum of a sum of squares between limits.

mod exponential;
mod least_squares;

pub use exponential::exponential;
pub use least_squares::{LeastSquares, least_squares};
