//! A rigid body held by links: positions, instant centers, compliance and binding.
//!
//! Frame: fixed in the car's body, x forward, y left, z up from the ground at static (ISO 8855).
//! Kinematics alone: no tire deflection, the ground moves with the wheels. Nothing here knows a car
//! or a tire.
//!
//! ```
//! use axletree_linkage::{AxleLinkage, AxleRange, FitBound, Longitudinal, Material, Side};
//! use axletree_linkage::axle::{FourLink, Rod};
//!
//! let end = Material::Polyurethane.bushing();
//! let axle = AxleLinkage {
//!     parts: FourLink {
//!         lower: Rod::new([0.55, 0.50, 0.26], [0.0, 0.50, 0.22], end),
//!         upper: Rod::new([0.30, 0.35, 0.42], [0.0, 0.10, 0.46], end),
//!     }
//!     .parts(),
//!     center: [0.0, 0.0, 0.31],
//!     half_track: 0.75,
//!     sides: [Side::default(), Side::default()],
//! };
//! let car = Longitudinal { height: 0.5, wheelbase: 2.7, brake_share: 0.35 };
//! let solved = axle.solve(AxleRange::default(), FitBound::default(), car)?;
//! assert!((solved.report.roll_center - 0.4847).abs() < 1e-4);
//! assert!(solved.binding_roll_stiffness()? > 0.0);
//! # Ok::<(), axletree_linkage::LinkageError>(())
//! ```
//!
//! - [`drawing`]: lines between named points, for pictures.
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
//! - [`unit`]: springs, dampers and bars between real points.
//! - [`instant`]: instant axes, roll centers, anti effects.
//! - [`steering`]: caster, inclination, trail, scrub radius.
//! - [`fit`]: polynomials and how far off they are.
//! - [`curves`], [`axle_curves`]: whole corners and axles, and their curves.
//! - [`compliance`]: how a linkage yields under forces at the wheels.
//! - [`binding`]: what its ends store as they twist and tilt.
//! - [`potential`], [`potential_fit`], [`travel_potential`]: the same as a smooth function of travel.
//! - [`report`]: what a linkage does, in figures for people.
//! - [`solution`]: all of it from hardpoints at once.

pub mod axle;
pub mod axle_curves;
pub mod binding;
pub mod bushing;
mod check;
pub mod compliance;
pub mod corner;
pub mod curves;
mod dense;
mod diagnose;
pub mod drawing;
pub mod error;
pub mod fit;
pub mod instant;
pub mod material;
pub mod mechanism;
mod network;
pub mod parts;
pub mod pose;
pub mod potential;
pub mod potential_fit;
pub mod relaxed;
pub mod report;
pub mod solution;
pub mod solve;
pub mod steering;
pub mod travel_potential;
pub mod unit;

pub use axle_curves::{AxleCurves, SideSurfaces};
pub use binding::{Binding, Stored};
pub use bushing::Bushing;
pub use compliance::{EndCompliance, Mount, Subframe};
pub use curves::{AxleLinkage, AxleRange, CornerCurves, CornerLinkage, CornerRange};
pub use drawing::{Piece, PieceKind};
pub use error::{LinkageError, Names, Travel};
pub use fit::{Curve, FitBound, FitError, Surface};
pub use instant::Screw;
pub use material::Material;
pub use mechanism::{Carried, Mechanism, State};
pub use parts::{Attachment, End, Frame, Joint, Link, Linkage, Member};
pub use pose::{Angles, Pose};
pub use potential::Potential;
pub use potential_fit::FittedPotential;
pub use report::{AxleReport, CornerReport, Longitudinal, MotionRatios};
pub use solution::{AxleSolution, CornerSolution, RollMoment};
pub use solve::{Position, Rates, Solver};
pub use steering::SteeringAxis;
pub use travel_potential::TravelPotential;
pub use unit::{Bar, Side, Unit};
