//! Tire forces from physically named inputs: combined slip with load, camber and pressure effects,
//! and transient slip that holds down to standstill.
//!
//! The order of one evaluation: vertical load ([`vertical`]), what that load, the camber and the
//! surface make of the tire ([`contact`]), the slip that the deflected carcass remembers
//! ([`carcass`]), the force at that slip ([`combined`]).
//!
//! - [`spec`]: a tire described in physical inputs.
//! - [`typical`]: a stand-in description, each value with its reason.
//! - [`check`]: the ranges a description must keep.
//! - [`numbers`]: the numbers of one tire at one inflation pressure.
//! - [`pressure`]: from the description to the numbers.
//! - [`vertical`]: load, effective radius.
//! - [`contact`]: stiffness, friction and camber slip at the load of the moment.
//! - [`pure`]: the force curve along one direction.
//! - [`combined`]: force and aligning moment at any slip.
//! - [`slip`]: slip from velocities and from test-rig quantities.
//! - [`carcass`]: the slip memory and the relaxation length.
//! - [`fit`]: a description from measured forces.
//! - [`error`]: what can be wrong.

pub mod carcass;
pub mod check;
pub mod combined;
pub mod contact;
pub mod error;
pub mod fit;
pub mod numbers;
pub mod pressure;
pub mod pure;
pub mod slip;
pub mod spec;
pub mod typical;
pub mod vertical;

pub use combined::TireForce;
pub use contact::Contact;
pub use error::{Fault, TireError};
pub use fit::{Fit, ForceRow};
pub use numbers::{Direction, Tire};
pub use spec::{DirectionSpec, TireSpec};
