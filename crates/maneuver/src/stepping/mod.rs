//! Time integration of `x' = f(t, x)` over flat arrays.
//!
//! - [`rk4`]: the classical fixed-step method, generic over the number type.
//! - [`lagged`]: the same with pure lags taken exactly; what sweeps run on.
//! - [`rows`]: its stages for several cars side by side.
//! - [`dopri5`]: the adaptive method of Dormand and Prince with dense output.
//! - [`event`]: the moment at which a function of the state changes sign inside a step.
//! - [`reference`]: an independent adaptive integrator, the oracle that both are checked against.
//!
//! None of them allocates while it steps, except the reference. A jump or a kink of the input must be
//! the boundary between two calls: no method keeps its order across one.

pub mod dopri5;
pub mod event;
pub mod lagged;
pub mod reference;
pub mod rk4;
pub mod rows;

pub use dopri5::{Dopri5, Step, SteppingError};
pub use lagged::{Weights, lagged_step};
pub use rk4::{rk4_run, rk4_step};
