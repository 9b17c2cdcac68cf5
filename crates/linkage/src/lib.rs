//! A rigid body located by links: positions, instant axes, compliance and binding.
//!
//! Frame: fixed in the car's body, x forward, y left, z up from the ground at static (ISO 8855),
//! `b` in the unit marks. Kinematics alone: tires do not deflect, and the ground moves with the
//! wheels. Nothing here knows a car or a tire.
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
//! let range = AxleRange::default();
//! let solved = axle.solve(range, FitBound::default(), car)?;
//! assert!((solved.report.roll_center - 0.4847).abs() < 1e-4);
//! assert!(solved.binding_roll_stiffness()? > 0.0);
//! let sheet = solved.sheet(range)?;
//! assert_eq!(sheet.figures.get("roll_center_height"), Some(solved.report.roll_center));
//! # Ok::<(), axletree_linkage::LinkageError>(())
//! ```
//!
//! From bottom to top:
//!
//! - `travel`, `error`, `range`: positions in the travel, errors, limits of the travel.
//! - `bushing`, `material`: bushings of link ends, and typical ones by material.
//! - `parts`: rods, hinged members and joints; [`axle`] and [`corner`]: common locations of an axle
//!   and of a wheel as lists of parts.
//! - `pose`, `alignment`, `mechanism`: position and orientation; toe-in and camber at static; the
//!   parts as constraint equations.
//! - `solve`: positions over the travel, exactly constrained or over-constrained.
//! - `elements`: springs, dampers and bar ends.
//! - [`instant`]: motion of points, instant axes and centers from the rates of a position.
//! - `axle_linkage`, `corner_linkage`: descriptions of a whole axle and a whole corner.
//! - `steering`, `motion_ratios`: figures of the steering axis, of springs and dampers.
//! - `curves`: polynomials over the travel, for the equations of motion.
//! - `compliance`, `binding`: deflection under forces; energy of link ends.
//! - `axle_report`, `corner_report`, `solution`: everything from the hardpoints at once.
//! - `drawing`, `report`: lines, views and tables for people.

mod alignment;
pub mod axle;
mod axle_linkage;
mod axle_report;
mod binding;
mod bushing;
mod compliance;
pub mod corner;
mod corner_linkage;
mod corner_report;
mod curves;
mod drawing;
mod elements;
mod error;
pub mod instant;
mod material;
mod mechanism;
mod motion_ratios;
mod parts;
mod pose;
mod range;
mod report;
mod solution;
mod solve;
mod steering;
mod travel;

pub use alignment::Alignment;
pub use axle_linkage::{AxleLinkage, AxleRange};
pub use axle_report::{AxleReport, AxleRow};
pub use binding::{
    Binding, EndTurn, FittedPotential, Potential, SolidTerm, StoredEnergy, TravelPotential,
    TravelSolid,
};
pub use bushing::{Bushing, BushingTurn};
pub use compliance::{ByWheel, Compliance, EndCompliance};
pub use corner_linkage::{CornerLinkage, CornerRange};
pub use corner_report::{CornerReport, CornerRow};
pub use curves::{
    AxleCurves, CornerCurves, Curve, FitBound, FitError, Moving, SideSurfaces, Surface,
    SurfaceInRoll,
};
pub use drawing::{Piece, PieceKind};
pub use elements::{BarEnd, ForceElement, Side};
pub use error::{FreeMotion, LinkageError, LinkageFaults, PartNames};
pub use instant::{PointMotion, Screw};
pub use material::{Material, MaterialRanges, Plausible};
pub use mechanism::{Carried, MEMBERS, Mechanism, MechanismState, PerUnknown, UNKNOWNS};
pub use motion_ratios::{Longitudinal, MotionRatios};
pub use parts::{
    Attachment, BodyId, Joint, Link, LinkEnd, Linkage, Member, Mount, Subframe, Triple, mirror,
};
pub use pose::{Angles, Pose};
pub use report::{LinkageSheet, LinkageView};
pub use solution::{AxleSolution, CornerSolution, RollMoment};
pub use solve::{Position, Rates, Solver};
pub use steering::SteeringAxis;
pub use travel::Travel;
