//! A uniform cubic B-spline: twice continuously differentiable, with local coefficients.
//!
//! ```text
//! f(s) = 1/6 (v^3 c_0 + (4 - 6 u^2 + 3 u^3) c_1 + (4 - 6 v^2 + 3 v^3) c_2 + u^3 c_3),   v = 1 - u
//! ```
//!
//! u in 0 to 1 is the place within an interval, c_0 to c_3 the four coefficients around it (de
//! Boor, *A Practical Guide to Splines*, 1978, ch. IX). A value depends on four coefficients, so
//! that one of them moves the curve over four intervals only.
//!
//! Two other curves of this workspace stay apart, because their bits are others: the path through
//! given points at uneven distances, which interpolates, and the single basis function that
//! the slalom's lead-in adds up.

/// A curve from coefficients at even distances; the first one belongs to the place one spacing
/// before zero.
///
/// ```
/// use axletree_numerics::spline::UniformSpline;
///
/// // Coefficients on a line give that line.
/// let line = UniformSpline::new(vec![-1.0, 0.0, 1.0, 2.0, 3.0], 0.5);
/// assert_eq!(line.length(), 1.0);
/// assert!((line.value(0.75) - 1.5).abs() < 1e-15);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct UniformSpline {
    coefficients: Vec<f64>,
    spacing: f64,
}

impl UniformSpline {
    /// The curve from coefficients a spacing apart.
    ///
    /// # Panics
    /// With fewer than four coefficients.
    pub fn new(coefficients: Vec<f64>, spacing: f64) -> Self {
        assert!(coefficients.len() >= 4, "a cubic needs four coefficients");
        UniformSpline {
            coefficients,
            spacing,
        }
    }

    /// The curve from coefficients over a length.
    ///
    /// # Panics
    /// With fewer than four coefficients.
    pub fn over(coefficients: Vec<f64>, length: f64) -> Self {
        let spacing = Self::spacing_over(coefficients.len(), length);
        Self::new(coefficients, spacing)
    }

    /// Distance between the coefficients over a length.
    pub fn spacing_over(coefficients: usize, length: f64) -> f64 {
        length / (coefficients as f64 - 3.0)
    }

    /// Place up to which two curves are the same, from their pairs of coefficients a spacing apart.
    #[expect(clippy::float_cmp, reason = "the same bits are meant")]
    pub fn same_until<'a>(
        pairs: impl IntoIterator<Item = (&'a f64, &'a f64)>,
        spacing: f64,
    ) -> f64 {
        let other = pairs.into_iter().position(|(a, b)| a != b);
        // Coefficient i moves the intervals from number i - 3 on.
        other.map_or(f64::INFINITY, |i| spacing * (i as f64 - 3.0))
    }

    /// Length of the curve.
    pub fn length(&self) -> f64 {
        self.spacing * (self.coefficients.len() - 3) as f64
    }

    /// Value and slope at a place; outside the length those of the nearer end.
    #[inline(always)]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count: whole, small, not negative"
    )]
    pub fn value_and_slope(&self, place: f64) -> [f64; 2] {
        let last = self.coefficients.len() - 4;
        let place = (place / self.spacing).clamp(0.0, (last + 1) as f64);
        let i = (place as usize).min(last);
        let u = place - i as f64;
        let c = &self.coefficients[i..i + 4];
        let v = 1.0 - u;
        let value = v * v * v * c[0]
            + (4.0 + u * u * (3.0 * u - 6.0)) * c[1]
            + (4.0 + v * v * (3.0 * v - 6.0)) * c[2]
            + u * u * u * c[3];
        let slope =
            -v * v * c[0] + u * (3.0 * u - 4.0) * c[1] - v * (3.0 * v - 4.0) * c[2] + u * u * c[3];
        [value / 6.0, 0.5 * slope / self.spacing]
    }

    /// Value at a place.
    #[inline(always)]
    pub fn value(&self, place: f64) -> f64 {
        self.value_and_slope(place)[0]
    }
}

#[cfg(test)]
#[expect(
    clippy::disallowed_methods,
    reason = "the platform's functions are what is compared with"
)]
mod tests {
    use super::*;

    /// A spline whose coefficients lie on a line is that line, and its slope is the derivative
    /// where they do not.
    #[test]
    fn law_line_and_slope() {
        let line = UniformSpline::new((-1..9).map(|i| 2.0 + 0.3 * f64::from(i)).collect(), 0.5);
        for s in [0.0, 0.2, 1.7, 3.5] {
            let [v, d] = line.value_and_slope(s);
            assert!((v - (2.0 + 0.6 * s)).abs() < 1e-14 && (d - 0.6).abs() < 1e-14);
        }
        assert!((line.length() - 3.5).abs() < 1e-15);
        let wave = UniformSpline::new((0..40).map(|i| f64::from(i).sin()).collect(), 0.5);
        for i in 1..1800 {
            let s = 0.01 * f64::from(i);
            let h = 1e-5;
            let [_, d] = wave.value_and_slope(s);
            let by_difference = (wave.value(s + h) - wave.value(s - h)) / (2.0 * h);
            assert!((d - by_difference).abs() < 1e-8);
        }
    }
}
