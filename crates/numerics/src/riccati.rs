//! Optimal state feedback of small linear systems: algebraic Riccati equations.
//!
//! Both are solved by the structure-preserving doubling algorithm (Chu, Fan, Lin, Wang,
//! "Structure-preserving algorithms for periodic discrete-time algebraic Riccati equations", Int.
//! J. Control 77, 2004; Chu, Fan, Lin, "A structure-preserving doubling algorithm for
//! continuous-time algebraic Riccati equations", Linear Algebra Appl. 396, 2005; from memory): it
//! converges quadratically to the stabilizing solution and needs linear solves only.

use nalgebra::{DMatrix, DVector};

/// Failure of a Riccati equation.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum RiccatiError {
    /// A matrix that must be inverted is singular.
    #[error("the Riccati equation has a singular pencil after {passes} doublings")]
    Singular {
        /// Doublings made.
        passes: usize,
    },
    /// The doublings did not converge: the system cannot be stabilized, or the cost does not
    /// observe it.
    #[error(
        "the Riccati equation did not converge: relative change {change:.2e} after {passes} doublings"
    )]
    NotConverged {
        /// Doublings made.
        passes: usize,
        /// Last relative change.
        change: f64,
    },
}

/// Doublings, at most: each squares the closed loop, and a stabilizable system needs about ten.
const MOST_DOUBLINGS: usize = 60;
/// Relative change of the solution that counts as convergence: rounding.
const CONVERGED: f64 = 1e-15;

/// The stabilizing solution P of the discrete equation `P = A'PA - A'PB (R + B'PB)^-1 B'PA + Q`.
///
/// # Errors
/// [`RiccatiError`] where the doublings meet a singular matrix or do not converge.
///
/// ```
/// use axletree_numerics::riccati::dare;
/// use nalgebra::dmatrix;
///
/// // p = p - p^2/(1 + p) + 1: the golden ratio.
/// let p = dare(&dmatrix![1.0], &dmatrix![1.0], &dmatrix![1.0], &dmatrix![1.0])?;
/// assert!((p[(0, 0)] - 0.5 * (1.0 + 5f64.sqrt())).abs() < 1e-12);
/// # Ok::<(), axletree_numerics::riccati::RiccatiError>(())
/// ```
pub fn dare(
    a: &DMatrix<f64>,
    b: &DMatrix<f64>,
    q: &DMatrix<f64>,
    r: &DMatrix<f64>,
) -> Result<DMatrix<f64>, RiccatiError> {
    let inverse = r
        .clone()
        .try_inverse()
        .ok_or(RiccatiError::Singular { passes: 0 })?;
    double(a.clone(), b * inverse * b.transpose(), q.clone())
}

/// The stabilizing solution P of the continuous equation `A'P + PA - P B R^-1 B' P + Q = 0`.
///
/// # Errors
/// [`RiccatiError`] where the doublings meet a singular matrix or do not converge.
pub fn care(
    a: &DMatrix<f64>,
    b: &DMatrix<f64>,
    q: &DMatrix<f64>,
    r: &DMatrix<f64>,
) -> Result<DMatrix<f64>, RiccatiError> {
    let n = a.nrows();
    let singular = RiccatiError::Singular { passes: 0 };
    let g = b * r.clone().try_inverse().ok_or(singular)? * b.transpose();
    // The Cayley transform takes the left half plane into the unit circle. The shift is larger than
    // every eigenvalue of A, so that A less the shift is regular, and of the size of the closed
    // loop's poles.
    let shift = 1.5 * a.norm().max((g.norm() * q.norm()).sqrt().sqrt()).max(1e-3);
    let unit = DMatrix::<f64>::identity(n, n);
    let a_s = a - &unit * shift;
    let a_inverse = a_s.clone().try_inverse().ok_or(singular)?;
    let w = (a_s.transpose() + q * &a_inverse * &g)
        .try_inverse()
        .ok_or(singular)?;
    let w_t = w.transpose();
    let first = &unit + &w_t * (2.0 * shift);
    let g0 = &a_inverse * &g * &w * (2.0 * shift);
    let h0 = &w * q * &a_inverse * (2.0 * shift);
    double(first, g0, h0)
}

/// Doubles `A <- A (I + G H)^-1 A`, `G <- G + A (I + G H)^-1 G A'`, `H <- H + A' H (I + G H)^-1 A`;
/// H tends to the stabilizing solution.
fn double(
    mut a: DMatrix<f64>,
    mut g: DMatrix<f64>,
    mut h: DMatrix<f64>,
) -> Result<DMatrix<f64>, RiccatiError> {
    let n = a.nrows();
    let unit = DMatrix::<f64>::identity(n, n);
    let mut change = f64::INFINITY;
    for passes in 0..MOST_DOUBLINGS {
        let lu = (&unit + &g * &h).lu();
        let singular = RiccatiError::Singular { passes };
        let wa = lu.solve(&a).ok_or(singular)?;
        let wg = lu.solve(&g).ok_or(singular)?;
        let step = a.transpose() * &h * &wa;
        change = step.norm() / (h.norm() + step.norm()).max(f64::MIN_POSITIVE);
        g += &a * wg * a.transpose();
        h += step;
        a = &a * wa;
        symmetrize(&mut g);
        symmetrize(&mut h);
        if !change.is_finite() {
            break;
        }
        if change < CONVERGED {
            return Ok(h);
        }
    }
    Err(RiccatiError::NotConverged {
        passes: MOST_DOUBLINGS,
        change,
    })
}

fn symmetrize(m: &mut DMatrix<f64>) {
    let t = m.transpose();
    *m = (&*m + t) * 0.5;
}

/// Discrete feedback `u = -K x` of a single input from the solution P of [`dare`]:
/// `K = (R + B'PB)^-1 B'PA`.
pub fn discrete_gain(a: &DMatrix<f64>, b: &DVector<f64>, r: f64, p: &DMatrix<f64>) -> DVector<f64> {
    let weight = r + (b.transpose() * p * b)[(0, 0)];
    (a.transpose() * p * b) / weight
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A scalar system has a quadratic to solve: p = a^2 p/(1 + b^2 p/r) + q, and
    /// 2 a p - b^2 p^2/r + q = 0.
    #[test]
    fn val_scalar_equations() {
        let m = |x: f64| DMatrix::from_element(1, 1, x);
        for a in [0.3, 1.0, 2.5] {
            let (b, q, r) = (0.7, 1.3, 0.4);
            let p = dare(&m(a), &m(b), &m(q), &m(r)).unwrap()[(0, 0)];
            let g = b * b / r;
            let c = 1.0 - a * a - q * g;
            let want = (-c + (c * c + 4.0 * g * q).sqrt()) / (2.0 * g);
            assert!((p / want - 1.0).abs() < 1e-12, "{p} {want}");
            for a in [a, -a] {
                let p = care(&m(a), &m(b), &m(q), &m(r)).unwrap()[(0, 0)];
                let want = (a + (a * a + g * q).sqrt()) / g;
                assert!((p / want - 1.0).abs() < 1e-12, "{p} {want}");
            }
        }
    }

    /// What cannot be stabilized is reported, not returned.
    #[test]
    fn an_unstable_mode_out_of_reach_is_an_error() {
        let a = DMatrix::from_row_slice(2, 2, &[1.5, 0.0, 0.0, 0.5]);
        let b = DMatrix::from_row_slice(2, 1, &[0.0, 1.0]);
        let q = DMatrix::identity(2, 2);
        let r = DMatrix::identity(1, 1);
        assert!(dare(&a, &b, &q, &r).is_err());
    }
}
