//! Steer of the two front wheels.
//!
//! **Angles of the road wheels.** The mean angle of both is `d = gain * steering wheel + twist`; the
//! left wheel turns by `d + e`, the right by `d - e`. The Ackermann number k is the difference of
//! their cotangents in a turn to the left,
//!
//! ```text
//! cot(d - e) - cot(d + e) = k
//! ```
//!
//! k is zero for wheels steered in parallel. At k = track/wheelbase two lines that start a track
//! apart on the front axle line meet on the rear axle line; at a share of that, at the wheelbase
//! over the share behind the front axle line. With S and C the sine and cosine of d,
//!
//! ```text
//! u = k S C,  w = sqrt(1 + u^2):   tan e = k S^2/(1 + w),  e' = u/w,  e'' = k (C^2 - S^2)/w^3
//! ```
//!
//! for every d and k, smooth through zero.
//!
//! **Turn of a knuckle.** The angle theta of a road wheel is that of its axis about the vertical,
//! against its toe at rest, as a turn plate shows it. The knuckle turns by delta about the steering
//! axis a, which leans; with n the wheel axis at rest and `t(theta)` the level direction in which
//! the wheel is to point, `Rot(a, delta) n . t = 0`:
//!
//! ```text
//! P + Q cos(delta) + R sin(delta) = 0,   P = (a.n)(a.t),  Q = n.t - P,  R = (a x n).t
//! N = Q^2 + R^2,  D = sqrt(N - P^2):
//! sin(delta) = ((P + Q) D - P (D + R))/N,   cos(delta) = -(P Q + R D)/N
//! delta'  = (P' + Q' cos(delta) + R' sin(delta))/D
//! delta'' = delta' (2 (R' cos(delta) - Q' sin(delta)) + P delta')/D
//! ```
//!
//! (primes: by theta; P, Q, R are sums of cos(theta) and sin(theta), so that their second
//! derivatives are minus themselves). The turn found at rest is that of every travel: what the
//! travel adds is the toe of its curve.

use axletree_scalar::{Mat3, Real, Vec3, numbers};

use super::numbers::Corner;

/// Turn of one knuckle about its steering axis and its derivatives.
#[derive(Clone, Copy, Debug)]
pub struct Steer<T> {
    /// Sine of the angle, to the left positive `[-]`.
    pub sin: T,
    /// Cosine of the angle `[-]`.
    pub cos: T,
    /// Rate of the angle `[rad/s]`.
    pub rate: T,
    /// Its second derivative at zero acceleration of the steering wheel `[rad/s^2]`.
    pub bias: T,
    /// Its derivative by the mean angle of the road wheels `[-]`.
    pub by_mean: T,
}

numbers! {
    /// Constants of the turn of a knuckle by the angle of its wheel, in axes of the wheel's toe at
    /// rest: x forward, z up.
    pub struct KnuckleTurn {
        /// `n.t` by sin(theta): cosine of the wheel's lean `[-]`.
        pub level: T,
        /// P by cos(theta) and sin(theta) `[-]`.
        pub fixed: [T; 2],
        /// -R by cos(theta) and sin(theta) `[-]`.
        pub across: [T; 2],
    }
}

impl<T: Real> KnuckleTurn<T> {
    /// Constants of a corner.
    #[inline(always)]
    pub fn of(corner: &Corner<T>) -> Self {
        let turn = Mat3::about_x(corner.tilt.c[0]) * Mat3::about_y(corner.pitch.c[0]);
        let n = turn.0[1];
        let a = turn * Vec3(corner.steering_axis);
        let along = a.dot(n);
        let b = a.cross(n);
        KnuckleTurn {
            level: n.y(),
            fixed: [along * a.x(), along * a.y()],
            across: [-b.x(), -b.y()],
        }
    }

