//! Number types of the equations.
//!
//! The equations of tires, cars and drivers are written once, generic over [`Real`]. `f64` runs one
//! car, [`Lanes`] run several side by side, [`Dual`] carries exact first derivatives. Nothing here
//! is physical.
//!
//! - `real`: the trait [`Real`].
//! - [`elementary`]: sine, cosine, arctangent, exponential, hyperbolic tangent, logarithm and
//!   powers from a few exact operations, the same digits for every number type on every platform.
//! - [`lone`]: the same functions for plain `f64` code outside a [`LaneTask`] or [`FusedTask`].
//! - `double`: `f64` as a number of the equations.
//! - `dual`: forward-mode derivatives ([`Dual`]).
//! - `lanes`: several numbers in one vector register ([`Lanes`]).
//! - `width`, `dispatch`, `x86`: the widths of lanes, their choice at run time, their instructions.
//! - `vector`: three-component vectors and rotations.
//! - [`numbers`](mod@numbers): structs of numbers that can be lifted from `f64` to another number
//!   type.

mod dispatch;
mod double;
mod dual;
pub mod elementary;
mod lanes;
pub mod lone;
pub mod numbers;
mod real;
mod vector;
mod width;
#[cfg(all(target_arch = "x86_64", not(debug_assertions)))]
mod x86;

pub use dispatch::{dispatch, dispatch_any, fused};
pub use dual::{Dual, Slope};
pub use lanes::{FusedTask, LANES, LaneRow, LaneTask, Lanes};
pub use numbers::Lift;
pub use real::Real;
pub use vector::{Mat3, Vec3};
pub use width::{WIDTH_VARIABLE, Width};
