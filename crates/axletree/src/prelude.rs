//! Cars, maneuvers and studies in one import: `use axletree::prelude::*;`.

pub use axletree_limit::{CornerExit, DoubleLaneChange, Slalom};
pub use axletree_maneuver::{
    AccelerationEnvelope, BrakingInATurn, BumpInACorner, Circle, FollowPath, FrequencyResponse,
    Launch, LiftOffInATurn, Maneuver, RoughCorner, SineWithDwell, StepSteer,
};
pub use axletree_numerics::Interrupt;
pub use axletree_simulation::{Ending, Measures, Metric, Outcome, Path, Trace};
pub use axletree_study::{StudyOptions, SweepDesign, Vary, compare, sweep};
pub use axletree_vehicle::{Car, CarError, Model, bundled};
