//! Eigenvalues of a real matrix whose entries span many powers of ten.
//!
//! Balancing, reduction to Hessenberg form, then Francis's double-shift QR iteration with exceptional
//! shifts (Golub and Van Loan, *Matrix Computations*, 4th ed. 2013, section 7.5; shifts after Wilkinson;
//! both from memory). A subdiagonal entry counts as zero where adding it to its diagonal neighbors, or
//! where both vanish to the norm of the matrix, changes nothing. A general-purpose Schur decomposition
//! was tried first: it iterates without end on cars whose tires are a thousand times stiffer than the
//! decays beside them, where neighbors on the diagonal are nothing but rounding.

use nalgebra::linalg::Hessenberg;
use nalgebra::linalg::balancing::balance_parlett_reinsch;
use nalgebra::{Complex, DMatrix};
use thiserror::Error;

/// Sweeps that one eigenvalue may take; two or three are usual.
const MOST_SWEEPS: usize = 90;

/// The eigenvalues could not be found.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
#[error(
    "the eigenvalues of the linearized car were not found within {MOST_SWEEPS} sweeps each; the largest \
     entry of its matrix is {largest:e}: a stiffness or an inertia is far out of proportion"
)]
pub struct EigenError {
    /// Largest magnitude in the matrix [SI].
    pub largest: f64,
}

/// Eigenvalues of a real matrix; conjugate pairs stand side by side.
pub fn eigenvalues(a: &DMatrix<f64>) -> Result<Vec<Complex<f64>>, EigenError> {
    let largest = a.amax();
    let failed = EigenError { largest };
    if !largest.is_finite() {
        return Err(failed);
    }
    if a.nrows() < 2 {
        return Ok(a.iter().map(|x| Complex::new(*x, 0.0)).collect());
    }
    let mut balanced = a.clone();
    balance_parlett_reinsch(&mut balanced);
    let mut work = Iteration {
        norm: balanced.norm(),
        h: Hessenberg::new(balanced).unpack_h(),
        shifted: 0.0,
    };
    let mut found = Vec::with_capacity(a.nrows());
    let mut size = a.nrows();
    while size > 0 {
        let mut sweeps = 0;
        size = loop {
            let start = work.split(size);
            match size - start {
                1 => {
                    let value = work.h[(size - 1, size - 1)] + work.shifted;
                    found.push(Complex::new(value, 0.0));
                    break size - 1;
                }
                2 => {
                    found.extend(work.pair(size));
                    break size - 2;
                }
                _ if sweeps == MOST_SWEEPS => return Err(failed),
                _ => {
                    sweeps += 1;
                    work.sweep(start, size, sweeps % 10 == 0);
                }
            }
        };
    }
    Ok(found)
}

struct Iteration {
    h: DMatrix<f64>,
    norm: f64,
    /// What exceptional shifts have taken off the diagonal.
    shifted: f64,
}

impl Iteration {
    /// First row of the last block that no zero of the subdiagonal splits, among the first `size` rows.
    fn split(&mut self, size: usize) -> usize {
        for i in (1..size).rev() {
            let mut beside = self.h[(i - 1, i - 1)].abs() + self.h[(i, i)].abs();
            if beside < f64::EPSILON * self.norm {
                beside = self.norm;
            }
            if self.h[(i, i - 1)].abs() <= f64::EPSILON * beside {
                self.h[(i, i - 1)] = 0.0;
                return i;
            }
        }
        0
    }

    /// Both eigenvalues of the last 2 x 2 block.
    fn pair(&self, size: usize) -> [Complex<f64>; 2] {
        let h = |i: usize, j: usize| self.h[(size - 2 + i, size - 2 + j)];
        let half = 0.5 * (h(0, 0) - h(1, 1));
        let mean = 0.5 * (h(0, 0) + h(1, 1)) + self.shifted;
        let square = half * half + h(0, 1) * h(1, 0);
        if square < 0.0 {
            let root = (-square).sqrt();
            return [Complex::new(mean, root), Complex::new(mean, -root)];
        }
        // The one of larger departure first; the other from the product, without cancellation.
        let far = half + square.sqrt().copysign(half);
        let base = h(1, 1) + self.shifted;
        let near = if far == 0.0 {
            base
        } else {
            base - h(0, 1) * h(1, 0) / far
        };
        [Complex::new(base + far, 0.0), Complex::new(near, 0.0)]
    }

