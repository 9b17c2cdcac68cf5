//! Equilibrium: the car in steady motion, straight ahead, in a corner, gaining or losing speed.
//!
//! Unknowns are height, pitch, roll, travels, velocity and angular velocity of the body, spins,
//! deflections, lags, wind-up, twists, driveline speed, the steering wheel's angle and the drive
//! torque:
//! 41. Equations: the body keeps its height and attitude (3), `v' = lambda v` and `w' = 0` (6),
//!     travels rest (4), spins, housing and driveline gain speed with the car,
//!     `Omega' = lambda Omega` (6), deflections, lags, wind-up and twists rest (20), speed and
//!     lateral acceleration have their prescribed values (2). The engine rests:
//!     [`gear_equilibrium`](crate::gear_equilibrium()) puts it in place of the drive torque.
//!     `lambda = a_x / V` makes the speed grow at a_x without change of sideslip; it is zero in
//!     steady motion.
//!
//! Newton's method with exact derivatives and a line search. Large accelerations are approached in
//! steps, so that the solution is the equilibrium that continues from straight running.

mod condition;
mod equations;
mod newton;
mod report;
mod search;

pub use condition::{Condition, Trim, TrimError};
pub use equations::{Slowing, TRIM_SCALES, TRIM_UNKNOWNS, jacobian, pack, residual, unpack};
pub use newton::NewtonWork;
pub use report::TrimReport;
pub use search::{Equilibria, refine, solve};
