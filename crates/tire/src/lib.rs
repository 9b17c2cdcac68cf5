//! Tire forces from physically named inputs: combined slip with load, camber and pressure effects,
//! and transient slip that remains valid at standstill.
//!
//! One evaluation runs in this order: vertical load ([`Tire::normal_load`]); stiffness, friction
//! and camber slip at that load ([`Tire::contact`]); the slip that the deflected carcass remembers
//! ([`TireContact::deflection_rate`], [`TireContact::contact_slip`]); the force at that slip
//! ([`TireContact::force`]).
//!
//! ```
//! use axletree_tire::{TireSpec, theoretical_slip};
//!
//! let tire = TireSpec::typical(0.31, 4000.0).at(220e3)?;
//! let force = tire.force(theoretical_slip(0.0, 0.05), 3500.0, 0.0, 1.0);
//! assert!(force.fy > 2000.0 && force.mz < 0.0);
//! # Ok::<(), axletree_tire::TireError>(())
//! ```
//!
//! - `spec`: a tire described in physical inputs ([`TireSpec`]).
//! - `input`, `inputs`: the declaration of an input, and the table of all ([`TIRE_INPUTS`]).
//! - `typical`: a usual street tire.
//! - `check`: the check of a description against the table.
//! - `numbers`: the numbers of one tire at one inflation pressure ([`Tire`]).
//! - `pressure`: from the description to the numbers.
//! - `vertical`: load and effective radius.
//! - `contact`: stiffness, friction and camber slip at one load ([`TireContact`]).
//! - `pure`: the force curve along one direction.
//! - `combined`: force and aligning moment at any slip ([`TireForce`]).
//! - `slip`: slip from velocities and from test-rig quantities.
//! - `carcass`: the slip memory and the relaxation length.
//! - `fit`: a description from measured forces ([`TireSpec::fit`]).
//! - `error`, `shown`: errors, and numbers as they print them.

mod carcass;
mod check;
mod combined;
mod contact;
mod error;
mod fit;
mod input;
mod inputs;
mod numbers;
mod pressure;
mod pure;
mod shown;
mod slip;
mod spec;
mod typical;
mod vertical;

pub use combined::{TireForce, rolling_sense};
pub use contact::TireContact;
pub use error::{TireError, TireFault};
pub use fit::{Fit, FitNote, FittedInput, ForceRow, MissingData, Residuals};
pub use input::{Input, InputUnit, REFERENCE_LOAD, REFERENCE_RADIUS, Scaling};
pub use inputs::{PRESSURE_RANGE, TIRE_INPUTS, input};
pub use numbers::{Direction, Tire};
pub use pure::steepness;
pub use slip::{driving_velocity, theoretical_slip};
pub use spec::{DirectionSpec, TireSpec};
