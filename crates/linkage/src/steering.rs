//! Steering axis: angles and offsets.
//!
//! Caster is the lean of the axis to the rear in side view, inclination (kingpin) its lean inward
//! in front view. The mechanical trail is the distance from the contact forward to the point
//! where the axis meets the ground, the scrub radius that from this point outboard to the contact
//! (ISO 8855).
//!
//! A knuckle on two ball joints turns about the line through them. One on five rods turns about an
//! instant axis: that of its motion with the rack at constant length of the spring, which is the
//! motion with the rack at constant travel less the travel that changes the spring as much.

use axletree_scalar::{Real, Vec3};

use crate::corner_linkage::CornerLinkage;
use crate::error::LinkageError;
use crate::instant::Screw;
use crate::mechanism::UNKNOWNS;
use crate::parts::Triple;
use crate::solve::Solver;

/// Angles and offsets of a left wheel's steering axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteeringAxis {
    /// Lean to the rear `[rad]`.
    pub caster: f64,
    /// Lean inward `[rad]`.
    pub inclination: f64,
    /// From the contact forward to the axis on the ground `[m]`.
    pub trail: f64,
    /// From the axis on the ground outboard to the contact `[m]`.
    pub scrub: f64,
    /// From the axis outboard to the wheel center, at the center's height `[m]`.
    pub spindle_offset: f64,
    /// From the axis forward to the wheel center, at the center's height `[m]`.
    pub spindle_forward: f64,
}

/// Error for an axis that lies level.
fn level_axis() -> LinkageError {
    LinkageError::Direction {
        name: "steering axis".to_owned(),
        reason: "its two points must differ in height",
    }
}

impl SteeringAxis {
    /// Angles and offsets from two points of the axis, the wheel center and the contact on the
    /// ground, which is at z = 0.
    ///
    /// ```
    /// use axletree_linkage::SteeringAxis;
    ///
    /// let points = [[0.01, 0.70, 0.2], [-0.02, 0.66, 0.5]];
    /// let axis = SteeringAxis::of(points, [0.0, 0.74, 0.31], [0.0, 0.745, 0.0])?;
    /// assert!((axis.caster - 0.1_f64.atan()).abs() < 1e-12);
    /// # Ok::<(), axletree_linkage::LinkageError>(())
    /// ```
    ///
    /// # Errors
    /// [`LinkageError::Direction`] for an axis that lies level.
    pub fn of(axis: [Triple; 2], center: Triple, contact: Triple) -> Result<Self, LinkageError> {
        let d = Vec3(axis[1]) - Vec3(axis[0]);
        if d.z().abs() < 1e-3 || d.norm().is_nan() {
            return Err(level_axis());
        }
        let at = |z: f64| {
            let t = (z - axis[0][2]) / d.z();
            (axis[0][0] + t * d.x(), axis[0][1] + t * d.y())
        };
        let out = if center[1] < 0.0 { -1.0 } else { 1.0 };
        let (gx, gy) = at(0.0);
        let (cx, cy) = at(center[2]);
        Ok(SteeringAxis {
            caster: Real::atan(-d.x() / d.z()),
            inclination: Real::atan(-out * d.y() / d.z()),
            trail: gx - contact[0],
            scrub: out * (contact[1] - gy),
            spindle_offset: out * (center[1] - cy),
            spindle_forward: center[0] - cx,
        })
    }
}

impl CornerLinkage {
    /// Two points of the steering axis: as given, else those of the instant axis of a corner with a
    /// rack and a spring, at the ground and at twice the wheel center's height. None for a wheel
    /// that does not steer.
    pub fn steering_points(&self, solver: &Solver) -> Option<[Triple; 2]> {
        self.steering_axis.or_else(|| self.instant_steering(solver))
    }

    /// Two points of the instant steering axis at static, at the ground and at twice the wheel
    /// center's height.
    pub fn instant_steering(&self, solver: &Solver) -> Option<[Triple; 2]> {
        let spring = self.side.spring?;
        let p = &solver.start;
        let rate = |by| spring.motion_ratio(solver, p, by);
        let back = rate(&p.rates.rack) / rate(&p.rates.heave);
        let motion: [f64; UNKNOWNS] =
            std::array::from_fn(|i| p.rates.rack[i] - back * p.rates.heave[i]);
        let screw = Screw::of(p, &motion)?;
        Some([
            screw.crossing(2, 0.0)?,
            screw.crossing(2, 2.0 * self.center[2])?,
        ])
    }
}

/// Unit vector up along the axis, and vector from the wheel center to the axis at its height.
pub(crate) fn axis_in_knuckle(
    axis: [Triple; 2],
    center: Triple,
) -> Result<(Triple, Triple), LinkageError> {
    let d = Vec3(axis[1]) - Vec3(axis[0]);
    if d.z().abs() < 1e-3 || d.norm().is_nan() {
        return Err(level_axis());
    }
    let up = d.unit().times(d.z().signum());
    let t = (center[2] - axis[0][2]) / d.z();
    let p = Vec3(axis[0]) + d.times(t);
    Ok((up.0, (p - Vec3(center)).0))
}
