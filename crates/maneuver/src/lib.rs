//! Standard and club maneuvers: the driver drives a car's model, metrics say what it did.
//!
//! - [`maneuver`]: what every maneuver offers.
//! - [`slalom`]: the fastest rhythm through a row of cones, the steering adapted to the car.
//! - [`step_steer`]: a step of the steering wheel, after ISO 7401.
//! - [`circle`]: the steady-state circle, after ISO 4138.
//! - [`frequency_response`]: gain and phase over frequency, after ISO 7401.
//! - [`sine_with_dwell`]: stability and responsiveness, after ISO 19365.
//! - [`turn`]: braking and lifting off in a turn, after ISO 7975 and ISO 9816.
//! - [`uneven`]: a bump in a corner, a corner on a random road.
//! - [`double_lane_change`]: the highest entry speed, after ISO 3888-1 and -2.
//! - [`envelope`]: the largest acceleration in every direction.
//! - [`launch`]: from rest over a distance, wheel hop.
//! - [`corner_exit`]: the fastest way out of a corner under power.
//! - [`follow_path`]: a path followed by a driver who looks ahead.
//! - `several`: several cars in one maneuver, side by side.
//! - [`path`]: a smooth curve through points on the ground.
//! - [`drive`]: driving a model along a schedule with fixed steps.
//! - [`road`]: bumps, kerbs, ramps, random roads.
//! - [`qp`]: small quadratic programs.
//! - [`climb`]: the best of a few unknowns within constraints, every look a drive.
//! - [`driver`]: hands, preview, holding a speed.
//! - [`stepping`]: time integration.
//! - [`spline`]: a smooth curve by even coefficients.
//! - [`channels`]: every recorded channel, declared once.
//! - [`trace`]: recorded time histories.
//! - [`trail`]: where a drive came by, for drives that differ from it only later.
//! - [`metrics`]: what is measured, each metric declared once.
//! - [`outcome`]: how runs end.
//! - [`interrupt`]: breaking off and watching long computations.
//! - [`error`]: what can be wrong with a request.

mod begin;
pub mod channels;
pub mod circle;
pub mod climb;
pub mod corner_exit;
pub mod double_lane_change;
pub mod drive;
pub mod driver;
pub mod envelope;
pub mod error;
pub mod follow_path;
pub mod frequency_response;
pub mod interrupt;
pub mod launch;
pub mod maneuver;
pub mod metrics;
pub mod outcome;
pub mod path;
pub mod qp;
pub mod road;
mod several;
pub mod sine_with_dwell;
pub mod slalom;
pub mod spline;
pub mod step_steer;
pub mod stepping;
pub mod trace;
pub mod trail;
pub mod turn;
pub mod uneven;

pub use channels::Channel;
pub use circle::{Circle, CircleMethod};
pub use corner_exit::CornerExit;
pub use double_lane_change::DoubleLaneChange;
pub use drive::{Action, Controls, FIXED_STEP, LONGEST_STEP};
pub use envelope::AccelerationEnvelope;
pub use error::ManeuverError;
pub use follow_path::{FollowPath, Preview};
pub use frequency_response::{FrequencyMethod, FrequencyResponse};
pub use interrupt::Interrupt;
pub use launch::{Launch, LaunchMethod};
pub use maneuver::{DriveManeuver, Maneuver, Run};
pub use metrics::{History, Measures, Metric};
pub use outcome::{Ending, Outcome};
pub use path::Path;
pub use sine_with_dwell::SineWithDwell;
pub use slalom::Slalom;
pub use step_steer::StepSteer;
pub use trace::Trace;
pub use turn::braking::BrakingInATurn;
pub use turn::lift_off::LiftOffInATurn;
pub use uneven::bump::BumpInACorner;
pub use uneven::rough::RoughCorner;