    /// One double-shift sweep over rows `start..size`.
    fn sweep(&mut self, start: usize, size: usize, exceptional: bool) {
        let last = size - 1;
        let h = &mut self.h;
        // Sum and product of the two shifts.
        let (sum, product) = if exceptional {
            let taken = h[(last, last)];
            self.shifted += taken;
            for i in 0..size {
                h[(i, i)] -= taken;
            }
            let s = h[(last, last - 1)].abs() + h[(last - 1, last - 2)].abs();
            (1.5 * s, s * s)
        } else {
            let (a, d) = (h[(last - 1, last - 1)], h[(last, last)]);
            (a + d, a * d - h[(last - 1, last)] * h[(last, last - 1)])
        };
        // First column of (H - s1)(H - s2), from two neighboring small subdiagonals on, if there are any.
        let mut first = last - 2;
        let mut column;
        loop {
            let m = first;
            let z = h[(m, m)];
            column = [
                (z * z - sum * z + product) / h[(m + 1, m)] + h[(m, m + 1)],
                z + h[(m + 1, m + 1)] - sum,
                h[(m + 2, m + 1)],
            ];
            let total = column.iter().map(|x| x.abs()).sum::<f64>();
            if total > 0.0 {
                column = column.map(|x| x / total);
            }
            if m == start {
                break;
            }
            let left = h[(m, m - 1)].abs() * (column[1].abs() + column[2].abs());
            let beside = h[(m - 1, m - 1)].abs() + z.abs() + h[(m + 1, m + 1)].abs();
            if left <= f64::EPSILON * column[0].abs() * beside {
                break;
            }
            first -= 1;
        }
        // Chase the bulge with reflections of three rows, two at the end.
        for k in first..last {
            let rows = (last - k + 1).min(3);
            let mut x = if k == first {
                column
            } else {
                let mut x = [0.0; 3];
                for (i, x) in x.iter_mut().enumerate().take(rows) {
                    *x = h[(k + i, k - 1)];
                }
                x
            };
            x[rows..].fill(0.0);
            let length = x.iter().map(|x| x * x).sum::<f64>().sqrt();
            if length == 0.0 {
                continue;
            }
            let alpha = -length.copysign(x[0]);
            let mut v = x;
            v[0] -= alpha;
            let scale = 2.0 / v.iter().map(|v| v * v).sum::<f64>();
            let from = if k == first { k } else { k - 1 };
            for j in from..size {
                let dot: f64 = (0..rows).map(|i| v[i] * h[(k + i, j)]).sum();
                for i in 0..rows {
                    h[(k + i, j)] -= scale * dot * v[i];
                }
            }
            if k > first {
                for i in 1..rows {
                    h[(k + i, k - 1)] = 0.0;
                }
            } else if k > start {
                h[(k, k - 1)] *= 1.0 - scale * v[0] * v[0];
            }
            for i in start..=(k + 3).min(last) {
                let dot: f64 = (0..rows).map(|j| v[j] * h[(i, k + j)]).sum();
                for j in 0..rows {
                    h[(i, k + j)] -= scale * dot * v[j];
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sorted(mut values: Vec<Complex<f64>>) -> Vec<Complex<f64>> {
        values.sort_by(|a, b| a.re.total_cmp(&b.re).then(a.im.total_cmp(&b.im)));
        values
    }

    /// A matrix of known eigenvalues over twelve powers of ten, mixed by similarity.
    #[test]
    fn val_eigenvalues_are_those_the_matrix_was_made_of() {
        let n = 24;
        let mut d = DMatrix::zeros(n, n);
        let mut want = Vec::new();
        for i in (0..n).step_by(2) {
            let size = 10f64.powf((i / 2) as f64 - 5.0);
            if i % 4 == 0 {
                d[(i, i)] = -size;
                d[(i + 1, i + 1)] = -3.0 * size;
                want.extend([-size, -3.0 * size].map(|x| Complex::new(x, 0.0)));
            } else {
                d[(i, i)] = -size;
                d[(i + 1, i + 1)] = -size;
                d[(i, i + 1)] = 2.0 * size;
                d[(i + 1, i)] = -2.0 * size;
                want.extend([2.0, -2.0].map(|w| Complex::new(-size, w * size)));
            }
        }
        let mix = DMatrix::from_fn(n, n, |i, j| {
            if i == j {
                1.0
            } else {
                0.02 * ((3 * i + 7 * j) as f64).sin()
            }
        });
        let a = &mix * &d * mix.clone().try_inverse().unwrap();
        let got = sorted(eigenvalues(&a).unwrap());
        for (got, want) in got.iter().zip(sorted(want)) {
            // Rounding of the largest entry is all that the small ones can be known to.
            assert!(
                (got - want).norm() < 1e-9 * want.norm() + 1e-14 * 1e6,
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
        let want = sorted(
            [(1.0, 0.0), (-2.0, 0.0), (0.0, 2.0), (0.0, -2.0), (5.0, 0.0)]
                .map(|(re, im)| Complex::new(re, im))
                .to_vec(),
        );
        for (got, want) in sorted(eigenvalues(&a).unwrap()).iter().zip(want) {
            assert!((got - want).norm() < 1e-10, "{got} {want}");
        }
        assert!(eigenvalues(&DMatrix::from_element(3, 3, f64::NAN)).is_err());
        // A cyclic permutation makes plain shifts run in a circle.
        let mut cycle = DMatrix::zeros(4, 4);
        for i in 0..4 {
            cycle[(i, (i + 1) % 4)] = 1.0;
        }
        for value in eigenvalues(&cycle).unwrap() {
            assert!((value.norm() - 1.0).abs() < 1e-12);
        }
    }
}
