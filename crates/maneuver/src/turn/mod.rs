//! A steady circle disturbed by a pedal: braking and lifting off in a turn.
//!
//! The car runs in equilibrium on a circle with the steering wheel held; at time zero a pedal
//! moves. The response is measured against a car that stays on the circle while its speed changes
//! alike.
//!
//! - `steady_turn`: the circle before.
//! - `pedals`: the pedals, moved at time zero.
//! - `departures`: the metrics: how far the car departs from its circle.
//! - `drive`: the drives.
//! - `braking`: after ISO 7975.
//! - `lift_off`: after ISO 9816.

mod braking;
mod departures;
mod drive;
mod lift_off;
mod pedals;
mod steady_turn;

pub use braking::BrakingInATurn;
pub use lift_off::LiftOffInATurn;
