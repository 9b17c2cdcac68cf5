//! The driver, apart from the car.
//!
//! - [`limits`]: what hands can do.
//! - [`speed`]: holding a speed with the throttle.
//! - [`lateral`]: the car's lateral motion as a small linear system.
//! - [`riccati`]: optimal state feedback of small linear systems.
//! - [`preview`]: steering that looks ahead: gains of MacAdam and of linear-quadratic preview.
//! - [`pursuit`]: steering toward one point of the path.

pub mod lateral;
pub mod limits;
pub mod preview;
pub mod pursuit;
pub mod riccati;
pub mod speed;
