//! Eigenvalues and eigenvectors of symmetric matrices by Jacobi's method.
//!
//! A symmetric matrix A is turned into a diagonal one by plane rotations, `A <- R'A R`, `V <- V R`.
//! The rotation in the plane of the coordinates p and q that makes `a_pq` zero has
//!
//! ```text
//! theta = (a_qq - a_pp)/(2 a_pq)
//! t = sign(theta)/(|theta| + sqrt(theta^2 + 1)),   c = 1/sqrt(t^2 + 1),   s = t c
//! a_pp <- a_pp - t a_pq,   a_qq <- a_qq + t a_pq
//! a_kp <- c a_kp - s a_kq,   a_kq <- s a_kp + c a_kq     for the other k, and in V for all k
//! ```
//!
//! with t the tangent of the smaller of the two possible angles. All pairs are visited in a fixed
//! order, row by row, until no `|a_pq|` exceeds the rounding unit times `sqrt(|a_pp a_qq|)`;
//! convergence is quadratic in the number of sweeps. (Golub and Van Loan, *Matrix Computations*,
//! 4th ed. 2013, section 8.5; the relative criterion: Demmel and Veselic, *SIAM J. Matrix Anal.
//! Appl.* 13, 1992, pp. 1204-1245; both from memory.)
//!
//! Own code because the results steer searches: a library chooses its order of operations, and so
//! the last bits, by version and processor. Here they follow from the matrix alone.

use nalgebra::{DMatrix, DVector};

/// Most sweeps over all pairs; ten are enough for any matrix of a few dozen rows.
const MOST_SWEEPS: usize = 60;

/// Eigenvalues and eigenvectors of a symmetric matrix, `A = V diag(values) V'`.
#[derive(Clone, Debug, PartialEq)]
pub struct SymmetricEigen {
    /// Eigenvalues, rising.
    pub values: DVector<f64>,
    /// Orthonormal eigenvectors, one a column, in the order of the eigenvalues. The component of
    /// largest magnitude, the first of equals, is positive.
    pub vectors: DMatrix<f64>,
}

impl SymmetricEigen {
    /// Function of the matrix, `V diag(f(values)) V'`.
    pub fn map(&self, f: impl Fn(f64) -> f64) -> DMatrix<f64> {
        let mut scaled = self.vectors.clone();
        for (mut column, value) in scaled.column_iter_mut().zip(self.values.iter()) {
            column *= f(*value);
        }
        scaled * self.vectors.transpose()
    }
}

/// Eigenvalues and eigenvectors of a symmetric matrix, of which the upper triangle is read; all NaN
/// where an element of it is not finite.
///
/// # Panics
/// If the matrix is not square.
///
/// ```
/// use axletree_numerics::symmetric_eigen;
/// use nalgebra::dmatrix;
///
/// let eigen = symmetric_eigen(&dmatrix![2.0, 1.0; 1.0, 2.0]);
/// assert!((eigen.values[0] - 1.0).abs() < 1e-15 && (eigen.values[1] - 3.0).abs() < 1e-15);
/// let root = eigen.map(f64::sqrt);
/// assert!((&root * &root - dmatrix![2.0, 1.0; 1.0, 2.0]).amax() < 1e-15);
/// ```
pub fn symmetric_eigen(matrix: &DMatrix<f64>) -> SymmetricEigen {
    assert!(matrix.is_square(), "a symmetric matrix is square");
    let n = matrix.nrows();
    let mut a = DMatrix::from_fn(n, n, |i, j| matrix[(i.min(j), i.max(j))]);
    if !a.iter().all(|x| x.is_finite()) {
        return SymmetricEigen {
            values: DVector::from_element(n, f64::NAN),
            vectors: DMatrix::from_element(n, n, f64::NAN),
        };
    }
    let mut v = DMatrix::identity(n, n);
    for _ in 0..MOST_SWEEPS {
        let mut rotated = false;
        for p in 0..n {
            for q in p + 1..n {
                let least = f64::EPSILON * (a[(p, p)].abs().sqrt() * a[(q, q)].abs().sqrt());
                if a[(p, q)].abs() > least {
                    rotate(&mut a, &mut v, p, q);
                    rotated = true;
                }
            }
        }
        if !rotated {
            break;
        }
    }
    sorted(&a, &v)
}

