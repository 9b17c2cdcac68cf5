//! Positions of a mechanism over its travel.

mod diagnose;
mod newton;
mod position;
mod relaxed;
mod solver;

#[cfg(test)]
pub(crate) use position::work;
pub use position::{Position, Rates};
pub use solver::Solver;
