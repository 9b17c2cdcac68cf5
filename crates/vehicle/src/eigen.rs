//! Eigenvalues and eigenvectors of a real matrix whose entries span many powers of ten.
//!
//! The matrix is balanced by powers of two (Parlett and Reinsch, *Numer. Math.* 13, 1969, from
//! memory), and the balanced matrix `B = D^-1 A D` is decomposed by a general-purpose library. That
//! library chooses its kernels by processor, so the last digits differ between machines:
//! eigenvalues are printed, and no simulation, search or driver uses them. A decomposition counts
//! as found where every pair satisfies, with the Frobenius norm of B,
//!
//! ```text
//! |B v - lambda v| <= 1e-11 |B| |v|
//! ```
//!
//! a thousand times the rounding of a backward stable method at this size. The eigenvectors, right
//! and left, come from inverse iteration: those of the library are wrong for some pairs of nearly
//! equal eigenvalues, as of a mode close to critical damping.

use axletree_scalar::Real;
use faer::Mat;
use nalgebra::linalg::balancing::balance_parlett_reinsch;
use nalgebra::{Complex, DMatrix, DVector};
use thiserror::Error;

/// Largest residual of a pair, relative to the norm of the balanced matrix `[-]`.
const TOLERANCE: f64 = 1e-11;
/// Inverse iterations; one or two are usually enough.
const ITERATIONS: usize = 4;
/// Distances of the shift from the eigenvalue, in roundings of the matrix; the next where a pivot
/// is zero.
const SHIFTS: [f64; 3] = [1.0, 3.0, 10.0];

/// The eigenvalues could not be found.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
#[error(
    "the modes of the linearized car were not found; the largest entry of its matrix is {largest:e}: a \
     stiffness or an inertia is far out of proportion"
)]
pub struct EigenError {
    /// Largest magnitude in the matrix `[SI]`.
    pub largest: f64,
}

/// An eigenvalue with its eigenvectors: `A v = lambda v`, `A^T u = lambda u`.
#[derive(Clone, Debug)]
pub(crate) struct Eigenpair {
    /// lambda.
    pub value: Complex<f64>,
    /// v, of length one in the balanced matrix.
    pub right: DVector<Complex<f64>>,
    /// u, of length one in the balanced matrix.
    pub left: DVector<Complex<f64>>,
}

/// Eigenvalues with their eigenvectors; of a conjugate pair the one with the positive imaginary
/// part.
pub(crate) fn eigenpairs(a: &DMatrix<f64>) -> Result<Vec<Eigenpair>, EigenError> {
    let n = a.nrows();
    let largest = a.amax();
    let failed = EigenError { largest };
    if !largest.is_finite() {
        return Err(failed);
    }
    let mut balanced = a.clone();
    let scale = balance_parlett_reinsch(&mut balanced);
    let transposed = balanced.transpose();
    let norm = balanced.norm();
    let matrix = Mat::from_fn(n, n, |i, j| balanced[(i, j)]);
    let values = matrix.eigenvalues().map_err(|_| failed)?;

    let mut pairs = Vec::with_capacity(n);
    for value in values.iter().filter(|l| l.im >= 0.0) {
        let value = Complex::new(value.re, value.im);
        let mut right = eigenvector(&balanced, value, norm);
        let mut left = eigenvector(&transposed, value, norm);
        let error = f64::max(
            residual(&balanced, value, &right),
            residual(&transposed, value, &left),
        );
        if error.is_nan() || error > TOLERANCE * norm {
            return Err(failed);
        }
        for i in 0..n {
            right[i] *= scale[i];
            left[i] /= scale[i];
        }
        pairs.push(Eigenpair { value, right, left });
    }
    Ok(pairs)
}

/// An eigenvector of length one by inverse iteration: the iterate with the least residual, since
/// for a nearly defective matrix the first one is best (Ipsen, *SIAM Review* 39, 1997, from
/// memory).
fn eigenvector(a: &DMatrix<f64>, value: Complex<f64>, norm: f64) -> DVector<Complex<f64>> {
    let n = a.nrows();
    // A start that favors no state.
    let start = DVector::from_fn(n, |i, _| Complex::new(1.0 + 0.1 * Real::sin(i as f64), 0.3));
    let start = start.unscale(start.norm());
    let (mut best, mut least) = (start.clone(), f64::INFINITY);
    for distance in SHIFTS {
        // Off the eigenvalue by the rounding of the matrix, so that it can be factored.
        let rounding = distance * f64::EPSILON * norm.max(f64::MIN_POSITIVE);
        let shift = value + Complex::new(rounding, rounding);
        let shifted = DMatrix::from_fn(n, n, |i, j| {
            let diagonal = if i == j {
                shift
            } else {
                Complex::new(0.0, 0.0)
            };
            Complex::new(a[(i, j)], 0.0) - diagonal
        });
        let factored = shifted.lu();
        let mut x = start.clone();
        for _ in 0..ITERATIONS {
            let Some(next) = factored.solve(&x) else {
                break;
            };
            // Scaled first, because squares of large entries overflow.
            let largest = next
                .iter()
                .fold(0.0, |m, x| x.re.abs().max(x.im.abs()).max(m));
            let scaled = next.unscale(largest);
            let length = scaled.norm();
            if !length.is_finite() {
                break;
            }
            x = scaled.unscale(length);
            let error = residual(a, value, &x);
            if error < least {
                (best, least) = (x.clone(), error);
            }
        }
        if least < TOLERANCE * norm {
            break;
        }
    }
    best
}

