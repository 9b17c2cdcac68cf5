//! The bushing at the end of a link: stiffness and energy.
//!
//! A bushing surrounds a sleeve, whose axis is fixed at static in the body on one side. It has one
//! stiffness for each of four loads: radial (square to the sleeve's axis), axial (along it),
//! torsional (a turn about it) and conical (a tilt of it). The stiffness against displacement is
//! the tensor
//!
//! ```text
//! K = k_radial (1 - a a^T) + k_axial a a^T          a: unit vector along the sleeve
//! ```
//!
//! and the energy of a turn, with twist `psi` about the sleeve and tilt `tau` of its axis,
//!
//! ```text
//! E = 1/2 k_torsional psi^2 + 1/2 k_conical tau^2 + 1/2 k_solid e(tau)^2
//! ```
//!
//! Near the tilt limit `t` the parts touch and the bushing runs solid. The excess `e` is smooth:
//! with `x = (tau^2 - t^2)/(2 t)`, which is `tau - t` near the limit, and the rounding
//! `r = 0.15 t`,
//!
//! ```text
//! e = 0 up to x = -r,   2 r (u^3 - u^4/2) with u = (x + r)/(2 r) in between,   x from x = r on
//! ```
//!
//! so that the moment and its first two derivatives by tilt are continuous, and nothing is added
//! below 0.84 of the limit.
//!
//! A turn is split into twist and tilt as a swing after a twist: for the relative rotation Q and
//! `a' = Q a`, `tau` is the angle between `a` and `a'`, and with the axial vector v of Q's skew
//! part `tan(psi/2) = 2 v.a/(1 + tr Q)`. Both are smooth at rest.

use axletree_scalar::lone;
use axletree_scalar::{Mat3, Real, Vec3};

use crate::error::LinkageError;

/// Stiffnesses of one bushing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bushing {
    /// Force per displacement square to the sleeve `[N/m]`.
    pub radial: f64,
    /// Force per displacement along the sleeve `[N/m]`.
    pub axial: f64,
    /// Moment per turn about the sleeve `[N*m/rad]`.
    pub torsional: f64,
    /// Moment per tilt of the sleeve `[N*m/rad]`.
    pub conical: f64,
    /// Tilt at which it runs solid `[rad]`.
    pub tilt_limit: f64,
    /// Moment per tilt beyond the limit, added to the conical stiffness `[N*m/rad]`.
    pub solid: f64,
}

/// Rounding of the onset of running solid, as a share of the tilt limit.
pub(crate) const ROUNDING: f64 = 0.15;

impl Bushing {
    /// Checks that every stiffness is in range; `name` is the part's, for the error.
    ///
    /// # Errors
    /// [`LinkageError::Value`] with the first value that is not.
    pub fn check(&self, name: &str) -> Result<(), LinkageError> {
        for (what, value, unit, low, high) in [
            ("radial stiffness", self.radial, "N/m", 1e3, 1e12),
            ("axial stiffness", self.axial, "N/m", 1e3, 1e12),
            ("torsional stiffness", self.torsional, "N*m/rad", 0.0, 1e7),
            ("conical stiffness", self.conical, "N*m/rad", 0.0, 1e7),
            ("tilt limit", self.tilt_limit, "rad", 0.001, 1.6),
            ("solid stiffness", self.solid, "N*m/rad", 0.0, 1e7),
        ] {
            if !(low..=high).contains(&value) {
                return Err(LinkageError::Value {
                    name: name.to_owned(),
                    what,
                    value,
                    unit,
                    low,
                    high,
                });
            }
        }
        Ok(())
    }

    /// Compliance along the unit vector `u`: `u^T K^-1 u` `[m/N]`.
    pub fn compliance_along(&self, sleeve: Vec3<f64>, u: Vec3<f64>) -> f64 {
        let c = sleeve.dot(u);
        (1.0 - c * c) / self.radial + c * c / self.axial
    }