    /// Turn of the knuckle at a sine and cosine of the angle of its wheel, with its first and
    /// second derivative by that angle.
    #[inline(always)]
    fn turn(&self, sin: T, cos: T) -> Turn<T> {
        let value = |[c, s]: [T; 2]| c.mul_add(cos, s * sin);
        let slope = |[c, s]: [T; 2]| s.mul_add(cos, -(c * sin));
        let sum = self.level * sin;
        let fixed = value(self.fixed);
        let across = value(self.across);
        let turning = sum - fixed;
        // N - P^2 in the form that leaves R^2, and no angle, at zero.
        let root = across.mul_add(across, sum * (turning - fixed)).sqrt();
        let square = turning.mul_add(turning, across * across);
        let inverse = (square * root).recip();
        let inverse_root = inverse * square;
        let inverse_square = inverse * root;
        let sine = sum.mul_add(root, fixed * (across - root)) * inverse_square;
        let cosine = across.mul_add(root, -(fixed * turning)) * inverse_square;

        let by_fixed = slope(self.fixed);
        let by_turning = self.level.mul_add(cos, -by_fixed);
        let by_across = slope(self.across);
        let first = (by_fixed + by_turning.mul_add(cosine, -(by_across * sine))) * inverse_root;
        let mixed = -(by_across.mul_add(cosine, by_turning * sine));
        let second = first * (mixed + mixed + fixed * first) * inverse_root;
        Turn {
            sin: sine,
            cos: cosine,
            first,
            second,
        }
    }
}

/// A turn with its derivatives by the angle of the road wheel.
struct Turn<T> {
    sin: T,
    cos: T,
    first: T,
    second: T,
}

/// Turns of the left and the right knuckle for the mean angle of the road wheels and its rate, with
/// the Ackermann number `k`.
#[inline(always)]
pub fn steer<T: Real>(
    knuckles: [&KnuckleTurn<T>; 2],
    k: T,
    mean: T,
    mean_rate: T,
) -> [Steer<T>; 2] {
    let (s, c) = mean.sin_cos();
    let (ks, kc) = (k * s, k * c);
    let u = ks * c;
    let w = u.mul_add(u, T::one()).sqrt();
    let more = T::one() + w;
    let both = (w * more).recip();
    let inverse = both * more;
    let spread = ks * s * (both * w);
    let by_mean = u * inverse;
    let bend = kc.mul_add(c, -(ks * s)) * inverse * inverse * inverse;
    let cos_spread = spread.mul_add(spread, T::one()).sqrt().recip();
    let (spread_s, spread_c) = (spread * s, spread * c);

    let one = |knuckle: &KnuckleTurn<T>, sense: f64| {
        let sin = (s + spread_c.scale(sense)) * cos_spread;
        let cos = (c - spread_s.scale(sense)) * cos_spread;
        let turn = knuckle.turn(sin, cos);
        let (first, second) = (T::one() + by_mean.scale(sense), bend.scale(sense));
        let slope = turn.first * first;
        let curvature = (turn.second * first).mul_add(first, turn.first * second);
        Steer {
            sin: turn.sin,
            cos: turn.cos,
            rate: mean_rate * slope,
            bias: curvature * mean_rate * mean_rate,
            by_mean: slope,
        }
    };
    [one(knuckles[0], 1.0), one(knuckles[1], -1.0)]
}

#[cfg(test)]
mod tests {
    use axletree_scalar::Dual;
    use nalgebra::{Rotation3, Unit, Vector3};

    use super::*;

    /// A knuckle in axes of its wheel's toe at rest: lean of the wheel, and steering axis there.
    #[derive(Clone, Copy)]
    struct Knuckle {
        lean: f64,
        axis: [f64; 3],
    }

    /// Left wheel, top inward, on an axis with caster and inclination, and its mirror image.
    const LEANING: [Knuckle; 2] = [
        Knuckle {
            lean: -0.03,
            axis: [-0.12, -0.24, 1.0],
        },
        Knuckle {
            lean: 0.03,
            axis: [-0.12, 0.24, 1.0],
        },
    ];

    fn turn_of<T: Real>(knuckle: Knuckle) -> KnuckleTurn<T> {
        let (n, a) = (disc(knuckle.lean), Vec3(knuckle.axis).unit());
        let along = a.dot(n);
        let b = a.cross(n);
        KnuckleTurn {
            level: T::c(n.y()),
            fixed: [along * a.x(), along * a.y()].map(T::c),
            across: [-b.x(), -b.y()].map(T::c),
        }
    }

    fn disc(lean: f64) -> Vec3<f64> {
        Mat3::about_x(lean).0[1]
    }

    fn steered(k: f64, mean: f64) -> [Steer<f64>; 2] {
        let [left, right] = LEANING.map(turn_of);
        steer([&left, &right], k, mean, 1.0)
    }

