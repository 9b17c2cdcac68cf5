//! The parts of a linkage as constraint equations.

mod bodies;
mod build;
mod check;
mod constraint;
mod equations;
mod state;

pub(crate) use bodies::{Bodies, lift};
pub(crate) use check::{axis_direction, sleeve_of};
pub(crate) use constraint::Constraint;
pub use equations::Mechanism;
pub use state::{Carried, MEMBERS, MechanismState, PerUnknown, UNKNOWNS};