    /// Stiffness against displacement `[N/m]`.
    pub fn stiffness(&self, sleeve: Vec3<f64>) -> Mat3<f64> {
        tensor(sleeve, self.radial, self.axial)
    }

    /// Stiffness against a turn, near rest `[N*m/rad]`.
    pub fn angular_stiffness(&self, sleeve: Vec3<f64>) -> Mat3<f64> {
        tensor(sleeve, self.conical, self.torsional)
    }

    /// Energy of a turn without the part from running solid `[J]`.
    #[inline(always)]
    pub fn energy<T: Real>(&self, turn: BushingTurn<T>) -> T {
        turn.twist_squared.scale(0.5 * self.torsional) + turn.tilt_squared.scale(0.5 * self.conical)
    }

    /// Energy of a turn from running solid `[J]`.
    #[inline(always)]
    pub fn solid_energy<T: Real>(&self, turn: BushingTurn<T>) -> T {
        excess(turn.tilt_squared, self.tilt_limit)
            .sq()
            .scale(0.5 * self.solid)
    }
}

/// Smooth excess of a tilt over its limit `[rad]`.
#[inline(always)]
fn excess<T: Real>(tilt_squared: T, limit: f64) -> T {
    rounded(tilt_squared, T::c(limit))[0]
}

/// Excess and its derivative by the square of the tilt.
#[inline(always)]
pub(crate) fn rounded<T: Real>(tilt_squared: T, limit: T) -> [T; 2] {
    rounded_by(tilt_squared, limit, limit.recip())
}

/// As [`rounded`], with one over the limit given.
#[inline(always)]
pub(crate) fn rounded_by<T: Real>(tilt_squared: T, limit: T, inverse: T) -> [T; 2] {
    let half = inverse.scale(0.5);
    let r = limit.scale(ROUNDING);
    let x = (-limit).mul_add(limit, tilt_squared) * half;
    let u = ((x + r) * inverse.scale(0.5 / ROUNDING))
        .positive()
        .min(T::one());
    let beyond = (x - r).positive();
    let u2 = u * u;
    [
        ((r + r) * u2).mul_add(u2.mul_add(T::c(-0.5), u), beyond),
        u2 * u.mul_add(T::c(-2.0), T::c(3.0)) * half,
    ]
}

/// Square of the tilt at which the excess is `e`, for `e` above zero, and the derivative of the
/// excess by it.
pub(crate) fn tilt_squared_at(e: f64, limit: f64) -> (f64, f64) {
    let r = ROUNDING * limit;
    let x = if e >= r {
        e
    } else {
        // u^3 - u^4/2 = e/(2 r), by Newton's method from the cube root.
        let want = e / (2.0 * r);
        let mut u = lone::pow(want, 1.0 / 3.0);
        for _ in 0..20 {
            let u2 = u * u;
            u -= (u2 * (u - 0.5 * u2) - want) / (u2 * (3.0 - 2.0 * u));
        }
        2.0 * r * u - r
    };
    let t = limit * limit + 2.0 * limit * x;
    (t, rounded(t, limit)[1])
}

/// `across (1 - a a^T) + along a a^T`.
fn tensor(a: Vec3<f64>, across: f64, along: f64) -> Mat3<f64> {
    let k = along - across;
    Mat3(std::array::from_fn(|j| {
        Vec3(std::array::from_fn(|i| {
            k * a.0[i] * a.0[j] + if i == j { across } else { 0.0 }
        }))
    }))
}

/// Squares of the twist and the tilt of a bushing.
#[derive(Clone, Copy, Debug)]
pub struct BushingTurn<T> {
    /// Square of the turn about the sleeve `[rad^2]`.
    pub twist_squared: T,
    /// Square of the tilt of the sleeve `[rad^2]`.
    pub tilt_squared: T,
}