    /// Angles of the road wheels: the wheel axes turned about the steering axes by finite rotations
    /// (nalgebra), seen from above.
    fn road_angles(k: f64, mean: f64) -> [f64; 2] {
        let turns = steered(k, mean);
        std::array::from_fn(|i| {
            let axis = Unit::new_normalize(Vector3::from(LEANING[i].axis));
            let angle = Real::atan2(turns[i].sin, turns[i].cos);
            let n =
                Rotation3::from_axis_angle(&axis, angle) * Vector3::from(disc(LEANING[i].lean).0);
            Real::atan2(-n.x, n.y)
        })
    }

    /// The road wheels of both sides: cotangents that differ by the Ackermann number, their mean as
    /// asked. Common practice gives the formula with the track over the wheelbase (Gillespie,
    /// *Fundamentals of Vehicle Dynamics*, 1992, ch. 8, from memory).
    #[test]
    fn val_cotangents_differ_by_the_ackermann_number() {
        for k in [-0.5, 0.0, 0.3, 0.576, 1.15] {
            for mean in [-0.6, -0.2, -0.01, 0.003, 0.1, 0.45, 0.7] {
                let [left, right] = road_angles(k, mean);
                assert!((0.5 * (left + right) - mean).abs() < 1e-14, "{k} {mean}");
                let cot = |angle: f64| 1.0 / Real::tan(angle);
                let difference = cot(right) - cot(left);
                let rounding = 1e-15 / (mean * mean);
                assert!(
                    (difference - k).abs() < 1e-13 + rounding,
                    "{k} {mean}: {difference}"
                );
            }
            let [left, right] = road_angles(k, 0.0);
            assert!(left == 0.0 && right == 0.0, "{left} {right}");
        }
        // The control: to second order alone the angles are off by a third of a degree at 30
        // degrees of the inner wheel.
        let k = 0.576;
        let mean = 0.47;
        let [left, _] = road_angles(k, mean);
        assert!((left.to_degrees() - 30.0).abs() < 1.0);
        let second_order = mean + 0.5 * k * mean * mean;
        assert!((second_order - left).to_degrees().abs() > 0.2);
    }

    /// Rate and bias are the first and second derivative: by dual numbers and by differences, also
    /// through zero; the mirror image steers alike.
    #[test]
    fn law_rates_are_derivatives() {
        for (k, mean) in [(0.576, 0.4), (0.576, 0.0), (-0.3, -0.5), (1.1, 1e-4)] {
            let exact = steered(k, mean);
            let [left, right] = LEANING.map(turn_of::<Dual<f64, 1>>);
            let dual = steer(
                [&left, &right],
                Dual::c(k),
                Dual::variable(mean, 0),
                Dual::c(1.0),
            );
            let h = 1e-4;
            let angle = |mean: f64, i: usize| {
                let turn = steered(k, mean)[i];
                Real::atan2(turn.sin, turn.cos)
            };
            for i in 0..2 {
                let (got, by) = (exact[i], dual[i]);
                // d(angle) = cos d(sin) - sin d(cos).
                let slope = got.cos * by.sin.d[0] - got.sin * by.cos.d[0];
                assert!((got.by_mean - slope).abs() < 1e-13);
                assert!((got.rate - slope).abs() < 1e-13);
                assert!((got.bias - by.by_mean.d[0]).abs() < 1e-12);
                let [a, b, c] = [mean - h, mean, mean + h].map(|mean| angle(mean, i));
                assert!(((c - a) / (2.0 * h) - slope).abs() < 1e-7);
                assert!(((a - 2.0 * b + c) / (h * h) - got.bias).abs() < 1e-6);
            }
            let mirrored = steered(k, -mean);
            assert!((mirrored[1].sin + exact[0].sin).abs() < 1e-15);
            assert!((mirrored[1].bias + exact[0].bias).abs() < 1e-13);
        }
        assert!(steered(0.576, 0.4)[0].bias.abs() > 0.1);
    }

    /// An upright wheel on an upright axis turns by the angle itself.
    #[test]
    fn upright_axes_turn_by_the_angle() {
        let upright = Knuckle {
            lean: 0.0,
            axis: [0.0, 0.0, 1.0],
        };
        let [left, right] = [upright; 2].map(turn_of);
        for mean in [-1.2, -0.3, 0.0, 0.8, 2.0] {
            for turn in steer([&left, &right], 0.0, mean, 1.0) {
                assert!((turn.sin - Real::sin(mean)).abs() < 1e-15);
                assert!((turn.cos - Real::cos(mean)).abs() < 1e-15);
                assert!((turn.by_mean - 1.0).abs() < 1e-14 && turn.bias.abs() < 1e-14);
            }
        }
    }
}
