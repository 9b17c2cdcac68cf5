//! The driver, apart from the car.
//!
//! - [`Hands`]: lag and largest rate of the hands on the steering wheel.
//! - [`SpeedHold`], [`SpeedGains`]: speed control by the right foot.
//! - [`available_torque`], [`speed_of`]: driveline bound and speed as the driver needs them.
//! - [`LateralCar`]: the car's lateral motion as a small linear system.
//! - [`preview`]: steering that looks ahead: gains of MacAdam and of linear-quadratic preview.
//!
//! Every constant of the driver stands here once; a maneuver that needs another value overrides it
//! in its settings and says why.

pub mod hands;
pub mod lateral;
pub mod preview;
pub mod speed_hold;

pub use hands::{FAST_HAND_RATE, Hands};
pub use lateral::LateralCar;
pub use speed_hold::{SpeedGains, SpeedHold, available_torque, speed_of};
