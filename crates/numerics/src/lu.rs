//! Square linear systems of a size known to the compiler: LU factorization with row exchanges.
//!
//! `P A = L U` by columns (Golub and Van Loan, *Matrix Computations*, 4th ed. 2013, section 3.4,
//! from memory). Rows are filled up to whole vectors and the work runs in the machine's widest
//! lanes; the bits are the same in lanes of any width.

use axletree_scalar::{FusedTask, LANES, fused};

/// Length of a row: the size of the largest system, filled up to whole vectors.
const ROW: usize = 6 * LANES;

/// A matrix of N rows and columns, N at most 48; the numbers beyond column N are ignored.
#[derive(Clone, Debug, PartialEq)]
#[repr(align(64))]
pub struct Square<const N: usize>(pub [[f64; ROW]; N]);

impl<const N: usize> Square<N> {
    /// A matrix of zeros.
    ///
    /// # Panics
    /// If N is above 48.
    pub fn zero() -> Self {
        assert!(N <= ROW, "{N} columns");
        Square([[0.0; ROW]; N])
    }
}

/// The LU factors of a matrix.
///
/// ```
/// use axletree_numerics::{Lu, Square};
///
/// // 2 x + y = 5, x + 3 y = 10
/// let mut a = Box::new(Square::<2>::zero());
/// (a.0[0][0], a.0[0][1]) = (2.0, 1.0);
/// (a.0[1][0], a.0[1][1]) = (1.0, 3.0);
/// let [x, y] = Lu::new(a).expect("regular").solve(&[5.0, 10.0]);
/// assert!((x - 1.0).abs() < 1e-15 && (y - 3.0).abs() < 1e-15);
/// ```
#[derive(Clone, Debug)]
pub struct Lu<const N: usize> {
    /// The upper triangle; the numbers left of it are ignored.
    upper: Box<Square<N>>,
    /// Row `k`: the multiples of pivot row `k` that were subtracted from the rows below.
    factors: Box<Square<N>>,
    /// Row that was exchanged with row `k` in elimination `k`.
    pivots: [usize; N],
}

impl<const N: usize> Lu<N> {
    /// Factors a matrix; `None` where it is singular or not finite.
    pub fn new(matrix: Box<Square<N>>) -> Option<Self> {
        let mut lu = Lu {
            upper: matrix,
            factors: Box::new(Square::zero()),
            pivots: [0; N],
        };
        fused(Factor(&mut lu)).then_some(lu)
    }

    /// Solves for one right-hand side.
    pub fn solve(&self, right: &[f64; N]) -> [f64; N] {
        fused(Solve(self, right))
    }
}

struct Factor<'a, const N: usize>(&'a mut Lu<N>);

impl<const N: usize> FusedTask for Factor<'_, N> {
    type Out = bool;

    #[inline(always)]
    fn run(self) -> bool {
        let Lu {
            upper,
            factors,
            pivots,
        } = self.0;
        let a = &mut upper.0;
        for k in 0..N {
            let mut p = k;
            for i in k + 1..N {
                if a[i][k].abs() > a[p][k].abs() {
                    p = i;
                }
            }
            a.swap(p, k);
            pivots[k] = p;
            let row = a[k];
            let pivot = row[k];
            if pivot == 0.0 || !pivot.is_finite() {
                return false;
            }
            let inverse = 1.0 / pivot;
            // Whole vectors, from the one with the pivot on; the numbers left of the triangle are
            // ignored.
            let first = k / LANES;
            for i in k + 1..N {
                let factor = a[i][k] * inverse;
                factors.0[k][i] = factor;
                for block in first..ROW / LANES {
                    for j in block * LANES..(block + 1) * LANES {
                        a[i][j] -= factor * row[j];
                    }
                }
            }
        }
        true
    }
}

struct Solve<'a, const N: usize>(&'a Lu<N>, &'a [f64; N]);

impl<const N: usize> FusedTask for Solve<'_, N> {
    type Out = [f64; N];

    #[inline(always)]
    fn run(self) -> [f64; N] {
        let Solve(lu, right) = self;
        let mut x = *right;
        for k in 0..N {
            x.swap(k, lu.pivots[k]);
            let factors = &lu.factors.0[k];
            for i in k + 1..N {
                x[i] -= factors[i] * x[k];
            }
        }
        for i in (0..N).rev() {
            let row = &lu.upper.0[i];
            let mut sum = x[i];
            for j in i + 1..N {
                sum -= row[j] * x[j];
            }
            x[i] = sum / row[i];
        }
        x
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axletree_scalar::Real;
    use nalgebra::{DMatrix, DVector};
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    const N: usize = 41;

    /// A random matrix with a zero diagonal, which needs row exchanges.
    fn matrix(seed: u64) -> Box<Square<N>> {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let mut square = Box::new(Square::zero());
        for (i, row) in square.0.iter_mut().enumerate() {
            for value in row.iter_mut() {
                *value = rng.random_range(-0.5..0.5);
            }
            row[i] = 0.0;
        }
        square
    }

    /// Against nalgebra, a general-purpose library.
    #[test]
    fn val_solution_agrees_with_a_general_purpose_library() {
        for seed in 1..20 {
            let square = matrix(seed);
            let own = DMatrix::from_fn(N, N, |i, j| square.0[i][j]);
            let right: [f64; N] = std::array::from_fn(|i| Real::cos(i as f64));
            let want = own.lu().solve(&DVector::from_row_slice(&right)).unwrap();
            let got = Lu::new(square).unwrap().solve(&right);
            for i in 0..N {
                assert!(
                    (got[i] - want[i]).abs() < 1e-10 * (1.0 + want.amax()),
                    "{i}"
                );
            }
        }
    }

    #[test]
    fn a_singular_matrix_has_no_factors() {
        let mut square = matrix(3);
        square.0[7] = square.0[30].map(|x| 2.0 * x);
        square.0[12] = [0.0; ROW];
        assert!(Lu::new(square).is_none());
        let mut square = matrix(4);
        square.0[5][5] = f64::NAN;
        assert!(Lu::new(square).is_none());
    }
}
