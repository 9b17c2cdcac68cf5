//! The equations of motion: numbers in, rates of the state out.

pub mod accelerate;
pub mod carrier;
pub mod contact;
pub mod curve;
pub mod energy;
pub mod evaluate;
pub mod frame;
pub mod grip;
pub mod layout;
pub mod numbers;
pub mod parts;
pub mod road;

pub use evaluate::{Evaluation, evaluate, rate};
pub use layout::{INPUTS, Inputs, STATES, WHEELS};
pub use numbers::{Numbers, Rear};
pub use road::{Flat, Patch, Road};
