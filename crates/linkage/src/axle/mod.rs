//! Locations of a solid axle, each a list of parts.
//!
//! A rod is described on the left side; [`pair`] adds its mirror image. The parts must leave two of
//! the axle's six degrees of freedom, heave and roll, so they remove four.
//!
//! | location | parts | removed |
//! | --- | --- | --- |
//! | triangulated four-link | two lower, two angled upper | 4 |
//! | three links and Panhard bar | two lower, one upper, one across | 4 |
//! | torque arm | two lower, one guide of height, one across | 4 |
//! | four parallel links and Panhard bar | four along, one across | 5: over-constrained |
//! | five links | four along of unequal slopes, one across | 5: over-constrained |
//!
//! The link across is a Panhard bar or a Watt's linkage.

mod five_link;
mod four_link;
mod panhard;
mod rod;
mod three_link;
mod torque_arm;
mod watts;

pub use five_link::FiveLink;
pub use four_link::FourLink;
pub use panhard::Panhard;
pub use rod::{Rod, pair};
pub use three_link::ThreeLink;
pub use torque_arm::TorqueArm;
pub use watts::Watts;
