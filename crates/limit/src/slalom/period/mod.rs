//! One period of the rhythm: two cones.
//!
//! - `plant`: car and driver along the course.
//! - `trajectories`: batches of trajectories, as many side by side as there are lanes.
//! - `harmonics`: the learned steering.
//! - `orbit`: a period, its start and its constraints.
//! - `sensitivity`: derivatives of a period.
//! - `closure`: closing an orbit.
//! - `summary`: quantities of a closed orbit.

mod closure;
mod harmonics;
mod orbit;
mod plant;
mod sensitivity;
mod summary;
mod trajectories;

pub use harmonics::HarmonicSteering;

pub(crate) use closure::close_from_rough_start;
pub(crate) use orbit::{CLEARANCES, CONSTRAINTS, Lap, OrbitDesign, Period, PeriodStart};
pub(crate) use plant::{CRUISE, HANDS, Plant, PlantState, TIME};
pub(crate) use sensitivity::{Sensitivity, step_between};
pub(crate) use summary::{record, summarize};
pub(crate) use trajectories::{GridPoint, StatePoint, Trajectory};

#[cfg(test)]
pub(crate) use orbit::SLOW_STATES;
#[cfg(test)]
pub(crate) use plant::LENGTH;
