//! A car driven along a given path by a driver with preview.
//!
//! The preview gains come from the car's own linearization at the speed, so that every car gets a
//! driver who knows it. This is not enough to compare cars near their limit: the result then
//! measures the stability of the driver, and the steering itself must be optimized for each car.
//!
//! - `settings`: the maneuver's settings.
//! - `driver`: the driver on the path.
//! - `drive`: the drives and the metrics.

mod drive;
mod driver;
mod settings;

pub use settings::{FollowPath, Preview};
