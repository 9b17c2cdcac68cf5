//! Searches for a limit: the driver is optimized for each car.
//!
//! - [`Slalom`]: the highest speed that can be kept up in rhythm through a row of cones.
//! - [`DoubleLaneChange`]: the highest entry speed, after ISO 3888-1 and -2.
//! - [`CornerExit`]: the shortest time out of a corner under power.
//!
//! Private modules: `cones`, the clearance of a car's outline to cones; `trajectory`, searches
//! over a steering spline.

mod cones;
mod corner_exit;
mod double_lane_change;
mod slalom;
mod trajectory;

pub use corner_exit::CornerExit;
pub use double_lane_change::{ConeLane, DoubleLaneChange, LaneChangeCourse};
pub use slalom::{
    CourseRun, HarmonicSteering, OrbitSummary, Slalom, SlalomDriver, SlalomLimit, TopSpeed,
};
