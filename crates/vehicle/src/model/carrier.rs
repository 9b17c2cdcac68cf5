//! Kinematics of the carriers of the wheels: a knuckle with one travel, an axle with two.
//!
//! Both turn in the same order relative to the body: `toe` (or yaw) about z, `tilt` (or roll) about
//! the turned x, `pitch` about the wheel axis n. With `e1 = Rz e_x`, `e2 = Rz e_y`,
//! `n = Rz Rx e_y`:
//!
//! ```text
//! nu  = toe' e_z + tilt' e1 + pitch' n                      (relative angular velocity)
//! nu' = toe'' e_z + tilt'' e1 + pitch'' n + toe' tilt' e2
//!       + pitch' (toe' e_z + tilt' e1) x n                  (its derivative in body axes)
//! ```
//!
//! Absolute velocity of the center c and angular velocity, with v and w those of the body:
//!
//! ```text
//! v_c = v + w x c + c',     w_c = w + nu
//! a_c = [v' + w' x c + sum c_i s_i''] + w x v + w x (w x c) + 2 w x c' + c''
//! w_c' = [w' + sum W_i s_i''] + w x nu + nu'
//! ```
//!
//! The brackets hold the accelerations that Kane's equations solve for; the rest is the bias.

use axletree_linkage::Moving;
use axletree_scalar::{Mat3, Real, Vec3};

use super::frame::BodyFrame;
use super::numbers::{Axle, Corner};
use super::steering::Steer;

/// Motion of a carrier with `D` travels, in body axes.
#[derive(Clone, Copy, Debug)]
pub struct Carrier<T, const D: usize> {
    /// Center: of the wheel (corner) or of the axle `[m from O]`.
    pub center: Vec3<T>,
    /// Wheel axis, to the left `[-]`.
    pub axis: Vec3<T>,
    /// Velocity of the center by each travel rate, body at rest.
    pub center_by: [Vec3<T>; D],
    /// Angular velocity by each travel rate, body at rest.
    pub turn_by: [Vec3<T>; D],
    /// Velocity of the center over the ground `[m/s]`.
    pub velocity: Vec3<T>,
    /// Angular velocity over the ground `[rad/s]`.
    pub rate: Vec3<T>,
    /// Acceleration of the center at zero accelerations of the coordinates `[m/s^2]`.
    pub bias_acceleration: Vec3<T>,
    /// Angular acceleration at zero accelerations of the coordinates `[rad/s^2]`.
    pub bias_turn: Vec3<T>,
}

/// Position, velocity and bias acceleration relative to the body.
#[derive(Clone, Copy)]
struct RelativePoint<T, const D: usize> {
    at: Vec3<T>,
    by: [Vec3<T>; D],
    rate: Vec3<T>,
    bias: Vec3<T>,
}

impl<T: Real, const D: usize> RelativePoint<T, D> {
    #[inline(always)]
    fn from(x: Moving<T, D>, y: Moving<T, D>, z: Moving<T, D>) -> Self {
        let mut by = [Vec3::zero(); D];
        let mut i = 0;
        while i < D {
            by[i] = Vec3([x.by[i], y.by[i], z.by[i]]);
            i += 1;
        }
        RelativePoint {
            at: Vec3([x.value, y.value, z.value]),
            by,
            rate: Vec3([x.rate, y.rate, z.rate]),
            bias: Vec3([x.bias, y.bias, z.bias]),
        }
    }
}

/// Orientation, angular velocity and its bias relative to the body.
#[derive(Clone, Copy)]
struct RelativeTurn<T, const D: usize> {
    axis: Vec3<T>,
    /// `Rz e_x` and `Rz Rx e_z`, which the third turn rotates into the knuckle's axes.
    level: Vec3<T>,
    upright: Vec3<T>,
    by: [Vec3<T>; D],
    rate: Vec3<T>,
    bias: Vec3<T>,
}

impl<T: Real, const D: usize> RelativeTurn<T, D> {
    #[inline(always)]
    fn from(toe: Moving<T, D>, tilt: Moving<T, D>, pitch: Moving<T, D>) -> Self {
        let (st, ct) = toe.value.sin_cos();
        let (sg, cg) = tilt.value.sin_cos();
        let o = T::zero();
        let e1 = Vec3([ct, st, o]);
        let e2 = Vec3([-st, ct, o]);
        let axis = Vec3([-(st * cg), ct * cg, sg]);
        // n' at zero pitch rate is (toe' e_z + tilt' e1) x n.
        let swing = Vec3([ct * tilt.rate, st * tilt.rate, toe.rate]);
        let mut by = [Vec3::zero(); D];
        let mut i = 0;
        while i < D {
            let level = Vec3([ct * tilt.by[i], st * tilt.by[i], toe.by[i]]);
            by[i] = axis.times_plus(pitch.by[i], level);
            i += 1;
        }
        RelativeTurn {
            axis,
            level: e1,
            upright: Vec3([st * sg, -(ct * sg), cg]),
            by,
            rate: axis.times_plus(pitch.rate, swing),
            bias: swing.cross(axis).times_plus(
                pitch.rate,
                axis.times_plus(
                    pitch.bias,
                    e2.times_plus(
                        toe.rate * tilt.rate,
                        Vec3([ct * tilt.bias, st * tilt.bias, toe.bias]),
                    ),
                ),
            ),
        }
    }

    /// Knuckle axes as columns, after the third turn.
    #[inline(always)]
    fn axes(&self, pitch: T) -> Mat3<T> {
        let (s, c) = pitch.sin_cos();
        Mat3([
            self.upright.times_plus(-s, self.level.times(c)),
            self.axis,
            self.upright.times_plus(c, self.level.times(s)),
        ])
    }
}

