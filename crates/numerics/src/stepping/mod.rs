//! Fixed-step time integration of `x' = f(t, x)` over flat arrays.
//!
//! - [`lagged`]: the classical Runge-Kutta method with exact pure lags.
//! - [`rows`]: its stages for several systems side by side.
//!
//! No step allocates. A jump or a kink of the input must lie between two steps: no method keeps its
//! order across one.

pub mod lagged;
pub mod rows;

pub use lagged::{Weights, lagged_step};
