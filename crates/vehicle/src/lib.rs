//! A car: its description, its assembly into numbers, its equations of motion, its equilibria and
//! its linearization.
//!
//! - [`Car`], [`bundled()`]: a car as described, assembled.
//! - [`Description`]: the entries of a car file; [`mod@keys`]: their typed keys;
//!   [`DECLARATIONS`]: their declarations; [`mod@unit`]: units of measure.
//! - [`assemble()`], [`Assembled`]: from the description to numbers.
//! - [`parts`]: springs, bars and dampers.
//! - [`CarError`], [`Fault`], [`FaultKind`]: faults of a description; [`excerpt()`]: texts in messages.
//! - [`model`]: the equations of motion.
//! - [`trim`]: equilibria straight ahead, in a corner, gaining or losing speed.
//! - [`gear_equilibrium()`], [`gear_for`]: an equilibrium with the engine in gear.
//! - [`linearize`], [`Linearization`]: exact linearization about an equilibrium.
//! - [`Mode`]: the modes of a linear car.
//! - [`Sheet`]: the static sheet.
//!
//! # Notation
//!
//! Frames: e is the earth (z up), b the sprung body; `v_e = rot_eb * v_b`. Axes after ISO 8855: x
//! forward, y left, z up; yaw, pitch, roll turned in this order; positive yaw to the left, pitch
//! nose down, roll right side down. SI units, radians.
//!
//! | symbol | code | meaning |
//! | --- | --- | --- |
//! | O | origin of b | center of mass of the whole car at rest |
//! | x, y, z | `POSITION` | position of O in e |
//! | psi, theta, phi | `ATTITUDE` | yaw, pitch, roll |
//! | v, w | `VELOCITY`, `RATE` | velocity of O, angular velocity of the body, in b |
//! | s | `TRAVEL` | bump travel of a wheel, or heave and roll of an axle |
//! | k | `BodyFrame::up` | normal of the road in b |
//! | c, n | `Carrier::center`, `axis` | wheel or axle center, wheel axis (to the left) |
//! | c_i, W_i | `center_by`, `turn_by` | partial velocity and partial angular velocity |
//! | nu | | angular velocity of a carrier relative to the body |
//! | Omega | `SPIN` | absolute speed of a wheel about its axis |
//! | beta, Omega_h | `WINDUP`, `HOUSING` | turn of the rear housing on its links, its absolute speed |
//! | sigma, xi | `SHAFT_MEAN`, `SHAFT_DIFFERENCE` | mean twist of the half shafts, twist that the differential holds |
//! | om_d, om_e, theta | `DRIVELINE`, `ENGINE`, `CLUTCH` | speeds of crown wheel and engine, twist of the clutch |
//! | e | `DEFLECTION` | deflection of tire and linkage at a contact |
//! | zeta | | remembered slip |
//! | N, F_x, F_y, M_z | `load`, `fx`, `fy`, `mz` | load, forces and aligning moment at a contact |

mod assemble;
mod car;
mod description;
mod eigen;
mod excerpt;
mod fault;
mod fault_kind;
mod gear_equilibrium;
mod linear;
pub mod model;
mod modes;
pub mod parts;
mod sheet;
pub mod trim;

pub use assemble::assembled::{Assembled, assemble};
pub use assemble::links::solved::{AxleLinks, CornerLinks, Links};
pub use assemble::summary::CarSummary;
pub use car::{Car, bundled};
pub use description::bundled::BUNDLED;
pub use description::data::Description;
pub use description::declare::condition::EntryCondition;
pub use description::declare::declarations::{DECLARATIONS, Declaration, Declarations};
pub use description::declare::key::{CarEnd, EndKey, Key};
pub use description::declare::row::ConditionTest;
pub use description::declare::shape::{EntryNeed, EntryShape};
pub use description::declare::{keys, words};
pub use description::edit::Value;
pub use description::listing::{Entry, EntryValue};
pub use description::rear::Difference;
pub use description::typed::LinkEndEntries;
pub use description::unit;
pub use eigen::EigenError;
pub use excerpt::excerpt;
pub use fault::{CarError, Fault};
pub use fault_kind::FaultKind;
pub use gear_equilibrium::{GearError, gear_equilibrium, gear_for};
pub use linear::{Linearization, OUTPUTS, linearize};
pub use model::{Geometry, Inputs, Model, Observation};
pub use modes::Mode;
pub use sheet::Sheet;