/// Motion over the ground from the motion relative to the body and the body's own.
#[inline(always)]
fn over_ground<T: Real, const D: usize>(
    frame: &BodyFrame<T>,
    point: RelativePoint<T, D>,
    turn: RelativeTurn<T, D>,
) -> Carrier<T, D> {
    let (v, w) = (frame.velocity, frame.rate);
    let swept = v + w.cross(point.at);
    Carrier {
        center: point.at,
        axis: turn.axis,
        center_by: point.by,
        turn_by: turn.by,
        velocity: swept + point.rate,
        rate: w + turn.rate,
        // w x v + w x (w x c) + 2 w x c' + c''
        bias_acceleration: w.cross(swept + point.rate + point.rate) + point.bias,
        bias_turn: w.cross(turn.rate) + turn.bias,
    }
}

/// The steering axis of a wheel, for the moment about it.
#[derive(Clone, Copy, Debug)]
pub struct Kingpin<T> {
    /// Unit vector upward along the steering axis `[-, b]`.
    pub axis: Vec3<T>,
    /// From a point of the axis to the wheel center `[m, b]`.
    pub arm: Vec3<T>,
    /// Turn about it by the mean angle of the road wheels `[-]`.
    pub by_mean: T,
}

/// The vector `x` turned about the unit vector `a` by an angle of given sine and cosine
/// (Rodrigues).
#[inline(always)]
fn turn_about<T: Real>(a: Vec3<T>, x: Vec3<T>, sin: T, cos: T) -> Vec3<T> {
    let along = a.dot(x) * (T::one() - cos);
    a.times_plus(along, a.cross(x).times_plus(sin, x.times(cos)))
}

impl<T: Real> Corner<T> {
    #[inline(always)]
    fn relative(&self, s: T, rate: T) -> (RelativePoint<T, 1>, RelativeTurn<T, 1>, T) {
        let point = RelativePoint::from(
            self.x.moving(s, rate),
            self.y.moving(s, rate),
            self.z.moving(s, rate),
        );
        let pitch = self.pitch.moving(s, rate);
        let turn = RelativeTurn::from(self.toe.moving(s, rate), self.tilt.moving(s, rate), pitch);
        (point, turn, pitch.value)
    }

    /// The motion of an unsteered corner.
    #[inline(always)]
    pub fn carrier(&self, frame: &BodyFrame<T>, side: usize, first: usize) -> Carrier<T, 1> {
        let i = first + side;
        let (point, turn, _) = self.relative(frame.travel[i], frame.travel_rate[i]);
        over_ground(frame, point, turn)
    }

    /// The motion of a steered corner: the knuckle turns by the steer angle about its axis, which
    /// passes through `c_t + g`, so that the wheel center is at `c = c_t + g - Rot(a, d) g`.
    #[inline(always)]
    pub fn steered_carrier(
        &self,
        frame: &BodyFrame<T>,
        side: usize,
        steer: Steer<T>,
    ) -> (Carrier<T, 1>, Kingpin<T>) {
        let (point, turn, pitch) = self.relative(frame.travel[side], frame.travel_rate[side]);
        let axes = turn.axes(pitch);
        let a = axes * Vec3(self.steering_axis);
        let g = axes * Vec3(self.steering_arm);
        let Steer { sin, cos, .. } = steer;
        let b = turn_about(a, g, sin, cos);
        let n = turn.axis;
        let axis = turn_about(a, n, sin, cos);

        // g turns with the knuckle's travel, b also with the steer.
        let nu_t = turn.rate;
        let nu = a.times_plus(steer.rate, nu_t);
        let bias_t = turn.bias;
        let bias = nu_t
            .cross(a)
            .times_plus(steer.rate, a.times_plus(steer.bias, bias_t));
        let (g_rate, b_rate) = (nu_t.cross(g), nu.cross(b));
        let arm = g - b;
        let moved = RelativePoint {
            at: point.at + arm,
            by: [point.by[0] + turn.by[0].cross(arm)],
            rate: point.rate + g_rate - b_rate,
            bias: point.bias + bias_t.cross(g) + nu_t.cross(g_rate)
                - bias.cross(b)
                - nu.cross(b_rate),
        };
        let turned = RelativeTurn {
            axis,
            rate: nu,
            bias,
            ..turn
        };
        (
            over_ground(frame, moved, turned),
            Kingpin {
                axis: a,
                arm: -b,
                by_mean: steer.by_mean,
            },
        )
    }
}

impl<T: Real> Axle<T> {
    /// The motion of the axle; heave and roll are the third and the fourth travel.
    #[inline(always)]
    pub fn carrier(&self, frame: &BodyFrame<T>) -> Carrier<T, 2> {
        let q = [frame.travel[2], frame.travel[3]];
        let u = [frame.travel_rate[2], frame.travel_rate[3]];
        let (o, l) = (T::zero(), T::one());
        let heave = Moving {
            value: self.z + q[0],
            by: [l, o],
            rate: u[0],
            bias: o,
        };
        let roll = Moving {
            value: q[1],
            by: [o, l],
            rate: u[1],
            bias: o,
        };
        let point = RelativePoint::from(self.x.moving(q, u), self.y.moving(q, u), heave);
        let turn = RelativeTurn::from(self.yaw.moving(q, u), roll, self.pitch.moving(q, u));
        over_ground(frame, point, turn)
    }
}
