//! The matrix exponential.
//!
//! Scaling and squaring (Moler and Van Loan, "Nineteen dubious ways to compute the exponential of a
//! matrix", 2003, method 3): `exp(A) = exp(A/2^s)^(2^s)` with `s` such that the scaled matrix has a
//! 1-norm of at most 1/2, whose Taylor series is summed to the 18th power; the remainder is below
//! 1e-22.

use nalgebra::DMatrix;

/// Terms of the Taylor series.
const TERMS: u32 = 18;

/// `exp(a)` of a square matrix; not finite where `a` is not.
///
/// ```
/// use axletree_numerics::exponential;
/// use nalgebra::dmatrix;
///
/// // A quarter turn.
/// let quarter = std::f64::consts::FRAC_PI_2;
/// let turn = exponential(&dmatrix![0.0, -quarter; quarter, 0.0]);
/// assert!((turn[(1, 0)] - 1.0).abs() < 1e-14 && turn[(0, 0)].abs() < 1e-14);
/// ```
pub fn exponential(a: &DMatrix<f64>) -> DMatrix<f64> {
    let n = a.nrows();
    let norm = a
        .column_iter()
        .map(|c| c.iter().map(|x| x.abs()).sum::<f64>())
        .fold(0.0, f64::max);
    if !norm.is_finite() {
        return DMatrix::from_element(n, n, f64::NAN);
    }
    let mut squarings = 0;
    let mut scale = 1.0;
    while norm * scale > 0.5 {
        scale *= 0.5;
        squarings += 1;
    }
    let scaled = a * scale;
    // Horner's rule: 1 + A (1 + A/2 (1 + A/3 (...))).
    let mut sum = DMatrix::identity(n, n);
    for k in (1..=TERMS).rev() {
        sum = DMatrix::identity(n, n) + &scaled * sum / f64::from(k);
    }
    for _ in 0..squarings {
        sum = &sum * &sum;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use axletree_scalar::Real;
    use nalgebra::dmatrix;

    /// A damped oscillator, `x'' + 2 d w x' + w^2 x = 0`, whose free motion has a closed form.
    #[test]
    fn val_free_motion_of_an_oscillator() {
        let (w, d, t) = (12.0_f64, 0.2_f64, 0.7_f64);
        let e = exponential(&(dmatrix![0.0, 1.0; -w * w, -2.0 * d * w] * t));
        let v = w * (1.0 - d * d).sqrt();
        let decay = Real::exp(-d * w * t);
        let (s, c) = Real::sin_cos(v * t);
        assert!((e[(0, 0)] - decay * (c + d * w / v * s)).abs() < 1e-13);
        assert!((e[(0, 1)] - decay * s / v).abs() < 1e-14);
        assert!((e[(1, 0)] + decay * w * w / v * s).abs() < 1e-12);
    }

    #[test]
    fn not_finite_goes_in_and_comes_out() {
        assert!(exponential(&dmatrix![f64::NAN])[(0, 0)].is_nan());
        assert_eq!(exponential(&dmatrix![0.0]), dmatrix![1.0]);
    }
}