/// Makes the element (p, q) zero.
fn rotate(a: &mut DMatrix<f64>, v: &mut DMatrix<f64>, p: usize, q: usize) {
    let n = a.nrows();
    let off = a[(p, q)];
    let theta = (a[(q, q)] - a[(p, p)]) / (2.0 * off);
    let t = if theta.abs() > 1e150 {
        0.5 / theta
    } else {
        theta.signum() / (theta.abs() + (theta * theta + 1.0).sqrt())
    };
    let c = 1.0 / (t * t + 1.0).sqrt();
    let s = t * c;
    a[(p, p)] -= t * off;
    a[(q, q)] += t * off;
    a[(p, q)] = 0.0;
    a[(q, p)] = 0.0;
    for k in (0..n).filter(|k| *k != p && *k != q) {
        let (x, y) = (a[(k, p)], a[(k, q)]);
        a[(k, p)] = c * x - s * y;
        a[(k, q)] = s * x + c * y;
        a[(p, k)] = a[(k, p)];
        a[(q, k)] = a[(k, q)];
    }
    for k in 0..n {
        let (x, y) = (v[(k, p)], v[(k, q)]);
        v[(k, p)] = c * x - s * y;
        v[(k, q)] = s * x + c * y;
    }
}

/// Eigenvalues rising, eigenvectors with them, signs fixed.
fn sorted(a: &DMatrix<f64>, v: &DMatrix<f64>) -> SymmetricEigen {
    let n = a.nrows();
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|&i, &j| a[(i, i)].total_cmp(&a[(j, j)]));
    let mut vectors = DMatrix::zeros(n, n);
    for (k, &i) in order.iter().enumerate() {
        let column = v.column(i);
        let largest = column
            .iter()
            .fold(0.0_f64, |l, x| if x.abs() > l.abs() { *x } else { l });
        vectors.set_column(k, &(column * largest.signum()));
    }
    SymmetricEigen {
        values: DVector::from_iterator(n, order.iter().map(|&i| a[(i, i)])),
        vectors,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axletree_scalar::Real;
    use nalgebra::dmatrix;
    use std::f64::consts::PI;

    /// Largest element of `A V - V diag(values)`, and of `V'V - 1`.
    fn residuals(a: &DMatrix<f64>, eigen: &SymmetricEigen) -> [f64; 2] {
        let (v, n) = (&eigen.vectors, a.nrows());
        [
            (a * v - v * DMatrix::from_diagonal(&eigen.values)).amax(),
            (v.transpose() * v - DMatrix::identity(n, n)).amax(),
        ]
    }

    /// The second-difference matrix with 2 on the diagonal and -1 beside it has the eigenvalues
    /// `2 - 2 cos(k pi/(n + 1))` and the eigenvectors `sin(i k pi/(n + 1))` (closed form).
    #[test]
    fn val_second_difference_matrix() {
        for n in [1, 2, 5, 17] {
            let a = DMatrix::from_fn(n, n, |i, j| match i.abs_diff(j) {
                0 => 2.0,
                1 => -1.0,
                _ => 0.0,
            });
            let eigen = symmetric_eigen(&a);
            for k in 0..n {
                let w = (k + 1) as f64 * PI / (n + 1) as f64;
                assert!((eigen.values[k] - (2.0 - 2.0 * Real::cos(w))).abs() < 1e-14);
                let wave = DVector::from_fn(n, |i, _| Real::sin((i + 1) as f64 * w)).normalize();
                let along = wave.dot(&eigen.vectors.column(k));
                assert!((along.abs() - 1.0).abs() < 1e-13, "{n} {k} {along}");
            }
            assert!(residuals(&a, &eigen).iter().all(|r| *r < 1e-14));
        }
    }

    /// Matrices built from known eigenvalues, some of them alike, and random rotations:
    /// eigenvalues, residuals and orthogonality to a few rounding units; small eigenvalues beside
    /// large ones too.
    #[test]
    fn law_residuals_of_random_matrices() {
        let mut state = 1_u64;
        let mut random = || {
            state = state
                .wrapping_mul(6364136223846793005)
                .wrapping_add(1442695040888963407);
            (state >> 11) as f64 / (1_u64 << 53) as f64 - 0.5
        };
        for round in 0..200 {
            let n = 1 + round % 12;
            let any = DMatrix::from_fn(n, n, |_, _| random());
            let q = any.qr().q();
            let mut want: Vec<f64> = (0..n).map(|_| 20.0 * random()).collect();
            if n > 4 {
                want[1] = want[0];
                want[2] = 1e-9;
            }
            let a = &q * DMatrix::from_diagonal(&DVector::from_vec(want.clone())) * q.transpose();
            let eigen = symmetric_eigen(&a);
            want.sort_by(f64::total_cmp);
            let largest = eigen.values.amax().max(1e-3);
            for (got, want) in eigen.values.iter().zip(&want) {
                assert!(
                    (got - want).abs() < 1e-14 * n as f64 * largest,
                    "{got} {want}"
                );
            }
            let [residual, orthogonal] = residuals(&a, &eigen);
            assert!(residual < 1e-14 * n as f64 * largest, "{residual}");
            assert!(orthogonal < 1e-14 * n as f64, "{orthogonal}");
            assert!((eigen.map(|x| x) - &a).amax() < 1e-14 * n as f64 * largest);
        }
    }

    /// Eigenvalues rise, the largest component of every vector is positive, and the same matrix
    /// gives the same bits.
    #[test]
    fn law_order_and_signs() {
        let a = dmatrix![4.0, 1.0, -2.0; 1.0, 2.0, 0.0; -2.0, 0.0, 3.0];
        let eigen = symmetric_eigen(&a);
        for pair in eigen.values.as_slice().windows(2) {
            assert!(pair[0] <= pair[1]);
        }
        for column in eigen.vectors.column_iter() {
            assert!(column[column.iamax()] > 0.0);
        }
        assert_eq!(eigen, symmetric_eigen(&a));
        // Both components of the first vector are alike: the first one is positive.
        let alike = symmetric_eigen(&dmatrix![2.0, 1.0; 1.0, 2.0]);
        assert!(alike.vectors[(0, 0)] > 0.0 && alike.vectors[(1, 0)] < 0.0);
    }

    /// Diagonal, zero and scaled matrices; huge ratios; no element that is not finite is lost.
    #[test]
    #[expect(clippy::float_cmp, reason = "the same bits are meant")]
    fn special_matrices() {
        let diagonal = symmetric_eigen(&dmatrix![3.0, 0.0; 0.0, -1.0]);
        assert_eq!(diagonal.values.as_slice(), [-1.0, 3.0]);
        assert_eq!(diagonal.vectors, dmatrix![0.0, 1.0; 1.0, 0.0]);
        assert_eq!(symmetric_eigen(&DMatrix::zeros(3, 3)).values.amax(), 0.0);
        assert_eq!(symmetric_eigen(&DMatrix::zeros(0, 0)).values.len(), 0);
        // A graded positive definite matrix: the small eigenvalue is det/large to full relative
        // accuracy.
        let graded = symmetric_eigen(&dmatrix![1e12, 1e4; 1e4, 1e-3]);
        let small = (1e12 * 1e-3 - 1e8) / (1e12 + 1e-4);
        assert!((graded.values[0] / small - 1.0).abs() < 1e-14);
        let nan = symmetric_eigen(&dmatrix![1.0, f64::NAN; f64::NAN, 2.0]);
        assert!(nan.values.iter().all(|x| x.is_nan()));
    }
}
