//! Numerical methods that Axletree's crates share. Nothing here knows anything physical.
//!
//! - `exponential`: the matrix exponential.

mod exponential;

pub use exponential::exponential;
