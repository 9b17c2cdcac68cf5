//! The body in the earth: attitude and velocities.
//!
//! Yaw, pitch and roll in this order, `rot_eb = Rz(yaw) Ry(pitch) Rx(roll)`; the upward normal of
//! the road in body axes is its third row. With the angular velocity `(p, q, r)` in body axes,
//!
//! ```text
//! yaw'   = (q sin(roll) + r cos(roll)) / cos(pitch)
//! pitch' = q cos(roll) - r sin(roll)
//! roll'  = p + yaw' sin(pitch)
//! ```

use axletree_scalar::{Mat3, Real, Vec3, numbers};

use super::layout::{ATTITUDE, POSITION, RATE, STATES, TRAVEL, TRAVEL_RATE, VELOCITY};

numbers! {
    /// Pose and velocity of the body, read from the state.
    pub struct BodyFrame {
        /// Position of O `[m, e]`.
        pub position: Vec3<T>,
        /// From body to earth axes: `v_e = rot_eb * v_b`.
        pub rot_eb: Mat3<T>,
        /// Upward normal of the flat road `[-, b]`.
        pub up: Vec3<T>,
        /// Velocity of O `[m/s, b]`.
        pub velocity: Vec3<T>,
        /// Angular velocity `[rad/s, b]`.
        pub rate: Vec3<T>,
        /// Travels `[m or rad]`.
        pub travel: [T; 4],
        /// Their rates `[m/s or rad/s]`.
        pub travel_rate: [T; 4],
        /// Sine and cosine of yaw.
        pub yaw: [T; 2],
        /// Sine and cosine of pitch.
        pub pitch: [T; 2],
        /// Sine and cosine of roll.
        pub roll: [T; 2],
    }
}

#[inline(always)]
fn three<T: Real>(state: &[T; STATES], at: usize) -> Vec3<T> {
    Vec3([state[at], state[at + 1], state[at + 2]])
}

#[inline(always)]
fn four<T: Real>(state: &[T; STATES], at: usize) -> [T; 4] {
    [state[at], state[at + 1], state[at + 2], state[at + 3]]
}

impl<T: Real> BodyFrame<T> {
    /// Reads the state.
    #[inline(always)]
    pub fn of(state: &[T; STATES]) -> Self {
        let (sy, cy) = state[ATTITUDE].sin_cos();
        let (sp, cp) = state[ATTITUDE + 1].sin_cos();
        let (sr, cr) = state[ATTITUDE + 2].sin_cos();
        let (across, along) = (sp * sr, sp * cr);
        // Yaw, pitch, roll in this order: Rz(yaw) Ry(pitch) Rx(roll).
        let rot_eb = Mat3([
            Vec3([cy * cp, sy * cp, -sp]),
            Vec3([
                across.mul_add(cy, -(sy * cr)),
                across.mul_add(sy, cy * cr),
                cp * sr,
            ]),
            Vec3([
                along.mul_add(cy, sy * sr),
                along.mul_add(sy, -(cy * sr)),
                cp * cr,
            ]),
        ]);
        BodyFrame {
            position: three(state, POSITION),
            rot_eb,
            up: Vec3([-sp, cp * sr, cp * cr]),
            velocity: three(state, VELOCITY),
            rate: three(state, RATE),
            travel: four(state, TRAVEL),
            travel_rate: four(state, TRAVEL_RATE),
            yaw: [sy, cy],
            pitch: [sp, cp],
            roll: [sr, cr],
        }
    }

    /// Rates of yaw, pitch and roll angle `[rad/s]`.
    #[inline(always)]
    pub fn attitude_rate(&self) -> [T; 3] {
        let [p, q, r] = self.rate.0;
        let ([sp, cp], [sr, cr]) = (self.pitch, self.roll);
        let yaw = q.mul_add(sr, r * cr) / cp;
        [yaw, q.mul_add(cr, -(r * sr)), sp.mul_add(yaw, p)]
    }

    /// A vector of body axes in heading axes: level, x along the heading. The same as
    /// [`heading_axes`](super::heading_axes), by way of the earth axes, which are known here.
    #[inline(always)]
    pub fn in_heading(&self, v: Vec3<T>) -> Vec3<T> {
        let e = self.rot_eb * v;
        let [s, c] = self.yaw;
        Vec3([c * e.x() + s * e.y(), c * e.y() - s * e.x(), e.z()])
    }
}
