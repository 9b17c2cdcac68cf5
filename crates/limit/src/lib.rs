//! Searches for a limit: the driver is optimized for each car.
//!
//! - [`slalom`]: the fastest rhythm through a row of cones.
//! - [`double_lane_change`]: the highest entry speed, after ISO 3888-1 and -2.
//! - [`corner_exit`]: the fastest way out of a corner under power.
//! - [`cones`]: clearance of a car's outline to cones.

pub mod cones;
pub mod corner_exit;
pub mod double_lane_change;
pub mod slalom;

pub use corner_exit::CornerExit;
pub use double_lane_change::DoubleLaneChange;
pub use slalom::Slalom;
