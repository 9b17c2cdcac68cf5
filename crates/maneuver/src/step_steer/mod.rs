//! Step steer after ISO 7401: from straight running the steering wheel is turned at a given rate to
//! an angle and held.
//!
//! - `settings`: the maneuver's settings.
//! - `controls`: steering wheel and throttle during the step.
//! - `prepare`: straight running and the angle of the step.
//! - `responses`: the metrics.
//! - `drive`: the drives.

mod controls;
mod drive;
mod prepare;
mod responses;
mod settings;

pub use controls::StepControls;
pub use prepare::PreparedStep;
pub use settings::StepSteer;
