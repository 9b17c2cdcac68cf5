//! Launch: from rest over a distance as fast as the rear tires let the car go.
//!
//! - `settings`: the maneuver's settings.
//! - `throttle`: throttle, clutch, and the hands that keep the car straight.
//! - `hop`: shaking of the driveline.
//! - `results`: the metrics.
//! - `drive`: the drives, gear after gear.

mod drive;
mod hop;
mod results;
mod settings;
mod throttle;

pub use settings::{Launch, LaunchMethod};
