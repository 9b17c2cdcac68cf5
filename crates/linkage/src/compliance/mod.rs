//! Compliance of one end under forces at the wheels.

mod end;
mod matrices;
mod network;

pub use matrices::{ByWheel, Compliance, EndCompliance};
