//! Energy of binding of one corner: the [`Potential`] without roll.
//!
//! ```text
//! E(s) = c_2 s^2 + c_3 s^3 + c_4 s^4  +  sum over links of 1/2 k e(t(s), limit)^2
//! ```
//!
//! with the square of the tilt t as a polynomial with the same terms. A form of its own is cheaper:
//! it has one variable, and room only for the few links that run solid within a corner's travel.

use axletree_scalar::{Real, numbers};

use crate::binding::potential::Potential;
use crate::bushing::rounded_by;

/// Number of links of a corner that may run solid.
const TRAVEL_SOLID: usize = 3;
/// Indices of the powers of travel among the terms of [`Potential`].
const POWERS: [usize; 3] = [0, 3, 7];

numbers! {
    /// The term of one link that runs solid.
    pub struct TravelSolid {
        /// Square of the tilt: coefficients of `s^2, s^3, s^4` `[rad^2 per m^i]`.
        pub tilt_squared: [T; 3],
        /// Tilt limit `[rad]`.
        pub limit: T,
        /// Stiffness beyond it `[N*m/rad]`.
        pub rate: T,
    }

    /// Energy of binding over one travel.
    pub struct TravelPotential {
        /// Coefficients of `s^2, s^3, s^4` `[J per m^i]`.
        pub c: [T; 3],
        /// Links that run solid.
        pub solid: [TravelSolid<T>; 3],
    }
}

/// Value and slope of a polynomial.
#[inline(always)]
fn polynomial<T: Real>(c: &[T; 3], s: T) -> [T; 2] {
    let inner = s.mul_add(c[2], c[1]);
    let value = s * s * s.mul_add(inner, c[0]);
    // 2 c0 + 3 c1 s + 4 c2 s^2
    let outer = s.mul_add(c[2].scale(4.0), c[1].scale(3.0));
    let slope = s * s.mul_add(outer, c[0] + c[0]);
    [value, slope]
}

impl<T: Real> TravelPotential<T> {
    /// No binding.
    pub fn none() -> Self {
        let zero = T::zero();
        TravelPotential {
            c: [zero; 3],
            solid: [TravelSolid {
                tilt_squared: [zero; 3],
                limit: T::one(),
                rate: zero,
            }; TRAVEL_SOLID],
        }
    }

    /// Energy `[J]` and its derivative by travel `[N]`.
    #[inline(always)]
    pub fn at(&self, s: T) -> [T; 2] {
        self.at_by(s, &self.inverse_limits())
    }

    /// One over the limit of every term `[1/rad]`.
    #[inline(always)]
    pub fn inverse_limits(&self) -> [T; TRAVEL_SOLID] {
        let mut inverse = [T::zero(); TRAVEL_SOLID];
        let mut i = 0;
        while i < TRAVEL_SOLID {
            inverse[i] = self.solid[i].limit.recip();
            i += 1;
        }
        inverse
    }

    /// As [`Self::at`], with the inverse limits given.
    #[inline(always)]
    pub fn at_by(&self, s: T, inverse: &[T; TRAVEL_SOLID]) -> [T; 2] {
        let mut sum = polynomial(&self.c, s);
        let mut i = 0;
        while i < TRAVEL_SOLID {
            let solid = &self.solid[i];
            let [t, t_s] = polynomial(&solid.tilt_squared, s);
            let [e, slope] = rounded_by(t, solid.limit, inverse[i]);
            let f = solid.rate * e;
            sum = [sum[0] + (f * e).scale(0.5), sum[1] + f * slope * t_s];
            i += 1;
        }
        sum
    }
}

impl TravelPotential<f64> {
    /// The part of a potential without roll, with the first three of its links that run solid,
    /// which are those of the largest energy.
    pub fn of(potential: &Potential<f64>) -> Self {
        let powers = |c: &[f64]| POWERS.map(|i| c[i]);
        let mut out = TravelPotential::none();
        out.c = powers(&potential.c);
        for (to, from) in out.solid.iter_mut().zip(&potential.solid) {
            *to = TravelSolid {
                tilt_squared: powers(&from.tilt_squared),
                limit: from.limit,
                rate: from.rate,
            };
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_travel_is_two_travels_without_roll() {
        let mut p = Potential::none();
        for (i, c) in (0..).zip(&mut p.c) {
            *c = 100.0 * (1.0 + f64::from(i));
        }
        for (i, c) in (0..).zip(&mut p.solid[0].tilt_squared) {
            *c = 0.3 + 0.01 * f64::from(i);
        }
        p.solid[0].limit = 0.02;
        p.solid[0].rate = 2e4;
        let one = TravelPotential::of(&p);
        for s in [-0.08, -0.01, 0.0, 0.03, 0.07] {
            let [e, by_h, _] = p.at(s, 0.0);
            let [got, slope] = one.at(s);
            assert!((got - e).abs() < 1e-12 * (1.0 + e.abs()));
            assert!((slope - by_h).abs() < 1e-12 * (1.0 + by_h.abs()));
        }
        assert!(one.at(0.08)[1] > 2.0 * p.c[0] * 0.08, "runs solid");
    }
}
