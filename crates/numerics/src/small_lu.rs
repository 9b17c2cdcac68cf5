//! Square systems of a size known at run time, on the stack.
//!
//! Elimination with row exchanges, one operation a step (no fused products). A singular matrix is
//! split too: its pivots show how near to singular it is, and its determinant is zero.

/// A matrix with room for `M` rows and columns.
pub type SmallMatrix<const M: usize> = [[f64; M]; M];

/// The leading `n` by `n` block of a matrix, split into triangles.
///
/// ```
/// use axletree_numerics::SmallLu;
///
/// let lu = SmallLu::new([[2.0, 1.0, 0.0], [1.0, 3.0, 0.0], [0.0; 3]], 2);
/// let x = lu.solve(&[3.0, 5.0, 0.0]);
/// assert!((x[0] - 0.8).abs() < 1e-15 && (x[1] - 1.4).abs() < 1e-15);
/// assert!((lu.determinant() - 5.0).abs() < 1e-14);
/// ```
#[derive(Clone, Debug)]
pub struct SmallLu<const M: usize> {
    n: usize,
    a: SmallMatrix<M>,
    order: [usize; M],
    odd: bool,
}

impl<const M: usize> SmallLu<M> {
    /// Splits the leading `n` by `n` block; `n` is at most `M`. A singular block gives zero pivots.
    pub fn new(mut a: SmallMatrix<M>, n: usize) -> Self {
        let mut order: [usize; M] = std::array::from_fn(|i| i);
        let mut odd = false;
        for k in 0..n {
            let p = (k..n)
                .max_by(|&i, &j| a[i][k].abs().total_cmp(&a[j][k].abs()))
                .unwrap_or(k);
            if p != k {
                a.swap(p, k);
                order.swap(p, k);
                odd = !odd;
            }
            let pivot = a[k][k];
            if pivot == 0.0 {
                continue;
            }
            let row = a[k];
            for other in a.iter_mut().take(n).skip(k + 1) {
                let f = other[k] / pivot;
                other[k] = f;
                for j in k + 1..n {
                    other[j] -= f * row[j];
                }
            }
        }
        SmallLu { n, a, order, odd }
    }

    /// Ratio of the smallest pivot to the largest.
    pub fn pivot_ratio(&self) -> f64 {
        let (mut least, mut most) = (f64::INFINITY, 0.0f64);
        for k in 0..self.n {
            let p = self.a[k][k].abs();
            least = least.min(p);
            most = most.max(p);
        }
        least / most
    }

    /// Determinant.
    pub fn determinant(&self) -> f64 {
        let product: f64 = (0..self.n).map(|k| self.a[k][k]).product();
        if self.odd { -product } else { product }
    }

    /// Solution for one right-hand side; entries beyond `n` are zero.
    pub fn solve(&self, b: &[f64; M]) -> [f64; M] {
        let mut x = [0.0; M];
        for i in 0..self.n {
            let mut s = b[self.order[i]];
            for (a, x) in self.a[i].iter().zip(&x).take(i) {
                s -= a * x;
            }
            x[i] = s;
        }
        for i in (0..self.n).rev() {
            let mut s = x[i];
            for (a, x) in self.a[i].iter().zip(&x).take(self.n).skip(i + 1) {
                s -= a * x;
            }
            x[i] = s / self.a[i][i];
        }
        x
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const M: usize = 14;

    /// Against `nalgebra`, a general-purpose library; both by elimination, so the difference is
    /// rounding.
    #[test]
    fn val_solves_as_a_general_purpose_library_does() {
        use axletree_scalar::Real;
        let n = 9;
        let mut a = [[0.0; M]; M];
        let mut b = [0.0; M];
        for (i, (row, b)) in (0..9).zip(a.iter_mut().zip(&mut b)) {
            *b = Real::cos(f64::from(i));
            for (j, x) in (0..9).zip(row) {
                *x = Real::sin(f64::from(i * i * 7 + j * j * 13 + i * j * 5));
            }
        }
        let lu = SmallLu::new(a, n);
        let x = lu.solve(&b);
        let m = nalgebra::DMatrix::from_fn(n, n, |i, j| a[i][j]);
        let want = m
            .clone()
            .lu()
            .solve(&nalgebra::DVector::from_fn(n, |i, _| b[i]))
            .expect("the matrix is regular");
        for i in 0..n {
            assert!((x[i] - want[i]).abs() < 1e-9 * want.amax());
        }
        assert!((lu.determinant() / m.determinant() - 1.0).abs() < 1e-9);
        assert!(lu.pivot_ratio() > 1e-6);
    }

    #[test]
    fn a_singular_block_has_no_determinant() {
        let lu = SmallLu::new([[1.0, 2.0], [2.0, 4.0]], 2);
        assert!(lu.determinant().abs() < 1e-15 && lu.pivot_ratio() < 1e-15);
    }
}
