//! The driver, apart from the car.
//!
//! - [`hands`]: lag and rate of the hands on the steering wheel.
//! - [`speed_hold`]: holding a speed with the throttle.
//! - [`lateral`]: the car's lateral motion as a small linear system.
//! - [`preview`]: steering that looks ahead: gains of MacAdam and of linear-quadratic preview.

pub mod hands;
pub mod lateral;
pub mod preview;
pub mod speed_hold;
