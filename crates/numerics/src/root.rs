//! A zero of a continuous function, by regula falsi with the Illinois rule.
//!
//! The next point is the zero of the secant between two points of opposite sign; where the same end
//! stays twice, its value counts half (Dowell and Jarratt, *A modified regula falsi method*, BIT
//! 11, 1971; from memory).

/// A zero of a continuous function between two points `(t, value)` of opposite sign.
///
/// ```
/// use axletree_numerics::root::zero_between;
///
/// let square = |t: f64| t * t - 2.0;
/// let root = zero_between((1.0, -1.0), (2.0, 2.0), &square);
/// assert!((root - 2f64.sqrt()).abs() < 1e-15);
/// ```
pub fn zero_between(from: (f64, f64), to: (f64, f64), g: &impl Fn(f64) -> f64) -> f64 {
    let ((mut a, mut fa), (mut b, mut fb)) = (from, to);
    if fb == 0.0 {
        return b;
    }
    // The end that stayed last: its value is halved when it stays again.
    let mut kept = 0i8;
    for _ in 0..200 {
        let c = (a * fb - b * fa) / (fb - fa);
        if !(c > a.min(b) && c < a.max(b)) {
            break;
        }
        let fc = g(c);
        if fc == 0.0 {
            return c;
        }
        if fc * fb < 0.0 {
            (a, fa) = (b, fb);
            kept = 0;
        } else {
            fa *= if kept == 1 { 0.5 } else { 1.0 };
            kept = 1;
        }
        (b, fb) = (c, fc);
        if (b - a).abs() <= 4.0 * f64::EPSILON * b.abs().max(a.abs()) {
            break;
        }
    }
    b
}

#[cfg(test)]
#[expect(
    clippy::disallowed_methods,
    reason = "the platform's functions are what is compared with"
)]
mod tests {
    use super::*;

    #[test]
    fn finds_a_steep_and_a_flat_zero() {
        let cube = |t: f64| (t - 0.7).powi(3);
        let t = zero_between((0.0, cube(0.0)), (2.0, cube(2.0)), &cube);
        assert!((t - 0.7).abs() < 1e-5, "{t}");
        let steep = |t: f64| (50.0 * (t - 0.31)).tanh();
        let t = zero_between((0.0, steep(0.0)), (1.0, steep(1.0)), &steep);
        assert!((t - 0.31).abs() < 1e-14, "{t}");
    }
}
