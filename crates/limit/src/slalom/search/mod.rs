//! Search for the fastest orbit, or for the one of largest clearance at a prescribed speed.
//!
//! - `start`: the first orbit of a car.
//! - `problem`: objective, constraints and penalty.
//! - `proposal`: quadratic subproblems, trials and curvature.
//! - `fastest`: the iteration.
//! - `at_speed`: continuation to a prescribed speed.

mod at_speed;
mod fastest;
mod problem;
mod proposal;
mod start;

pub(crate) use at_speed::widest_at_speed;
pub(crate) use fastest::search;
pub(crate) use problem::{FoundOrbit, SearchAim, SearchError};
pub(crate) use start::{StartedSearch, first_orbit};

#[cfg(test)]
pub(crate) use start::linear_start;
