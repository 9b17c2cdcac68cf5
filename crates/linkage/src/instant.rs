//! Instant axes, roll centers and anti effects, from the rates of a position.
//!
//! - Instant screw of a motion with velocity v of the center c and angular velocity w: direction
//!   `w/|w|`, pitch `v.w/w^2`, and the point `c + w x v/w^2` of its axis.
//! - Roll center of an axle: the height, in the plane across the car through its center, of a
//!   lateral force that needs no roll couple. By virtual work, with the motion in pure roll at
//!   constant heave, the force does no work: `v_y - w_x (z - c_z) = 0`, so `z = c_z + v_y/w_x`.
//! - Roll center of a pair of corners: on the center plane, on the line square to the velocity of
//!   the point of the knuckle that is at the contact: `z = C_z + C_y (v_y/v_z)`. Which point of the
//!   knuckle that is changes with the travel: the wheel rolls.
//! - Anti-squat: the share of the load transfer that the links carry. The line from the contact (or
//!   from the wheel center, where the body carries the drive torque) to the instant center along
//!   the car has the slope `-v_x/v_z` of that point of the carrier; the links carry all of the load
//!   transfer at the slope h/L: `-100 (v_x/v_z)/(h/L)` (Gillespie, *Fundamentals of Vehicle
//!   Dynamics*, 1992, ch. 7). Anti-lift with outboard rear brakes: that of the contact times the
//!   rear brake share; anti-dive at the front: `+100 (v_x/v_z)/(h/L)` times the front brake share.

use axletree_scalar::Vec3;

use crate::mechanism::PerUnknown;
use crate::parts::Triple;
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

/// Motion of one point of a carrier, and the turn of the carrier.
///
/// In a plane through the point, of constant x or y, the carrier moves like a flat body; the
/// instant center of that motion is the point of the plane whose velocity in it vanishes. It is not
/// the crossing of the plane by the instant screw, where the velocity is along the screw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PointMotion {
    /// The point `[m, b]`.
    pub at: Vec3<f64>,
    /// Its velocity, per travel or roll `[-, b]` or `[m/rad, b]`.
    pub velocity: Vec3<f64>,
    /// Angular velocity of the carrier `[rad/m, b]` or `[-, b]`.
    pub turn: Vec3<f64>,
}

/// Least turn in a plane that counts as one `[rad/m]`.
const LEAST_TURN: f64 = 1e-9;

impl PointMotion {
    /// Motion of the carrier's point at `arm` from its center, for given rates of the unknowns.
    pub fn of(position: &Position, rates: &PerUnknown<f64>, arm: Vec3<f64>) -> Self {
        let (v, w) = Rates::twist(rates);
        PointMotion {
            at: position.state.pose.center + arm,
            velocity: v + w.cross(arm),
            turn: w,
        }
    }

    /// Instant center in the plane across the car through the point; none without turn in it.
    pub fn center_across(&self) -> Option<Triple> {
        let (v, w) = (self.velocity, self.turn.x());
        let center = self.at + Vec3([0.0, -v.z() / w, v.y() / w]);
        (w.abs() > LEAST_TURN).then_some(center.0)
    }

    /// Instant center in the plane along the car through the point; none without turn in it.
    pub fn center_along(&self) -> Option<Triple> {
        let (v, w) = (self.velocity, self.turn.y());
        let center = self.at + Vec3([v.z() / w, 0.0, -v.x() / w]);
        (w.abs() > LEAST_TURN).then_some(center.0)
    }

    /// Height above the point of the roll center of a mirrored pair, on the center plane `[m]`.
    pub fn roll_center_of_pair(&self) -> f64 {
        self.at.y() * self.velocity.y() / self.velocity.z()
    }

    /// Slope of the line from the point to the instant center along the car, `-v_x/v_z`: positive
    /// for an instant center ahead and above `[-]`.
    pub fn slope_along(&self) -> f64 {
        -self.velocity.x() / self.velocity.z()
    }
}

/// Height of an axle's roll center above the ground, which moves with the wheels `[m]`.
pub fn axle_roll_center(solver: &Solver, position: &Position) -> f64 {
    let (v, w) = Rates::twist(&position.rates.roll);
    solver.mechanism.center.z() + v.y() / w.x()
}

/// Points of an axle's roll axis at given distances ahead of its center: the instant centers of
/// pure roll in the planes across the car `[m, b]`.
pub fn axle_roll_axis<const N: usize>(position: &Position, ahead: [f64; N]) -> [Triple; N] {
    let (v, w) = Rates::twist(&position.rates.roll);
    ahead.map(|x| {
        let from_center = Vec3([x, (w.y() * x - v.z()) / w.x(), (v.y() + w.z() * x) / w.x()]);
        (position.state.pose.center + from_center).0
    })
}

/// Motion by heave or travel of a point of the carrier given at static.
pub fn motion(solver: &Solver, position: &Position, at: Triple) -> PointMotion {
    let arm = position.state.pose.turn * (Vec3(at) - solver.mechanism.center);
    PointMotion::of(position, &position.rates.heave, arm)
}
