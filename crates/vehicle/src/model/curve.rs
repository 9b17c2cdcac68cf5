//! Values and derivatives of the suspension curves.

use axletree_scalar::Real;

use super::numbers::{Curve, Surface};

/// A value that depends on `D` travels, as it moves: value, slopes, rate, and the part of its second
/// time derivative that remains at zero travel acceleration.
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
    /// Value, slope and curvature at `s`.
    #[inline(always)]
    pub fn at(&self, s: T) -> [T; 3] {
        let [c0, c1, c2, c3, c4] = self.c;
        let value = (((c4 * s + c3) * s + c2) * s + c1) * s + c0;
        let slope = ((c4.scale(4.0) * s + c3.scale(3.0)) * s + c2.scale(2.0)) * s + c1;
        let bend = (c4.scale(12.0) * s + c3.scale(6.0)) * s + c2.scale(2.0);
        [value, slope, bend]
    }

    /// The value in motion, for travel `s` with rate `rate`.
    #[inline(always)]
    pub fn moving(&self, s: T, rate: T) -> Moving<T, 1> {
        let [value, slope, bend] = self.at(s);
        Moving {
            value,
            by: [slope],
            rate: slope * rate,
            bias: bend * rate * rate,
        }
    }

    /// Value and slope at `s`.
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
        let value = c0
            + h * (c1 + h * (c3 + h * c6))
            + r * (c2 + r * (c5 + r * c9))
            + h * r * (c4 + h * c7 + r * c8);
        let by_h =
            c1 + h * (c3.scale(2.0) + h * c6.scale(3.0)) + r * (c4 + h * c7.scale(2.0) + r * c8);
        let by_r =
            c2 + r * (c5.scale(2.0) + r * c9.scale(3.0)) + h * (c4 + h * c7 + r * c8.scale(2.0));
        (value, [by_h, by_r])
    }

    /// The value in motion, for pose `(h, r)` with rates `(h', r')`.
    #[inline(always)]
    pub fn moving(&self, [h, r]: [T; 2], [dh, dr]: [T; 2]) -> Moving<T, 2> {
        let (value, by) = self.value_and_slope(h, r);
        let [_, _, _, c3, c4, c5, c6, c7, c8, c9] = self.c;
        let hh = c3.scale(2.0) + h * c6.scale(6.0) + r * c7.scale(2.0);
        let hr = c4 + (h * c7 + r * c8).scale(2.0);
        let rr = c5.scale(2.0) + r * c9.scale(6.0) + h * c8.scale(2.0);
        Moving {
            value,
            by,
            rate: by[0] * dh + by[1] * dr,
            bias: hh * dh * dh + hr.scale(2.0) * dh * dr + rr * dr * dr,
        }
    }
}

impl Curve<f64> {
    /// A straight line.
    pub fn line(at_zero: f64, slope: f64) -> Self {
        Curve {
            c: [at_zero, slope, 0.0, 0.0, 0.0],
        }
    }
}

impl Surface<f64> {
    /// A plane: value at zero, slope by heave, slope by roll.
    pub fn plane(at_zero: f64, by_heave: f64, by_roll: f64) -> Self {
        let mut c = [0.0; 10];
        c[..3].copy_from_slice(&[at_zero, by_heave, by_roll]);
        Surface { c }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axletree_scalar::Dual;

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
