//! Standard maneuvers: settings say how a car is driven, metrics say how it responds.
//!
//! - [`maneuver`]: the interface of every maneuver.
//! - [`step_steer`]: a step of the steering wheel, after ISO 7401.
//! - [`circle`]: the steady-state circle, after ISO 4138.
//! - [`frequency_response`]: gain and phase over frequency, after ISO 7401.
//! - [`sine_with_dwell`]: stability and responsiveness, after ISO 19365.
//! - [`turn`]: braking and lifting off in a turn, after ISO 7975 and ISO 9816.
//! - [`rough_road`]: a bump in a corner, a corner on a random road.
//! - [`acceleration_envelope`]: the largest acceleration in every direction.
//! - [`launch`]: from rest over a distance, wheel hop.
//! - [`follow_path`]: a path followed by a driver who looks ahead.
//! - [`side_by_side`]: several cars in one maneuver.
//! - [`initial_state`]: the equilibria that maneuvers start from.

pub mod acceleration_envelope;
pub mod circle;
pub mod follow_path;
pub mod frequency_response;
pub mod initial_state;
pub mod launch;
pub mod maneuver;
pub mod rough_road;
pub mod side_by_side;
pub mod sine_with_dwell;
pub mod step_steer;
pub mod turn;

pub use acceleration_envelope::AccelerationEnvelope;
pub use circle::{Circle, CircleMethod};
pub use follow_path::{FollowPath, Preview};
pub use frequency_response::{FrequencyMethod, FrequencyResponse};
pub use launch::{Launch, LaunchMethod};
pub use maneuver::{DriveManeuver, Maneuver, Run};
pub use rough_road::bump::BumpInACorner;
pub use rough_road::rough::RoughCorner;
pub use sine_with_dwell::SineWithDwell;
pub use step_steer::StepSteer;
pub use turn::braking::BrakingInATurn;
pub use turn::lift_off::LiftOffInATurn;
