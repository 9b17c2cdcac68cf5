//! Polynomials of one travel, and of heave and roll.

use axletree_scalar::{Real, numbers};

numbers! {
    /// A polynomial of one travel: `c[0] + c[1] s + ... + c[4] s^4`.
    ///
    /// ```
    /// use axletree_linkage::Curve;
    ///
    /// let [value, slope, curvature] = Curve { c: [0.1, 0.9, -0.5, 0.0, 0.0] }.at(0.02);
    /// assert!((value - 0.1178).abs() < 1e-15 && (slope - 0.88).abs() < 1e-15);
    /// assert_eq!(curvature, -1.0);
    /// ```
    pub struct Curve {
        /// Coefficients, lowest power first `[unit of the value per m^k]`.
        pub c: [T; 5],
    }

    /// A polynomial of an axle's heave `h` and roll `r`, with the terms
    /// `1, h, r, h^2, h r, r^2, h^3, h^2 r, h r^2, r^3` in this order.
    pub struct Surface {
        /// Coefficients in the order given above `[unit of the value per m^i rad^j]`.
        pub c: [T; 10],
    }
}

/// A function of `D` travels in motion: value, slopes, rate, and the part of its second time
/// derivative that does not depend on the accelerations of the travels.
#[derive(Clone, Copy, Debug)]
pub struct Moving<T, const D: usize> {
    /// Value.
    pub value: T,
    /// Derivative by each travel.
    pub by: [T; D],
    /// Time derivative.
    pub rate: T,
    /// Second time derivative at zero travel acceleration.
    pub bias: T,
}

impl<T: Real> Curve<T> {
    /// Value, slope and curvature at the travel `s`.
    #[inline(always)]
    pub fn at(&self, s: T) -> [T; 3] {
        let [c0, c1, c2, c3, c4] = self.c;
        // Horner's rule for value, slope and half the curvature at once.
        let v3 = c4.mul_add(s, c3);
        let s2 = c4.mul_add(s, v3);
        let b1 = c4.mul_add(s, s2);
        let v2 = v3.mul_add(s, c2);
        let s1 = s2.mul_add(s, v2);
        let b0 = b1.mul_add(s, s1);
        let v1 = v2.mul_add(s, c1);
        let slope = s1.mul_add(s, v1);
        [v1.mul_add(s, c0), slope, b0 + b0]
    }

    /// The curve in motion, at the travel `s` with the rate `rate`.
    #[inline(always)]
    pub fn moving(&self, s: T, rate: T) -> Moving<T, 1> {
        let [value, slope, bend] = self.at(s);
        Moving {
            value,
            by: [slope],
            rate: slope * rate,
            bias: bend * (rate * rate),
        }
    }

    /// Value and slope at the travel `s`.
    #[inline(always)]
    pub fn value_and_slope(&self, s: T) -> (T, [T; 1]) {
        let [value, slope, _] = self.at(s);
        (value, [slope])
    }
}

impl<T: Real> Surface<T> {
    /// Value and slopes by heave and roll.
    #[inline(always)]
    pub fn value_and_slope(&self, h: T, r: T) -> (T, [T; 2]) {
        let [c0, c1, c2, c3, c4, c5, c6, c7, c8, c9] = self.c;
        // value = c0 + h A + r B with the cross terms in A; its slopes by Horner's rule.
        let across = r.mul_add(c8, c4);
        let by_hr = h.mul_add(c7, across);
        let a2 = h.mul_add(c6, c3);
        let a1 = h.mul_add(a2, c1);
        let b2 = r.mul_add(c9, c5);
        let b1 = r.mul_add(b2, c2);
        let value = r.mul_add(h.mul_add(by_hr, b1), h.mul_add(a1, c0));
        let by_h = r.mul_add(h.mul_add(c7, by_hr), h.mul_add(h.mul_add(c6, a2 + a2), c1));
        let by_r = h.mul_add(r.mul_add(c8, by_hr), r.mul_add(r.mul_add(c9, b2 + b2), c2));
        (value, [by_h, by_r])
    }

    /// The surface in motion, at heave and roll `(h, r)` with the rates `(h', r')`.
    #[inline(always)]
    pub fn moving(&self, [h, r]: [T; 2], [dh, dr]: [T; 2]) -> Moving<T, 2> {
        let (value, by) = self.value_and_slope(h, r);
        let [_, _, _, c3, c4, c5, c6, c7, c8, c9] = self.c;
        // Halves of the second derivatives.
        let hh = h.mul_add(c6.scale(3.0), r.mul_add(c7, c3));
        let hr = r.mul_add(c8, h.mul_add(c7, c4.scale(0.5)));
        let rr = r.mul_add(c9.scale(3.0), h.mul_add(c8, c5));
        let bias = (hh * dh).mul_add(dh, (hr.scale(2.0) * dh).mul_add(dr, rr * dr * dr));
        Moving {
            value,
            by,
            rate: by[0].mul_add(dh, by[1] * dr),
            bias: bias + bias,
        }
    }
}

