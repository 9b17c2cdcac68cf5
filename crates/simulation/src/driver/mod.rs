//! The driver, apart from the car.
//!
//! - [`Hands`]: lag and largest rate of the hands on the steering wheel.
//! - [`SpeedHold`], [`SpeedGains`]: speed control by the right foot.
//! - [`available_torque`], [`speed_of`]: driveline bound and speed as the driver needs them.
//! - [`LateralCar`]: the car's lateral motion as a small linear system.
//! - [`PreviewGains`], [`macadam`], [`lq_preview`]: preview steering.
//!
//! Every constant of the driver stands here once; a maneuver that needs another value overrides it
//! in its settings and says why.

mod hands;
mod lateral;
mod preview;
mod speed_hold;

pub use hands::{FAST_HAND_RATE, Hands};
pub use lateral::{LateralCar, discretize, residualize};
pub use preview::{PreviewGains, lq_gains, lq_preview, macadam, macadam_gains};
pub use speed_hold::{SpeedGains, SpeedHold, available_torque, bounded, speed_of};