/// `|A x - lambda x|` for a vector of length one.
fn residual(a: &DMatrix<f64>, value: Complex<f64>, x: &DVector<Complex<f64>>) -> f64 {
    let (re, im) = (a * x.map(|x| x.re), a * x.map(|x| x.im));
    let mut sum = 0.0;
    for i in 0..x.len() {
        let r = Complex::new(re[i], im[i]) - value * x[i];
        sum += Real::sq(r.re) + Real::sq(r.im);
    }
    sum.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// All eigenvalues, both of each conjugate pair, sorted.
    fn eigenvalues(a: &DMatrix<f64>) -> Vec<Complex<f64>> {
        let mut values = Vec::new();
        for pair in eigenpairs(a).unwrap() {
            values.push(pair.value);
            if pair.value.im > 0.0 {
                values.push(pair.value.conj());
            }
        }
        values.sort_by(|a, b| a.re.total_cmp(&b.re).then(a.im.total_cmp(&b.im)));
        values
    }

    fn size(x: Complex<f64>) -> f64 {
        Real::hypot(x.re, x.im)
    }

    /// A random matrix of one of several kinds, many of them defective.
    fn matrix(kind: usize, n: usize, rng: &mut ChaCha8Rng) -> DMatrix<f64> {
        let mut dense = DMatrix::from_fn(n, n, |_, _| rng.random_range(-1.0..1.0));
        match kind {
            // Dense.
            0 => dense,
            // Sparse: a fifth of the entries.
            1 => dense.map(|x: f64| if x > 0.6 { x } else { 0.0 }),
            // Stiff: rows and columns in units that differ by up to 2^40.
            2 => {
                for i in 0..n {
                    let unit = f64::from(1u32 << rng.random_range(0..20));
                    dense.row_mut(i).apply(|x| *x *= unit);
                    dense.column_mut(i).apply(|x| *x /= unit);
                }
                dense
            }
            // Stiff: decays that differ by twelve powers of ten.
            3 => {
                for i in 0..n {
                    let mut decay = 1e-6;
                    for _ in 0..rng.random_range(0..12) {
                        decay *= 10.0;
                    }
                    dense.row_mut(i).apply(|x| *x *= decay);
                }
                dense
            }
            // Jordan blocks of up to six equal whole numbers: defective.
            4 => {
                let mut a = DMatrix::zeros(n, n);
                let (mut value, mut order) = (0.0, 0);
                for i in 0..n {
                    order += 1;
                    if i > 0 && order < 6 && rng.random_range(0..3) > 0 {
                        a[(i - 1, i)] = 1.0;
                    } else {
                        value = f64::from(rng.random_range(-2i8..3));
                        order = 0;
                    }
                    a[(i, i)] = value;
                }
                a
            }
            // The same, mixed by a similarity.
            5 => {
                let mix = DMatrix::identity(n, n) + dense * (0.3 / n as f64);
                let inverse = mix.clone().try_inverse().unwrap();
                mix * matrix(4, n, rng) * inverse
            }
            // Low rank: many eigenvalues are zero.
            6 => {
                let thin = dense.columns(0, 1.max(n / 4)).into_owned();
                &thin * thin.transpose()
            }
            // A permutation: plain shifts run in a circle.
            7 => {
                let shift = rng.random_range(0..n);
                DMatrix::from_fn(n, n, |i, j| if (i + shift) % n == j { 1.0 } else { 0.0 })
            }
            _ => DMatrix::zeros(n, n),
        }
    }

    /// 10^4 random and defective matrices. `eigenpairs` checks that each pair satisfies its
    /// equation. The sums of the eigenvalues and of their squares, which equal the traces of the
    /// matrix and of its square, show that none is missing; they are well conditioned for defective
    /// matrices too. Bounds: the rounding of a backward stable method, with a factor 100.
    #[test]
    #[expect(clippy::float_cmp, reason = "the same bits are meant")]
    fn val_eigenvalues_of_random_and_defective_matrices() {
        let mut rng = ChaCha8Rng::seed_from_u64(5);
        let mut complex = 0;
        for case in 0..10_000 {
            let n = rng.random_range(1..30);
            let a = matrix(case % 9, n, &mut rng);
            let pairs = eigenpairs(&a).unwrap_or_else(|e| panic!("case {case}: {e} {a}"));
            let order = |p: &Eigenpair| if p.value.im > 0.0 { 2.0 } else { 1.0 };
            assert_eq!(
                pairs.iter().map(order).sum::<f64>(),
                n as f64,
                "case {case}"
            );
            complex += pairs.iter().filter(|p| p.value.im > 0.0).count();
            let mut balanced = a.clone();
            balance_parlett_reinsch(&mut balanced);
            let (norm, rounding) = (balanced.norm(), 100.0 * n as f64 * f64::EPSILON);
            let sum = |f: fn(Complex<f64>) -> f64| {
                let both = |p: &Eigenpair| order(p) * f(p.value);
                pairs.iter().map(both).sum::<f64>()
            };
            let trace = balanced.trace();
            assert!(
                (sum(|l| l.re) - trace).abs() <= rounding * norm,
                "case {case}"
            );
            let squares = (&balanced * &balanced).trace();
            let found = sum(|l| l.re * l.re - l.im * l.im);
            assert!(
                (found - squares).abs() <= rounding * norm * norm,
                "case {case}: {found} {squares}"
            );
        }
        assert!(complex > 10_000, "{complex}");
    }

    /// The control of the check on residuals: a wrong value or a wrong vector has a large one.
    #[test]
    fn a_wrong_pair_has_a_large_residual() {
        let a = DMatrix::from_row_slice(2, 2, &[0.0, 1.0, -4.0, 0.0]);
        let pair = &eigenpairs(&a).unwrap()[0];
        assert!(size(pair.value - Complex::new(0.0, 2.0)) < 1e-14);
        let right = pair.right.unscale(pair.right.norm());
        assert!(residual(&a, pair.value, &right) < 1e-14);
        assert!(residual(&a, pair.value + Complex::new(1e-6, 0.0), &right) > 1e-7);
        assert!(residual(&a.transpose(), pair.value, &right) > 0.1);
    }

    /// A matrix of known eigenvalues over twelve powers of ten, mixed by similarity.
    #[test]
    fn val_eigenvalues_over_twelve_powers_of_ten() {
        let n = 24;
        let mut d = DMatrix::zeros(n, n);
        let mut want: Vec<Complex<f64>> = Vec::new();
        let mut size_of_block = 1e-5;
        for i in (0..n).step_by(2) {
            let s = size_of_block;
            size_of_block *= 10.0;
            if i % 4 == 0 {
                d[(i, i)] = -s;
                d[(i + 1, i + 1)] = -3.0 * s;
                want.extend([-s, -3.0 * s].map(|x| Complex::new(x, 0.0)));
            } else {
                d[(i, i)] = -s;
                d[(i + 1, i + 1)] = -s;
                d[(i, i + 1)] = 2.0 * s;
                d[(i + 1, i)] = -2.0 * s;
                want.extend([2.0, -2.0].map(|w| Complex::new(-s, w * s)));
            }
        }
        want.sort_by(|a, b| a.re.total_cmp(&b.re).then(a.im.total_cmp(&b.im)));
        let mix = DMatrix::from_fn(n, n, |i, j| {
            if i == j {
                1.0
            } else {
                0.02 * Real::sin((3 * i + 7 * j) as f64)
            }
        });
        let a = &mix * &d * mix.clone().try_inverse().unwrap();
        for (got, want) in eigenvalues(&a).into_iter().zip(want) {
            // The small ones are known to the rounding of the largest entry.
            assert!(
                size(got - want) < 1e-9 * size(want) + 1e-14 * 1e6,
                "{got} {want}"
            );
        }
    }

    #[test]
    fn val_companion_matrix_has_the_roots_of_its_polynomial() {
        // (x - 1)(x + 2)(x^2 + 4)(x - 5)
        let c = [40.0, -28.0, -6.0, -3.0, -4.0];
        let mut a = DMatrix::zeros(5, 5);
        for i in 0..5 {
            a[(i, 4)] = -c[i];
            if i > 0 {
                a[(i, i - 1)] = 1.0;
            }
        }
        let want = [(-2.0, 0.0), (0.0, -2.0), (0.0, 2.0), (1.0, 0.0), (5.0, 0.0)]
            .map(|(re, im)| Complex::new(re, im));
        for want in want {
            let near = eigenvalues(&a).into_iter().map(|got| size(got - want));
            assert!(near.fold(f64::INFINITY, f64::min) < 1e-10, "{want}");
        }
        assert!(eigenpairs(&DMatrix::from_element(3, 3, f64::NAN)).is_err());
    }
}
