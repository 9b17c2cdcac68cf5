//! Cones and the clearance of a car's outline to them.
//!
//! - `outline`: the rectangle that stands for the car.
//! - `clearance`: a cone, and the least clearance of a pass.

mod clearance;
mod outline;

pub(crate) use clearance::{Cone, ConePass};
pub(crate) use outline::Outline;
