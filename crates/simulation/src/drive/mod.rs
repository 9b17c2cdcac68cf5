//! Integration of a car and its controls along a schedule.
//!
//! - [`Controls`], [`Action`]: the controls of a car.
//! - [`Schedule`], [`Validity`]: times and limits of a drive.
//! - [`Integrator`]: fixed steps, or adaptive ones between the points of the same time grid.
//! - [`step_for`], [`step_at`], [`FIXED_STEP`], [`LONGEST_STEP`]: step lengths.
//! - [`drive()`], [`drive_on`]: one car.
//! - [`drive_batch`]: many cars side by side.
//! - [`join_states`], [`split_states`], [`Drive`]: states of car and controls together, and the end of a drive.
//!
//! The state x of the car and the controls' own K states are integrated as one array, `x' = f(t,
//! x)` with f from [`joint_rate_on`]. A car driven with others computes the same bits as one driven
//! alone.

mod batch;
mod controls;
mod integrator;
mod joined;
mod schedule;
mod single;
mod state;
mod step;

pub use batch::{Job, drive_batch};
pub use controls::{Action, Controls};
pub use integrator::{ADAPTIVE_TOLERANCE, Integrator};
pub use joined::{Drive, join_states, split_states};
pub use schedule::{Schedule, Validity};
pub use single::{drive, drive_on, joint_rate_on};
pub use step::{FIXED_STEP, LONGEST_STEP, step_at, step_for};
