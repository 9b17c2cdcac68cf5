//! The energy of binding as a smooth function of travel, for the equations of motion.
//!
//! Heave h and roll r of an axle, or travel h of a corner (with r = 0):
//!
//! ```text
//! E(h, r) = sum over 2 <= i + j <= 4 of c_ij h^i r^j  +  sum over links of 1/2 k e(t(h, r), limit)^2
//! ```
//!
//! The polynomial is what the ends store as long as none runs solid; each further term is one link's
//! end running solid beyond its tilt limit, with the excess `e` of [`crate::bushing`] and the square of
//! the tilt t a polynomial with the same terms. The force on the travel is `-dE/dh`, the moment on
//! roll `-dE/dr`. No branch on a value; unused terms have a rate of zero.

use axletree_scalar::{Real, numbers};

use crate::bushing::rounded;

/// Terms of the polynomials: `h^2, h r, r^2, h^3, h^2 r, h r^2, r^3, h^4, h^3 r, h^2 r^2, h r^3, r^4`.
pub const TERMS: usize = 12;
/// Links that may run solid.
pub const SOLID: usize = 6;
/// Exponents of the terms.
pub const EXPONENTS: [(i32, i32); TERMS] = [
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
    /// One link that runs solid.
    pub struct SolidTerm {
        /// Square of the tilt, in the order of the terms [rad^2 per m^i rad^j].
        pub tilt_squared: [T; 12],
        /// Tilt limit [rad].
        pub limit: T,
        /// Rate beyond it [N m/rad].
        pub rate: T,
    }

    /// The energy of binding.
    pub struct Potential {
        /// Coefficients of the polynomial [J per m^i rad^j].
        pub c: [T; 12],
        /// Links that run solid.
        pub solid: [SolidTerm<T>; 6],
    }
}

/// A polynomial's value and its derivatives by h and r.
#[inline(always)]
fn polynomial<T: Real>(c: &[T; TERMS], h: T, r: T) -> [T; 3] {
    let (hh, hr, rr) = (h * h, h * r, r * r);
    let value = c[0] * hh
        + c[1] * hr
        + c[2] * rr
        + h * (c[3] * hh + c[4] * hr + c[5] * rr)
        + c[6] * r * rr
        + hh * (c[7] * hh + c[8] * hr + c[9] * rr)
        + rr * (c[10] * hr + c[11] * rr);
    let by_h = (c[0] * h).scale(2.0)
        + c[1] * r
        + (c[3] * hh).scale(3.0)
        + (c[4] * hr).scale(2.0)
        + c[5] * rr
        + (c[7] * hh * h).scale(4.0)
        + (c[8] * hh * r).scale(3.0)
        + (c[9] * h * rr).scale(2.0)
        + c[10] * r * rr;
    let by_r = (c[2] * r).scale(2.0)
        + c[1] * h
        + c[4] * hh
        + (c[5] * hr).scale(2.0)
        + (c[6] * rr).scale(3.0)
        + c[8] * hh * h
        + (c[9] * hh * r).scale(2.0)
        + (c[10] * h * rr).scale(3.0)
        + (c[11] * rr * r).scale(4.0);
    [value, by_h, by_r]
}

impl<T: Real> SolidTerm<T> {
    /// A term that does nothing.
    pub fn none() -> Self {
        SolidTerm {
            tilt_squared: [T::zero(); TERMS],
            limit: T::one(),
            rate: T::zero(),
        }
    }

    /// Energy and its derivatives by h and r.
    #[inline(always)]
    fn at(&self, h: T, r: T) -> [T; 3] {
        let [t, t_h, t_r] = polynomial(&self.tilt_squared, h, r);
        let [e, slope] = rounded(t, self.limit);
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

    /// Energy [J] and its derivatives by heave [N] and by roll [N m].
    #[inline(always)]
    pub fn at(&self, h: T, r: T) -> [T; 3] {
        let mut sum = polynomial(&self.c, h, r);
        let mut i = 0;
        while i < SOLID {
            let more = self.solid[i].at(h, r);
            sum = [sum[0] + more[0], sum[1] + more[1], sum[2] + more[2]];
            i += 1;
        }
        sum
    }
}

/// The terms with their derivatives by h and r.
pub(crate) fn terms(h: f64, r: f64) -> [[f64; 3]; TERMS] {
    EXPONENTS.map(|(i, j)| {
        let by = |n: i32, x: f64| {
            if n == 0 {
                0.0
            } else {
                f64::from(n) * x.powi(n - 1)
            }
        };
        [
            h.powi(i) * r.powi(j),
            by(i, h) * r.powi(j),
            h.powi(i) * by(j, r),
        ]
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use axletree_scalar::Dual;

    fn sample() -> Potential<f64> {
        let mut p = Potential::none();
        for (i, c) in p.c.iter_mut().enumerate() {
            *c = 100.0 * (1.0 + i as f64);
        }
        for (i, c) in p.solid[0].tilt_squared.iter_mut().enumerate() {
            *c = 0.3 + 0.01 * i as f64;
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
            assert!((sum - polynomial(&p.c, h, r)[0]).abs() < 1e-12);
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
        assert_eq!(p.at(0.0, 0.0)[0], 0.0);
    }
}
