//! Energy of binding as a smooth function of travel, for the equations of motion.
//!
//! Heave h and roll r of an axle, or travel h of a corner (with r = 0):
//!
//! ```text
//! E(h, r) = sum over 2 <= i + j <= 4 of c_ij h^i r^j  +  sum over links of 1/2 k e(t(h, r), limit)^2
//! ```
//!
//! The polynomial is the energy as long as no end runs solid. Each further term is that of one link
//! that runs solid beyond its tilt limit, with the excess `e` of the module `bushing` and the
//! square of the tilt t as a polynomial with the same terms. The force on the travel is `-dE/dh`,
//! the moment on roll `-dE/dr`. There is no branch on a value; unused terms have a stiffness of
//! zero.

use axletree_scalar::{Real, elementary, numbers};

use crate::bushing::rounded_by;

/// Number of terms of the polynomials:
/// `h^2, h r, r^2, h^3, h^2 r, h r^2, r^3, h^4, h^3 r, h^2 r^2, h r^3, r^4`.
pub(crate) const TERMS: usize = 12;
/// Number of links that may run solid.
pub(crate) const SOLID: usize = 6;
/// Exponents of heave and roll in each term.
pub(crate) const EXPONENTS: [(i32, i32); TERMS] = [
    (2, 0),
    (1, 1),
    (0, 2),
    (3, 0),
    (2, 1),
    (1, 2),
    (0, 3),
    (4, 0),
    (3, 1),
    (2, 2),
    (1, 3),
    (0, 4),
];

numbers! {
    /// The term of one link that runs solid.
    pub struct SolidTerm {
        /// Square of the tilt, in the order of the terms `[rad^2 per m^i rad^j]`.
        pub tilt_squared: [T; 12],
        /// Tilt limit `[rad]`.
        pub limit: T,
        /// Stiffness beyond it `[N*m/rad]`.
        pub rate: T,
    }

    /// Energy of binding over heave and roll.
    pub struct Potential {
        /// Coefficients of the polynomial `[J per m^i rad^j]`.
        pub c: [T; 12],
        /// Links that run solid.
        pub solid: [SolidTerm<T>; 6],
    }
}

/// Products of powers of heave and roll, in the order of [`EXPONENTS`], and their derivatives by
/// each.
#[derive(Clone, Copy, Debug)]
struct Products<T> {
    value: [T; TERMS],
    by_h: [T; TERMS],
    by_r: [T; TERMS],
}

impl<T: Real> Products<T> {
    #[inline(always)]
    fn of(h: T, r: T) -> Self {
        let (o, h2, r2) = (T::zero(), h + h, r + r);
        let (hh, hr, rr) = (h * h, h * r, r * r);
        let (hhh, hhr, hrr, rrr) = (hh * h, hh * r, h * rr, rr * r);
        Products {
            value: [
                hh,
                hr,
                rr,
                hhh,
                hhr,
                hrr,
                rrr,
                hh * hh,
                hh * hr,
                hh * rr,
                hr * rr,
                rr * rr,
            ],
            by_h: [
                h2,
                r,
                o,
                hh.scale(3.0),
                hr + hr,
                rr,
                o,
                hhh.scale(4.0),
                hhr.scale(3.0),
                hrr + hrr,
                rrr,
                o,
            ],
            by_r: [
                o,
                h,
                r2,
                o,
                hh,
                hr + hr,
                rr.scale(3.0),
                o,
                hhh,
                hhr + hhr,
                hrr.scale(3.0),
                rrr.scale(4.0),
            ],
        }
    }

    /// Value and slopes of a polynomial.
    #[inline(always)]
    fn polynomial(&self, c: &[T; TERMS]) -> [T; 3] {
        let mut value = c[0] * self.value[0];
        let mut i = 1;
        while i < TERMS {
            value = c[i].mul_add(self.value[i], value);
            i += 1;
        }
        // Terms without heave have no slope by heave, terms without roll none by roll.
        let mut by_h = c[0] * self.by_h[0];
        let mut by_r = c[1] * self.by_r[1];
        let mut i = 1;
        while i < TERMS {
            if EXPONENTS[i].0 > 0 {
                by_h = c[i].mul_add(self.by_h[i], by_h);
            }
            if EXPONENTS[i].1 > 0 && i > 1 {
                by_r = c[i].mul_add(self.by_r[i], by_r);
            }
            i += 1;
        }
        [value, by_h, by_r]
    }
}

