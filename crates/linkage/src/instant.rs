//! Instant axes, roll center, anti-squat and its relatives, from the rates of a position.
//!
//! - Instant screw of a motion with velocity v of the center c and angular velocity w: direction
//!   `w/|w|`, pitch `v.w/w^2`, and the point `c + w x v/w^2` of its axis.
//! - Roll center of an axle: the height, in the plane across the car through its center, of a lateral
//!   force that needs no roll couple. By virtual work, with the motion in pure roll at constant heave,
//!   the force does no work: `v_y - w_x (z - c_z) = 0`, so `z = c_z + v_y/w_x`. The same from statics:
//!   the driver of roll bears nothing ([`roll_center_by_force`]).
//! - Roll center of a pair of corners: on the center plane, on the line square to the path of the
//!   point of the knuckle at the contact patch: `z = z_p + y_p (dy/dz)` over the patch that has moved.
//! - Anti-squat: the share of the load transfer that the links carry. The line from the patch (or
//!   from the wheel center, when the body carries the drive torque) to the instant center has the slope
//!   `-dx/ds` of that point's path; the whole load transfer is carried at the slope h/L:
//!   `-100 (dx/ds)/(h/L)` (Gillespie, *Fundamentals of Vehicle Dynamics*, 1992, ch. 7). Anti-lift of
//!   outboard rear brakes: the patch's slope times the rear brake share; anti-dive of the front:
//!   `+100 (dx/ds)/(h/L)` times the front brake share.

use axletree_scalar::Vec3;

use crate::dense::{Lu, MOST};
use crate::mechanism::Row;
use crate::parts::{Attachment, Triple};
use crate::solve::{Position, Rates, Solver, assemble};

/// An instant screw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Screw {
    /// Direction of the axis [-, b].
    pub direction: Triple,
    /// The point of the axis nearest to the carrier's center [m, b].
    pub point: Triple,
    /// Advance along the axis per turn [m/rad].
    pub pitch: f64,
    /// Turn per unit of travel [rad/m for heave, rad/rad for roll].
    pub turn: f64,
}

impl Screw {
    /// Of a motion; none where nothing turns.
    pub fn of(position: &Position, rates: &Row<f64>) -> Option<Self> {
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

    /// Where the axis crosses the plane on which coordinate `i` is `value`; none if it is parallel.
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

/// Height of an axle's roll center over the ground, which has moved with the wheels [m].
pub fn axle_roll_center(solver: &Solver, position: &Position) -> f64 {
    let (v, w) = Rates::twist(&position.rates.roll);
    solver.mechanism.center.z() + v.y() / w.x()
}

/// The same from statics: lateral forces at two heights, the couple of the roll driver in between.
/// For exactly constrained linkages.
pub fn roll_center_by_force(solver: &Solver, position: &Position) -> f64 {
    let couple = |height: f64| {
        let mut wrench = [0.0; 6];
        // A lateral force of one at `height` above the center: moment about x is -height.
        wrench[1] = 1.0;
        wrench[3] = -height;
        driver_forces(solver, position, &wrench)[1]
    };
    let (low, high) = (couple(0.0), couple(0.1));
    solver.mechanism.center.z() + 0.1 * low / (low - high)
}

/// Forces that the drivers must bear when a wrench (force, moment about the center) acts on the
/// carrier: rows transposed, `J^T lambda = wrench`.
pub fn driver_forces(solver: &Solver, position: &Position, wrench: &[f64; 6]) -> [f64; 2] {
    let m = &solver.mechanism;
    let n = m.unknowns();
    let (rows, _, _) = assemble(m, &position.state, position.travel);
    let mut a = [[0.0; MOST]; MOST];
    for (i, row) in a.iter_mut().enumerate().take(n) {
        for (j, x) in row.iter_mut().enumerate().take(n) {
            *x = rows[j][i];
        }
    }
    let mut b = [0.0; MOST];
    b[..6].copy_from_slice(wrench);
    let lambda = Lu::new(a, n).solve(&b);
    let count = m.constraints.len();
    [
        lambda[count],
        if n > count + 1 {
            lambda[count + 1]
        } else {
            0.0
        },
    ]
}

/// Path of a point of the carrier: its place and its velocity by heave or travel.
pub fn path(solver: &Solver, position: &Position, at: Triple) -> (Vec3<f64>, Vec3<f64>) {
    let m = &solver.mechanism;
    let a = Attachment::carrier(at);
    let rack = position.travel.rack;
    (
        m.place(&position.state, rack, a),
        m.velocity(&position.state, rack, &position.rates.heave, a),
    )
}

/// Height of the roll center of a mirrored pair of corners over the moved patch [m].
pub fn corner_roll_center(solver: &Solver, position: &Position, patch: Triple) -> f64 {
    let (p, v) = path(solver, position, patch);
    p.y() * v.y() / v.z()
}

/// `-dx/ds` of a point of the carrier: the slope of the line from it to the side-view instant center
/// for a point whose rise is the travel, positive for an instant center ahead and above [-].
pub fn slope(solver: &Solver, position: &Position, at: Triple) -> f64 {
    -path(solver, position, at).1.x()
}
