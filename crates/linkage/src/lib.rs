//! A rigid body held by links: positions, instant centers, compliance and binding.
//!
//! Frame: fixed in the car's body, x forward, y left, z up from the ground at static (ISO 8855).
//! Kinematics alone: no tire deflection, the ground moves with the wheels. Nothing here knows a car
//! or a tire.
//!
//! - [`error`]: what can be wrong, in the names of the links.
//! - [`pose`]: position and the three angles.
//! - [`bushing`]: how a link end yields, and when it runs solid.
//! - [`material`]: what link ends are made of.
//! - [`parts`]: rods, hinged members, joints.
//! - [`mechanism`]: the parts as equations.
//! - [`solve`]: position along the travel, with rates.
//! - [`relaxed`]: the same where links must yield to fit.
//! - [`axle`]: locations of a solid axle.
//! - [`corner`]: locations of one wheel.

pub mod axle;
pub mod bushing;
pub mod corner;
mod dense;
mod diagnose;
pub mod error;
pub mod material;
pub mod mechanism;
pub mod parts;
pub mod pose;
pub mod relaxed;
pub mod solve;

pub use bushing::Bushing;
pub use error::{LinkageError, Names, Travel};
pub use material::Material;
pub use mechanism::{Carried, Mechanism, State};
pub use parts::{Attachment, End, Frame, Joint, Link, Linkage, Member};
pub use pose::{Angles, Pose};
pub use solve::{Position, Rates, Solver};
