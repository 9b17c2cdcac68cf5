//! Numerical methods that Axletree's crates share. Nothing here knows anything physical.
//!
//! - `exponential`: the matrix exponential.
//! - `small_lu`: small square systems of a size known at run time.

mod exponential;
mod small_lu;

pub use exponential::exponential;
pub use small_lu::{SmallLu, SmallMatrix};