/// Value and slopes of a surface at static heave.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurfaceInRoll {
    /// Value.
    pub value: f64,
    /// Derivative by heave.
    pub by_heave: f64,
    /// Derivative by roll.
    pub by_roll: f64,
}

impl Curve<f64> {
    /// A straight line.
    pub fn line(at_zero: f64, slope: f64) -> Self {
        Curve {
            c: [at_zero, slope, 0.0, 0.0, 0.0],
        }
    }

    /// Value at the travel `s`, by Horner's rule with rounded products: the value in reports of
    /// errors, which may differ from [`Curve::at`] in the last digit.
    pub(crate) fn plain_value(&self, s: f64) -> f64 {
        self.c.iter().rev().fold(0.0, |sum, c| sum * s + c)
    }

    /// The curve with the opposite sign.
    #[must_use]
    pub fn negated(&self) -> Self {
        Curve {
            c: self.c.map(|c| -c),
        }
    }
}

impl Surface<f64> {
    /// A plane: value at static, slope by heave, slope by roll.
    pub fn plane(at_zero: f64, by_heave: f64, by_roll: f64) -> Self {
        let mut c = [0.0; 10];
        c[..3].copy_from_slice(&[at_zero, by_heave, by_roll]);
        Surface { c }
    }

    /// The ten terms, in the order of the coefficients.
    pub(crate) fn terms(h: f64, r: f64) -> [f64; 10] {
        [
            1.0,
            h,
            r,
            h * h,
            h * r,
            r * r,
            h * h * h,
            h * h * r,
            h * r * r,
            r * r * r,
        ]
    }

    /// Value at heave and roll as the sum of the terms: the value in reports of errors, which may
    /// differ from [`Surface::value_and_slope`] in the last digit.
    pub(crate) fn plain_value(&self, h: f64, r: f64) -> f64 {
        self.c
            .iter()
            .zip(Surface::terms(h, r))
            .map(|(c, t)| c * t)
            .sum()
    }

    /// Value and slopes at static heave and the roll `r`, with rounded products.
    pub fn in_roll(&self, r: f64) -> SurfaceInRoll {
        let c = &self.c;
        SurfaceInRoll {
            value: c[0] + r * (c[2] + r * (c[5] + r * c[9])),
            by_heave: c[1] + r * (c[4] + r * c[8]),
            by_roll: c[2] + r * (2.0 * c[5] + r * 3.0 * c[9]),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axletree_scalar::Dual;

    /// The three ways to evaluate agree up to rounding.
    #[test]
    fn plain_values_are_those_of_the_fused_forms() {
        let curve = Curve {
            c: [0.3, -1.2, 4.0, 7.0, -9.0],
        };
        assert!((curve.plain_value(0.07) - curve.at(0.07)[0]).abs() < 1e-15);
        assert!((curve.negated().at(0.07)[1] + curve.at(0.07)[1]).abs() < 1e-15);
        let surface = Surface {
            c: [0.1, 0.2, -0.3, 1.4, -0.5, 0.6, 7.0, -8.0, 0.9, 1.1],
        };
        let (value, [by_heave, by_roll]) = surface.value_and_slope(0.0, 0.3);
        let in_roll = surface.in_roll(0.3);
        assert!((in_roll.value - value).abs() < 1e-15);
        assert!((in_roll.by_heave - by_heave).abs() < 1e-15);
        assert!((in_roll.by_roll - by_roll).abs() < 1e-15);
        let value = surface.value_and_slope(0.2, 0.3).0;
        assert!((surface.plain_value(0.2, 0.3) - value).abs() < 1e-15);
    }

    #[test]
    fn slopes_and_bends_agree_with_dual_numbers() {
        let curve = Curve {
            c: [0.3, -1.2, 4.0, 7.0, -9.0],
        };
        let lifted = Curve {
            c: curve.c.map(Dual::<f64, 1>::constant),
        };
        let exact = lifted.at(Dual::variable(0.04, 0));
        let m = curve.moving(0.04, 0.7);
        assert!((exact[0].d[0] - m.by[0]).abs() < 1e-14);
        assert!((exact[1].d[0] * 0.49 - m.bias).abs() < 1e-13);

        let surface = Surface {
            c: [0.1, 0.2, -0.3, 1.4, -0.5, 0.6, 7.0, -8.0, 0.9, 1.1],
        };
        let lifted = Surface {
            c: surface.c.map(Dual::<f64, 1>::constant),
        };
        // Along a straight motion the rate is the first derivative and the bias the second.
        let (dh, dr) = (0.7, -0.2);
        let along = |t: f64| {
            let h = Dual {
                re: 0.04 + dh * t,
                d: [dh],
            };
            let r = Dual {
                re: -0.03 + dr * t,
                d: [dr],
            };
            lifted.value_and_slope(h, r).0.d[0]
        };
        let m = surface.moving([0.04, -0.03], [dh, dr]);
        assert!((along(0.0) - m.rate).abs() < 1e-14);
        let second = (along(1e-5) - along(-1e-5)) / 2e-5;
        assert!((second - m.bias).abs() < 1e-8);
    }
}
