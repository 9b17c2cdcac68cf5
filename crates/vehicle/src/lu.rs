//! Square systems of a size known to the compiler, solved by elimination with row exchanges.

use axletree_scalar::{FusedTask, LANES, fused};

/// Length of a row: the size of the largest system, filled up to whole vectors.
const ROW: usize = 6 * LANES;

/// A matrix of N rows and columns, N at most 48; what stands beyond column N means nothing.
#[derive(Clone, Debug, PartialEq)]
#[repr(align(64))]
pub struct Square<const N: usize>(pub [[f64; ROW]; N]);

impl<const N: usize> Square<N> {
    /// All zero.
    pub fn zero() -> Self {
        assert!(N <= ROW, "{N} columns");
        Square([[0.0; ROW]; N])
    }
}

/// A matrix split into triangles.
#[derive(Clone, Debug)]
pub struct Lu<const N: usize> {
    /// The upper triangle; what stands left of it means nothing.
    upper: Box<Square<N>>,
    /// The factors: in row `k` those by which row `k` was taken off the rows below.
    factors: Box<Square<N>>,
    /// Row that came to place `k` in elimination `k`.
    pivots: [usize; N],
}

impl<const N: usize> Lu<N> {
    /// Splits a matrix; `None` where it is singular or not finite.
    pub fn new(matrix: Box<Square<N>>) -> Option<Self> {
        let mut lu = Lu {
            upper: matrix,
            factors: Box::new(Square::zero()),
            pivots: [0; N],
        };
        fused(Split(&mut lu)).then_some(lu)
    }

    /// Solves for one right-hand side.
    pub fn solve(&self, right: &[f64; N]) -> [f64; N] {
        fused(Solve(self, right))
    }
}

struct Split<'a, const N: usize>(&'a mut Lu<N>);

impl<const N: usize> FusedTask for Split<'_, N> {
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
            // Whole vectors, from the one with the pivot on: what changes left of the triangle means nothing.
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
    use nalgebra::{DMatrix, DVector};

    const N: usize = 41;

    /// A matrix that needs row exchanges, by a linear congruential generator (Knuth's constants).
    fn matrix(seed: u64) -> Box<Square<N>> {
        let mut seed = seed;
        let mut draw = || {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (seed >> 11) as f64 / (1u64 << 53) as f64 - 0.5
        };
        let mut square = Box::new(Square::zero());
        for (i, row) in square.0.iter_mut().enumerate() {
            for value in row.iter_mut() {
                *value = draw();
            }
            row[i] = 0.0;
        }
        square
    }

    /// Against nalgebra, a general-purpose library.
    #[test]
    fn val_solves_what_a_general_purpose_library_does() {
        for seed in 1..20 {
            let square = matrix(seed);
            let own = DMatrix::from_fn(N, N, |i, j| square.0[i][j]);
            let right: [f64; N] = std::array::from_fn(|i| (i as f64).cos());
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
    fn a_singular_matrix_has_no_triangles() {
        let mut square = matrix(3);
        square.0[7] = square.0[30].map(|x| 2.0 * x);
        square.0[12] = [0.0; ROW];
        assert!(Lu::new(square).is_none());
        let mut square = matrix(4);
        square.0[5][5] = f64::NAN;
        assert!(Lu::new(square).is_none());
    }
}
