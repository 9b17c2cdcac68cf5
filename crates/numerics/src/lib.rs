//! Numerical methods that Axletree's crates share. Nothing here knows anything physical.
//!
//! - [`stepping`]: fixed-step time integration that takes pure lags exactly, for one car or several side by side.
//! - [`adaptive`]: an independent adaptive integrator, the reference for the fixed step.
//! - [`exponential`]: the matrix exponential.
//! - [`Lu`]: square linear systems of a size known to the compiler.
//! - [`riccati`]: algebraic Riccati equations.
//! - [`qp`]: small quadratic programs.
//! - [`sqp`]: sequential quadratic programming where every evaluation is a simulation.
//! - [`spline`]: interpolating curves.
//! - [`root`]: a zero between two points.
//! - [`interrupt`]: cancellation and progress of long computations.

pub mod adaptive;
mod exponential;
pub mod interrupt;
mod lu;
pub mod qp;
pub mod riccati;
pub mod root;
pub mod spline;
pub mod sqp;
pub mod stepping;

pub use exponential::exponential;
pub use interrupt::Interrupt;
pub use lu::{Lu, Square};
