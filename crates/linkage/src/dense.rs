//! Small dense systems on the stack.

/// Largest number of unknowns.
pub(crate) const MOST: usize = 14;

/// A matrix of up to [`MOST`] rows and columns.
pub(crate) type Square = [[f64; MOST]; MOST];

/// A matrix split into triangles by elimination with row exchanges.
#[derive(Clone, Debug)]
pub(crate) struct Lu {
    n: usize,
    a: Square,
    order: [usize; MOST],
    odd: bool,
}

impl Lu {
    /// Splits the leading `n` by `n` block. A singular matrix gives zero pivots.
    pub fn new(mut a: Square, n: usize) -> Self {
        let mut order: [usize; MOST] = std::array::from_fn(|i| i);
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
        Lu { n, a, order, odd }
    }

    /// Least pivot over greatest.
    pub fn pivot_ratio(&self) -> f64 {
        let (mut least, mut most) = (f64::INFINITY, 0.0f64);
        for k in 0..self.n {
            let p = self.a[k][k].abs();
            least = least.min(p);
            most = most.max(p);
        }
        least / most
    }

    /// The determinant.
    pub fn determinant(&self) -> f64 {
        let product: f64 = (0..self.n).map(|k| self.a[k][k]).product();
        if self.odd { -product } else { product }
    }

    /// Solves for one right-hand side.
    pub fn solve(&self, b: &[f64; MOST]) -> [f64; MOST] {
        let mut x = [0.0; MOST];
        for i in 0..self.n {
            let mut s = b[self.order[i]];
            for j in 0..i {
                s -= self.a[i][j] * x[j];
            }
            x[i] = s;
        }
        for i in (0..self.n).rev() {
            let mut s = x[i];
            for j in i + 1..self.n {
                s -= self.a[i][j] * x[j];
            }
            x[i] = s / self.a[i][i];
        }
        x
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn val_solves_as_a_general_purpose_library_does() {
        let n = 9;
        let mut a = [[0.0; MOST]; MOST];
        let mut b = [0.0; MOST];
        for i in 0..n {
            b[i] = (i as f64).cos();
            for (j, x) in a[i].iter_mut().enumerate().take(n) {
                *x = ((i * i * 7 + j * j * 13 + i * j * 5) as f64).sin();
            }
        }
        let lu = Lu::new(a, n);
        let x = lu.solve(&b);
        let m = nalgebra::DMatrix::from_fn(n, n, |i, j| a[i][j]);
        let want = m
            .clone()
            .lu()
            .solve(&nalgebra::DVector::from_fn(n, |i, _| b[i]))
            .unwrap();
        for i in 0..n {
            assert!((x[i] - want[i]).abs() < 1e-9 * want.amax());
        }
        assert!((lu.determinant() / m.determinant() - 1.0).abs() < 1e-9);
    }
}
