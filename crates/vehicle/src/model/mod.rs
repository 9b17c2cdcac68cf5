//! The equations of motion: numbers in, rates of the state out.

pub mod accelerate;
pub mod batch;
pub mod carrier;
pub mod contact;
pub mod driveline;
pub mod energy;
pub mod evaluate;
pub mod fixed;
pub mod frame;
pub mod grip;
pub mod layout;
mod map;
pub mod numbers;
pub mod observe;
pub mod parts;
pub mod road;
pub mod slopes;
pub mod whole;

pub use batch::{Batch, Look};
pub use evaluate::{Evaluation, evaluate, evaluate_fixed};
pub use fixed::Fixed;
pub use layout::{INPUTS, Inputs, STATES, WHEELS};
pub use numbers::{Numbers, Rear};
pub use observe::Observation;
pub use road::{Flat, Patch, Road};
pub use slopes::{Lifted, Slopes};
pub use whole::{Geometry, Model};