impl<T: Real> SolidTerm<T> {
    /// An unused term.
    pub fn none() -> Self {
        SolidTerm {
            tilt_squared: [T::zero(); TERMS],
            limit: T::one(),
            rate: T::zero(),
        }
    }

    /// Energy and its derivatives by heave and roll.
    #[inline(always)]
    fn at(&self, products: &Products<T>, inverse: T) -> [T; 3] {
        let [t, t_h, t_r] = products.polynomial(&self.tilt_squared);
        let [e, slope] = rounded_by(t, self.limit, inverse);
        let f = self.rate * e;
        [(f * e).scale(0.5), f * slope * t_h, f * slope * t_r]
    }
}

impl<T: Real> Potential<T> {
    /// No binding.
    pub fn none() -> Self {
        Potential {
            c: [T::zero(); TERMS],
            solid: [SolidTerm::none(); SOLID],
        }
    }

    /// Energy `[J]` and its derivatives by heave `[N]` and by roll `[N*m]`.
    #[inline(always)]
    pub fn at(&self, h: T, r: T) -> [T; 3] {
        self.at_by(h, r, &self.inverse_limits())
    }

    /// One over the limit of every term `[1/rad]`.
    #[inline(always)]
    pub fn inverse_limits(&self) -> [T; SOLID] {
        let mut inverse = [T::zero(); SOLID];
        let mut i = 0;
        while i < SOLID {
            inverse[i] = self.solid[i].limit.recip();
            i += 1;
        }
        inverse
    }

    /// As [`Self::at`], with the inverse limits given.
    #[inline(always)]
    pub fn at_by(&self, h: T, r: T, inverse: &[T; SOLID]) -> [T; 3] {
        let products = Products::of(h, r);
        let mut sum = products.polynomial(&self.c);
        let mut i = 0;
        while i < SOLID {
            let more = self.solid[i].at(&products, inverse[i]);
            sum = [sum[0] + more[0], sum[1] + more[1], sum[2] + more[2]];
            i += 1;
        }
        sum
    }
}

/// The terms with their derivatives by heave and roll.
pub(crate) fn terms(h: f64, r: f64) -> [[f64; 3]; TERMS] {
    EXPONENTS.map(|(i, j)| {
        let by = |n: i32, x: f64| {
            if n == 0 {
                0.0
            } else {
                f64::from(n) * elementary::powi(x, n - 1)
            }
        };
        [
            elementary::powi(h, i) * elementary::powi(r, j),
            by(i, h) * elementary::powi(r, j),
            elementary::powi(h, i) * by(j, r),
        ]
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use axletree_scalar::Dual;

    fn sample() -> Potential<f64> {
        let mut p = Potential::none();
        for (i, c) in (0..).zip(&mut p.c) {
            *c = 100.0 * (1.0 + f64::from(i));
        }
        for (i, c) in (0..).zip(&mut p.solid[0].tilt_squared) {
            *c = 0.3 + 0.01 * f64::from(i);
        }
        p.solid[0].limit = 0.05;
        p.solid[0].rate = 2e4;
        p
    }

    #[test]
    fn terms_are_those_of_the_polynomial_and_the_slopes_are_exact() {
        let p = sample();
        for (h, r) in [(0.03, 0.02), (-0.05, 0.08), (0.07, -0.1)] {
            let sum: f64 = p.c.iter().zip(terms(h, r)).map(|(c, t)| c * t[0]).sum();
            assert!((sum - Products::of(h, r).polynomial(&p.c)[0]).abs() < 1e-12);
            let lifted = Potential {
                c: p.c.map(Dual::constant),
                solid: p.solid.map(|s| SolidTerm {
                    tilt_squared: s.tilt_squared.map(Dual::constant),
                    limit: Dual::constant(s.limit),
                    rate: Dual::constant(s.rate),
                }),
            };
            let e: Dual<f64, 2> = lifted.at(Dual::variable(h, 0), Dual::variable(r, 1))[0];
            let got = p.at(h, r);
            assert!((e.re - got[0]).abs() < 1e-12);
            assert!((e.d[0] - got[1]).abs() < 1e-9 * (1.0 + got[1].abs()));
            assert!((e.d[1] - got[2]).abs() < 1e-9 * (1.0 + got[2].abs()));
        }
        assert!(p.at(0.0, 0.0)[0].abs() < 1e-300);
    }
}
