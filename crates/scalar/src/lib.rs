//! The number types that Axletree's equations run on.
//!
//! The equations of tires, cars and drivers are written once, generic over [`Real`]. `f64` runs one
//! car, [`Lanes`] run several side by side, [`Dual`] carries exact first derivatives with it. Nothing here knows anything physical.
//!
//! - [`real`]: the trait, one page long.
//! - [`elementary`]: sine, cosine, arctangent, exponential, hyperbolic tangent from a few primitive
//!   operations, so that every number type computes the same digits on every platform.
//! - [`lanes`]: several numbers in one vector register, chosen at run time.
//! - [`dual`]: forward-mode derivatives.
//! - [`count`]: numbers that count what is done with them.
//! - [`vector`]: three-component vectors and rotations.
//! - [`numbers`]: structs of numbers that can be lifted from `f64` to another number type.

pub mod count;
pub mod dual;
pub mod elementary;
pub mod lanes;
pub mod numbers;
pub mod real;
pub mod vector;
#[cfg(target_arch = "x86_64")]
mod x86;

pub use dual::{Dual, Slope};
pub use lanes::{LANES, Lanes, Row};
pub use numbers::Lift;
pub use real::Real;
pub use vector::{Mat3, Vec3};