impl<T: Real> BushingTurn<T> {
    /// Twist and tilt of the rotation `q` about the sleeve axis `a`, both in the axes of the part
    /// that carries the sleeve.
    #[inline(always)]
    pub fn of(q: &Mat3<T>, a: Vec3<T>) -> Self {
        let tilted = *q * a;
        let chord = tilted - a;
        // (2 asin(c/2))^2 as a series in c^2: exact to 1e-12 up to 20 deg, 1e-7 up to 50 deg.
        let c = chord.dot(chord);
        let tilt_squared = c
            * (T::one()
                + c * (T::c(1.0 / 12.0)
                    + c * (T::c(1.0 / 90.0)
                        + c * (T::c(1.0 / 560.0)
                            + c * (T::c(1.0 / 3150.0) + c * T::c(1.0 / 16632.0))))));
        let [x, y, z] = q.0;
        let v = Vec3([y.z() - z.y(), z.x() - x.z(), x.y() - y.x()]);
        let trace = x.x() + y.y() + z.z();
        let twist = (v.dot(a) / (T::one() + trace)).atan().scale(2.0);
        BushingTurn {
            twist_squared: twist * twist,
            tilt_squared,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const B: Bushing = Bushing {
        radial: 4e6,
        axial: 1e6,
        torsional: 60.0,
        conical: 300.0,
        tilt_limit: 0.1,
        solid: 2e4,
    };

    #[test]
    fn twist_and_tilt_of_known_turns() {
        let a = Vec3([0.0, 1.0, 0.0]);
        for (angle, tilt) in [(0.3, 0.2), (-0.5, 0.35)] {
            let q = Mat3::about_x(tilt) * Mat3::about_y(angle);
            let t = BushingTurn::of(&q, a);
            assert!((t.twist_squared - angle * angle).abs() < 1e-12);
            assert!((t.tilt_squared - tilt * tilt).abs() < 1e-11);
        }
        let still = BushingTurn::of(&Mat3::identity(), a);
        assert!((B.energy(still) + B.solid_energy(still)).abs() < 1e-300);
    }

    /// The excess is zero below the limit and linear beyond it; in between the second differences
    /// shrink with the step, so nothing jumps; the inverse function returns the tilt.
    #[test]
    fn solid_stiffens_steeply_and_smoothly() {
        let e = |t: f64| excess(t * t, B.tilt_limit);
        assert!(e(0.083).abs() < 1e-300);
        assert!((e(0.15) - 0.0625).abs() < 1e-15);
        let second = |t: f64, d: f64| (e(t + d) - 2.0 * e(t) + e(t - d)) / (d * d);
        let worst = |d: f64| {
            (0..2000)
                .map(|i| {
                    let t = 0.05 + 1e-4 * f64::from(i) * 0.5;
                    (second(t + d, d) - second(t, d)).abs()
                })
                .fold(0.0, f64::max)
        };
        let (coarse, fine) = (worst(1e-4), worst(0.5e-4));
        assert!((fine / coarse - 0.5).abs() < 0.05, "{coarse} {fine}");
        for t in [0.086, 0.095, 0.1, 0.113, 0.13] {
            let (back, slope) = tilt_squared_at(e(t), B.tilt_limit);
            assert!((back - t * t).abs() < 1e-12, "{back}");
            let d = 1e-7;
            let want = (excess(t * t + d, 0.1) - excess(t * t - d, 0.1)) / (2.0 * d);
            assert!((slope - want).abs() < 1e-6);
        }
    }

    #[test]
    fn compliance_is_the_inverse_of_stiffness() {
        let a = Vec3([0.6, 0.0, 0.8]);
        let u = Vec3([0.0, 0.6, 0.8]);
        let k = B.stiffness(a);
        let m = nalgebra::Matrix3::from_fn(|i, j| k.0[j].0[i]);
        let inverse = m.try_inverse().unwrap();
        let u3 = nalgebra::Vector3::new(u.x(), u.y(), u.z());
        let want = (u3.transpose() * inverse * u3)[0];
        assert!((B.compliance_along(a, u) / want - 1.0).abs() < 1e-12);
    }
}
