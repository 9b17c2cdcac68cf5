//! Standard maneuvers: settings say how a car is driven, metrics say how it responds.
//!
//! | Maneuver | Standard |
//! |---|---|
//! | [`StepSteer`] | ISO 7401, step input |
//! | [`Circle`] | ISO 4138, steady-state circle |
//! | [`FrequencyResponse`] | ISO 7401, frequency response |
//! | [`SineWithDwell`] | ISO 19365 |
//! | [`BrakingInATurn`], [`LiftOffInATurn`] | ISO 7975, ISO 9816 |
//! | [`BumpInACorner`], [`RoughCorner`] | common practice; roads after ISO 8608 |
//! | [`AccelerationEnvelope`] | common practice, the g-g diagram |
//! | [`Launch`] | common practice |
//! | [`FollowPath`] | common practice |
//!
//! Every maneuver is a [`Maneuver`]: [`Maneuver::measure`] gives its metrics for a car,
//! [`Maneuver::run`] its recorded channels too. Rooms:
//!
//! - `maneuver`: the interface of every maneuver.
//! - `measured_by`: a metric together with the function that measures it.
//! - `drive_maneuver`: maneuvers that are one drive of a car.
//! - `side_by_side`: drives of several cars at once.
//! - [`initial_state`]: the equilibria that maneuvers start from.
//! - `checks`: checks of settings that several maneuvers have.
//! - `steady`: curves of equilibria: steady-state circle, acceleration envelope.
//! - `step_steer`, `frequency_response`, `sine_with_dwell`, `turn`, `rough_road`, `launch`,
//!   `follow_path`: the driven maneuvers.

mod checks;
mod drive_maneuver;
mod follow_path;
mod frequency_response;
pub mod initial_state;
mod launch;
mod maneuver;
mod measured_by;
mod rough_road;
mod side_by_side;
mod sine_with_dwell;
mod steady;
mod step_steer;
mod turn;

pub use follow_path::{FollowPath, Preview};
pub use frequency_response::{FrequencyMethod, FrequencyResponse, RESPONSES, SteeringResponse};
pub use launch::{Launch, LaunchMethod};
pub use maneuver::{Maneuver, Run};
pub use measured_by::{MeasuredBy, measures, metrics};
pub use rough_road::{BumpInACorner, RoughCorner};
pub use sine_with_dwell::{
    Assessment, CHECK_TIMES, DwellRun, DwellSine, SineWithDwell, reference_angle,
};
pub use steady::{
    AccelerationEnvelope, Circle, CircleMethod, CircleResult, EnvelopeEdge, LimitedBy, SteadyCurve,
    SteadyPoint,
};
pub use step_steer::{PreparedStep, StepControls, StepSteer};
pub use turn::{BrakingInATurn, LiftOffInATurn};
