//! Fixed-step time integration of `x' = f(t, x)` over flat arrays.
//!
//! - [`lagged`]: the classical Runge-Kutta method with pure lags taken exactly; what sweeps run on.
//! - [`rows`]: its stages for several cars side by side.
//!
//! No step allocates. A jump or a kink of the input must be the boundary between two calls: no method keeps
//! its order across one.

pub mod lagged;
pub mod rows;

pub use lagged::{Weights, lagged_step};
