//! Position and orientation of a carrier, and the three angles that describe it.
//!
//! Turns are relative to the static position, in axes fixed in the body (x forward, y left, z up
//! from the ground at static). Their order is that of the equations of motion: yaw (toe) about z,
//! roll (tilt) about the turned x, pitch about the wheel axis, `R = Rz(yaw) Rx(roll) Ry(pitch)`.
//! With the wheel axis `n = R e_y`:
//!
//! ```text
//! yaw = atan2(-n_x, n_y),   roll = asin n_z,   pitch = atan2(-R_zx, R_zz)
//! ```

use axletree_scalar::{Mat3, Real, Vec3};

/// Position and orientation of a carrier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose<T> {
    /// Center of the wheel or of the axle `[m, b]`.
    pub center: Vec3<T>,
    /// Rotation from carrier axes to body axes; the identity at static.
    pub turn: Mat3<T>,
}

/// Yaw, roll and pitch of a pose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Angles<T> {
    /// First turn, about z, to the left positive `[rad]`.
    pub yaw: T,
    /// Second turn, about the turned x, top to the right and left side up positive `[rad]`.
    pub roll: T,
    /// Third turn, about the wheel axis, nose down positive `[rad]`.
    pub pitch: T,
}

impl<T: Real> Pose<T> {
    /// A pose without turn, with its center at `center`.
    pub fn level(center: Vec3<T>) -> Self {
        Pose {
            center,
            turn: Mat3::identity(),
        }
    }

    /// Unit vector along the wheel axis, to the left.
    pub fn axis(&self) -> Vec3<T> {
        self.turn.0[1]
    }

    /// Yaw, roll and pitch.
    pub fn angles(&self) -> Angles<T> {
        let [first, n, third] = self.turn.0;
        Angles {
            yaw: (-n.x()).atan2(n.y()),
            roll: n.z().atan2((n.x() * n.x() + n.y() * n.y()).sqrt()),
            pitch: (-first.z()).atan2(third.z()),
        }
    }

    /// Rates of the three angles at the angular velocity `w` in body axes.
    pub fn angle_rates(&self, w: Vec3<T>) -> Angles<T> {
        Angles::rates(self.axis(), w)
    }
}

impl<T: Real> Angles<T> {
    /// Rates of the three angles of a carrier with the wheel axis `n` at the angular velocity `w`,
    /// both in body axes: `w = yaw' e_z + roll' e1 + pitch' n` with `e1 = Rz e_x`.
    pub fn rates(n: Vec3<T>, w: Vec3<T>) -> Self {
        let level = (n.x() * n.x() + n.y() * n.y()).sqrt();
        let e2 = Vec3([n.x() / level, n.y() / level, T::zero()]);
        let e1 = Vec3([e2.y(), -e2.x(), T::zero()]);
        let pitch = w.dot(e2) / level;
        Angles {
            yaw: w.z() - pitch * n.z(),
            roll: w.dot(e1),
            pitch,
        }
    }
}

impl Pose<f64> {
    /// This pose displaced by `shift` and turned by the rotation vector `turn`.
    pub(crate) fn step(&self, shift: Vec3<f64>, turn: Vec3<f64>) -> Self {
        let angle = turn.norm();
        let mut m = self.turn;
        if angle > 1e-300 {
            m = Mat3::about(turn.times(1.0 / angle), angle) * m;
        }
        Pose {
            center: self.center + shift,
            turn: m,
        }
    }

    /// This pose with its axes made orthonormal again.
    pub(crate) fn squared(&self) -> Self {
        let [_, n, third] = self.turn.0;
        let n = n.unit();
        let first = n.cross(third).unit();
        Pose {
            center: self.center,
            turn: Mat3([first, n, first.cross(n)]),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_come_back_and_their_rates_agree_with_differences() {
        let a = Angles {
            yaw: 0.11,
            roll: -0.2,
            pitch: 0.3,
        };
        let pose = Pose {
            center: Vec3([1.0, 2.0, 3.0]),
            turn: Mat3::about_z(a.yaw) * Mat3::about_x(a.roll) * Mat3::about_y(a.pitch),
        };
        let b = pose.angles();
        for (x, y) in [(a.yaw, b.yaw), (a.roll, b.roll), (a.pitch, b.pitch)] {
            assert!((x - y).abs() < 1e-15);
        }
        let w = Vec3([0.3, -0.5, 0.7]);
        let rates = pose.angle_rates(w);
        let h = 1e-5;
        let (p, m) = (
            pose.step(Vec3::zero(), w.times(h)).angles(),
            pose.step(Vec3::zero(), w.times(-h)).angles(),
        );
        for (got, want) in [
            (rates.yaw, (p.yaw - m.yaw) / (2.0 * h)),
            (rates.roll, (p.roll - m.roll) / (2.0 * h)),
            (rates.pitch, (p.pitch - m.pitch) / (2.0 * h)),
        ] {
            assert!((got - want).abs() < 1e-9, "{got} {want}");
        }
    }
}
