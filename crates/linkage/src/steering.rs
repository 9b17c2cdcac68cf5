//! Where the steering axis stands.
//!
//! Caster: lean to the rear of the axis's upper end in side view. Inclination (kingpin): lean towards
//! the car's middle in front view. Mechanical trail: how far the axis meets the ground ahead of the
//! wheel center. Scrub radius: how far the contact patch is outboard of that point (ISO 8855). The
//! patch is straight below the wheel center.
//!
//! A knuckle on two ball joints turns about the line through them. One on five rods turns about an
//! instant axis: that of its motion with the rack while the spring keeps its length, which is the motion
//! with the rack at held travel less as much travel as that changes the spring.

use crate::curves::CornerLinkage;
use crate::error::LinkageError;
use crate::instant::Screw;
use crate::mechanism::{UNKNOWNS, v3};
use crate::parts::Triple;
use crate::solve::Solver;
use axletree_scalar::Real;

/// Angles and offsets of a left wheel's steering axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteeringAxis {
    /// Lean to the rear [rad].
    pub caster: f64,
    /// Lean inward [rad].
    pub inclination: f64,
    /// The axis's point on the ground ahead of the wheel center [m].
    pub trail: f64,
    /// The patch outboard of the axis's point on the ground [m].
    pub scrub: f64,
    /// Distance of the wheel center from the axis, outboard, at the center's height [m].
    pub spindle_offset: f64,
    /// Distance of the wheel center from the axis, forward, at the center's height [m].
    pub spindle_forward: f64,
}

fn fault() -> LinkageError {
    LinkageError::Direction {
        name: "steering axis".to_owned(),
        reason: "its points must lie one above the other",
    }
}

impl SteeringAxis {
    /// From two points of the axis and the wheel center; the ground is at z = 0.
    pub fn of(axis: [Triple; 2], center: Triple) -> Result<Self, LinkageError> {
        let d = v3(axis[1]) - v3(axis[0]);
        if d.z().abs() < 1e-3 || d.norm().is_nan() {
            return Err(fault());
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
            trail: gx - center[0],
            scrub: out * (center[1] - gy),
            spindle_offset: out * (center[1] - cy),
            spindle_forward: center[0] - cx,
        })
    }
}

impl CornerLinkage {
    /// Two points of the steering axis, at the ground and at twice the wheel center's height: as given,
    /// or the instant axis of a corner with a rack and a spring. None for a wheel that is not steered.
    pub fn steering_points(&self, solver: &Solver) -> Option<[Triple; 2]> {
        self.steering_axis.or_else(|| self.instant_steering(solver))
    }

    /// The instant axis at static.
    pub fn instant_steering(&self, solver: &Solver) -> Option<[Triple; 2]> {
        let spring = self.side.spring?;
        let p = &solver.start;
        let rate = |by| spring.rate(solver, p, by);
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

/// Unit vector up along the axis, and from the wheel center to the axis's point at its height.
pub(crate) fn in_knuckle(
    axis: [Triple; 2],
    center: Triple,
) -> Result<(Triple, Triple), LinkageError> {
    let d = v3(axis[1]) - v3(axis[0]);
    if d.z().abs() < 1e-3 || d.norm().is_nan() {
        return Err(fault());
    }
    let up = d.unit().times(d.z().signum());
    let t = (center[2] - axis[0][2]) / d.z();
    let p = v3(axis[0]) + d.times(t);
    Ok((up.0, (p - v3(center)).0))
}
