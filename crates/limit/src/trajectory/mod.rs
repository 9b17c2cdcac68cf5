//! Searches for the best trajectory of one car along a course.
//!
//! The steering-wheel angle that the driver asks for is a uniform cubic B-spline over the station;
//! its coefficients and a few more unknowns (entry speed, throttle point, ...) are optimized. No
//! driver gains are involved, so a search compares cars, not the stability of a driver with them.
//!
//! - `course`: definition of such a search by a maneuver.
//! - `drive`: one simulation, and batches of simulations that differ only from some station on.
//! - `problem`: objective and constraints as [`axletree_numerics::sqp`] takes them.

mod course;
mod drive;
mod problem;

pub(crate) use course::{JOINT, SplineCourse, ending_of};
pub(crate) use drive::{drive_design, drive_neighbors};
pub(crate) use problem::{TrajectoryObjective, TrajectoryProblem, TrajectoryScore, smoothing};
