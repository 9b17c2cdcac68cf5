//! Frequency response to the steering wheel after ISO 7401: gain and phase of yaw rate, lateral
//! acceleration, roll and sideslip.
//!
//! Either from the car's exact linearization about straight running, or from a swept sine that is
//! driven. Both agree for small angles; driven at the standard's level the sweep shows what the
//! tires' curvature and unlike dampers add.
//!
//! - `settings`: the maneuver's settings.
//! - `response`: gains and phases over frequency.
//! - `chirp`: the sine of growing frequency.
//! - `swept_sine`: the drive of a swept sine and its transforms.
//! - `respond`: the response by either method, and the metrics.

mod chirp;
mod respond;
mod response;
mod settings;
mod swept_sine;

pub use response::{RESPONSES, SteeringResponse};
pub use settings::{FrequencyMethod, FrequencyResponse};
