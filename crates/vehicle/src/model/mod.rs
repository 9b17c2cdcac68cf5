//! The equations of motion: numbers in, rates of the state out.
//!
//! - [`Model`]: a car as numbers; [`Numbers`], [`numbers`]: the parameters of the equations.
//! - [`layout`]: the state and the inputs.
//! - [`evaluate`], [`Evaluation`], [`Observation`]: one evaluation, and the quantities read from
//!   it.
//! - [`Batch`]: several cars to an instruction.
//! - [`Linearizer`], [`Jacobian`]: exact derivatives.
//! - [`Precomputed`]: quotients that all evaluations of a car share.
//! - [`Road`]: the surface under the wheels.
//! - [`energy_and_momentum`]: energy and momentum of a car, for checks and bookkeeping.

mod accelerate;
mod batch;
mod carrier;
mod contact;
mod driveline;
mod energy;
mod evaluate;
mod frame;
mod grip;
mod heading;
mod jacobian;
pub mod layout;
#[expect(clippy::module_inception, reason = "the file of `Model`")]
mod model;
pub mod numbers;
mod observe;
mod parts;
mod precomputed;
mod record;
mod recorded;
mod replaced;
mod road;
mod steering;
mod undrivable;

pub use batch::{Batch, BatchExtras};
pub use carrier::{Carrier, Kingpin};
pub use contact::RoadContact;
pub use driveline::{
    EngineInputs, EngineSide, FrictionTorque, RIGID_TRACKING_RATE, SLIP_RELAXATION_TIME,
    ShaftTorques,
};
pub use energy::{EnergyAndMomentum, energy_and_momentum};
pub use evaluate::{DriveTorques, Evaluation, PartForces, evaluate, evaluate_precomputed};
pub use frame::BodyFrame;
pub use heading::heading_axes;
pub use jacobian::{
    BRAKE_TORQUE, DRIVE_TORQUE, Jacobian, LATERAL_ACCELERATION, LOAD, Linearizer, OBSERVED,
    QUANTITIES, SLIDING, SPEED, STEERING_WHEEL, VARIABLES, quantities,
};
pub use layout::{Inputs, MODEL_INPUTS, STATES, State, WHEELS};
pub use model::{Geometry, Model, Observed};
pub use numbers::{Numbers, Rear};
pub use observe::Observation;
pub use parts::Compression;
pub use precomputed::{DrivelineInverses, EndPrecomputed, Precomputed};
pub use record::{RECORD_SCHEMA, RecordError};
pub use road::{Flat, Patch, Road};
pub use steering::{KnuckleTurn, Steer, steer};
pub use undrivable::UndrivableNumbers;
