//! Description of a corner: links, spring, damper, bar, steering axis and static alignment; its
//! wheel and the contact over the travel.
//!
//! The wheel is a disc of the axis n, turned with the knuckle ([`Alignment`]), with the center c.
//! Its contact is the lowest point of the disc, at the loaded radius `R_l` that puts it on the
//! ground at static; the ground moves with the wheel:
//!
//! ```text
//! t = n x e_z / |n x e_z|,   e_r = t x n,   C = c - R_l e_r,   R_l = c_z(0) / e_rz(0)
//! ```

use axletree_scalar::Vec3;

use crate::alignment::Alignment;
use crate::elements::Side;
use crate::error::LinkageError;
use crate::instant::PointMotion;
use crate::mechanism::{Carried, Mechanism};
use crate::parts::{Linkage, Triple, mirror};
use crate::pose::Pose;
use crate::range::check_range;
use crate::solve::{Position, Solver};
use crate::travel::Travel;

/// A corner, described on the left side.
///
/// ```
/// use axletree_linkage::corner::SemiTrailing;
/// use axletree_linkage::{Alignment, BodyId, CornerLinkage, CornerRange, FitBound};
/// use axletree_linkage::{Longitudinal, Material, Side};
///
/// let corner = CornerLinkage {
///     parts: SemiTrailing {
///         on: BodyId::Body,
///         hinge: [[0.26, 0.18, 0.27], [0.42, 0.62, 0.26]],
///         bushings: [Material::Rubber.bushing(); 2],
///     }
///     .parts(),
///     center: [0.0, 0.74, 0.31],
///     side: Side::default(),
///     steering_axis: None,
///     alignment: Alignment { toe_in: 0.002, camber: -0.03 },
/// };
/// let car = Longitudinal { height: 0.5, wheelbase: 2.7, brake_share: 0.35 };
/// let solved = corner.solve(CornerRange::default(), FitBound::default(), car, None)?;
/// assert!(solved.report.camber_gain < 0.0, "the top leans inward in bump");
/// # Ok::<(), axletree_linkage::LinkageError>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct CornerLinkage {
    /// Parts that locate the knuckle.
    pub parts: Linkage,
    /// Wheel center at static `[m, b]`.
    pub center: Triple,
    /// Spring, damper and bar end.
    pub side: Side,
    /// Two points of the steering axis, lower and upper `[m, b]`. None for a wheel that does not
    /// steer, and for one on a rack whose axis is to be found from its links.
    pub steering_axis: Option<[Triple; 2]>,
    /// Toe-in and camber at static.
    pub alignment: Alignment,
}

/// Travel of a corner over which its curves are fitted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CornerRange {
    /// Up from static `[m]`.
    pub bump: f64,
    /// Down from static `[m]`.
    pub droop: f64,
}

impl Default for CornerRange {
    /// 70 mm each way: the travel of a road car between its stops (common practice, no source).
    fn default() -> Self {
        CornerRange {
            bump: 0.07,
            droop: 0.07,
        }
    }
}

/// Points on each side of static.
const CORNER_POINTS: i32 = 12;

impl CornerLinkage {
    /// Assembles the corner at static.
    ///
    /// # Errors
    /// Errors of [`Mechanism::new`] and [`Solver::new`].
    pub fn solver(&self) -> Result<Solver, LinkageError> {
        Solver::new(Mechanism::new(
            self.parts.clone(),
            Carried::Wheel,
            self.center,
        )?)
    }

    /// Whether the corner is on the left side of the car.
    pub(crate) fn is_left(&self) -> bool {
        self.center[1] >= 0.0
    }

    /// 1 on the left side of the car, -1 on the right: the sign of outward.
    pub(crate) fn outward(&self) -> f64 {
        if self.is_left() { 1.0 } else { -1.0 }
    }

    /// Pose of the wheel: the knuckle's, turned by the static alignment.
    pub(crate) fn wheel(&self, position: &Position) -> Pose<f64> {
        let knuckle = &position.state.pose;
        Pose {
            center: knuckle.center,
            turn: knuckle.turn * self.alignment.axes(self.is_left()),
        }
    }

    /// Upward in the plane of a wheel with the axis `n`, square to it.
    fn upward(n: Vec3<f64>) -> Vec3<f64> {
        n.cross(Vec3([0.0, 0.0, 1.0])).unit().cross(n)
    }

    /// From the wheel center to the contact, for the wheel axis `n` `[m]`.
    fn contact_arm(&self, n: Vec3<f64>) -> Vec3<f64> {
        let at_rest = Self::upward(self.alignment.axes(self.is_left()).0[1]);
        let loaded_radius = self.center[2] / at_rest.z();
        Self::upward(n).times(-loaded_radius)
    }

    /// Contact of the wheel at static, on the ground `[m, b]`.
    pub fn contact(&self) -> Triple {
        let n = self.alignment.axes(self.is_left()).0[1];
        (Vec3(self.center) + self.contact_arm(n)).0
    }

    /// Motion by travel of the point of the knuckle that is at the contact.
    pub(crate) fn contact_motion(&self, position: &Position) -> PointMotion {
        let arm = self.contact_arm(self.wheel(position).axis());
        PointMotion::of(position, &position.rates.heave, arm)
    }

    /// Mirror image in the car's center plane.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        CornerLinkage {
            parts: self.parts.mirrored(),
            center: mirror(self.center),
            side: self.side.mirrored(),
            steering_axis: self.steering_axis.map(|a| a.map(mirror)),
            alignment: self.alignment,
        }
    }

    /// Exact positions over the travel, from droop to bump, with static among them.
    ///
    /// # Errors
    /// [`LinkageError::Range`] for a travel out of range, else the errors of [`Solver::follow`].
    pub fn positions(
        &self,
        solver: &Solver,
        range: CornerRange,
    ) -> Result<Vec<Position>, LinkageError> {
        check_range("bump travel", range.bump, "m", 0.5)?;
        check_range("droop travel", range.droop, "m", 0.5)?;
        let mut down = Vec::new();
        let mut up = vec![solver.start];
        for (end, list) in [(-range.droop, &mut down), (range.bump, &mut up)] {
            let mut here = solver.start;
            for i in 1..=CORNER_POINTS {
                here = solver.follow(
                    &here,
                    Travel::heave(end * f64::from(i) / f64::from(CORNER_POINTS)),
                )?;
                list.push(here);
            }
        }
        down.reverse();
        down.extend(up);
        Ok(down)
    }
}
