//! Instant axes, roll centers and anti effects, from the rates of a position.
//!
//! - Instant screw of a motion with velocity v of the center c and angular velocity w: direction
//!   `w/|w|`, pitch `v.w/w^2`, and the point `c + w x v/w^2` of its axis.
//! - Roll center of an axle: the height, in the plane across the car through its center, of a
//!   lateral force that needs no roll couple. By virtual work, with the motion in pure roll at
//!   constant heave, the force does no work: `v_y - w_x (z - c_z) = 0`, so `z = c_z + v_y/w_x`.
//! - Roll center of a pair of corners: on the center plane, on the line square to the path of the
//!   point of the knuckle at the contact patch: `z = z_p + y_p (dy/dz)` over the patch that has
//!   moved.
//! - Anti-squat: the share of the load transfer that the links carry. The line from the patch (or
//!   from the wheel center, where the body carries the drive torque) to the instant center has the
//!   slope `-dx/ds` of that point's path; the links carry all of the load transfer at the slope
//!   h/L: `-100 (dx/ds)/(h/L)` (Gillespie, *Fundamentals of Vehicle Dynamics*, 1992, ch. 7).
//!   Anti-lift with outboard rear brakes: the slope of the patch times the rear brake share;
//!   anti-dive at the front: `+100 (dx/ds)/(h/L)` times the front brake share.

use axletree_scalar::Vec3;

use crate::mechanism::PerUnknown;
use crate::parts::{Attachment, Triple};
use crate::solve::{Position, Rates, Solver};

/// An instant screw: axis, pitch and turn of a motion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Screw {
    /// Direction of the axis `[-, b]`.
    pub direction: Triple,
    /// Point of the axis nearest to the carrier's center `[m, b]`.
    pub point: Triple,
    /// Advance along the axis per turn `[m/rad]`.
    pub pitch: f64,
    /// Turn per travel, in heave `[rad/m]` or in roll `[rad/rad]`.
    pub turn: f64,
}

impl Screw {
    /// Screw of a motion, for given rates of the unknowns; none for a motion without turn.
    pub fn of(position: &Position, rates: &PerUnknown<f64>) -> Option<Self> {
        let (v, w) = Rates::twist(rates);
        let turn = w.norm();
        if turn < 1e-9 {
            return None;
        }
        let w2 = turn * turn;
        let point = position.state.pose.center + w.cross(v).times(1.0 / w2);
        Some(Screw {
            direction: w.times(1.0 / turn).0,
            point: point.0,
            pitch: v.dot(w) / w2,
            turn,
        })
    }

    /// Point at which the axis crosses the plane of constant coordinate `i`; none if it is parallel
    /// to the plane.
    pub fn crossing(&self, i: usize, value: f64) -> Option<Triple> {
        let d = self.direction[i];
        if d.abs() < 1e-12 {
            return None;
        }
        let t = (value - self.point[i]) / d;
        Some(std::array::from_fn(|k| {
            self.point[k] + t * self.direction[k]
        }))
    }
}

/// Height of an axle's roll center above the ground, which moves with the wheels `[m]`.
pub fn axle_roll_center(solver: &Solver, position: &Position) -> f64 {
    let (v, w) = Rates::twist(&position.rates.roll);
    solver.mechanism.center.z() + v.y() / w.x()
}

/// Position of a point of the carrier and its derivative by heave or travel.
pub fn path(solver: &Solver, position: &Position, at: Triple) -> (Vec3<f64>, Vec3<f64>) {
    let m = &solver.mechanism;
    let a = Attachment::carrier(at);
    let rack = position.travel.rack;
    (
        m.place(&position.state, rack, a),
        m.velocity(&position.state, rack, &position.rates.heave, a),
    )
}

/// Height of the roll center of a mirrored pair of corners above the patch, which moves with the
/// wheel `[m]`.
pub fn corner_roll_center(solver: &Solver, position: &Position, patch: Triple) -> f64 {
    let (p, v) = path(solver, position, patch);
    p.y() * v.y() / v.z()
}

/// `-dx/ds` of a point of the carrier `[-]`: for a point whose rise is the travel, the slope of the
/// line from it to the side-view instant center, positive for an instant center ahead and above.
pub fn slope(solver: &Solver, position: &Position, at: Triple) -> f64 {
    -path(solver, position, at).1.x()
}
