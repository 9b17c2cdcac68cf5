//! The minimum of a sum of squares between limits, by the method of Levenberg and Marquardt.
//!
//! With residuals r(x) and their Jacobian J, a step d solves
//!
//! ```text
//! (J^T J + lambda diag(J^T J)) d = -J^T r
//! ```
//!
//! (Levenberg, *A method for the solution of certain non-linear problems in least squares*, Quart.
//! Appl. Math. 2, 1944, pp. 164-168; Marquardt, *An Algorithm for Least-Squares Estimation of
//! Nonlinear Parameters*, SIAM J. Appl. Math. 11, 1963, pp. 431-441).
//!
//! - Damping: lambda starts at 1e-3, is divided by 5 after a step that lowers the sum and
//!   multiplied by 4 after one that does not.
//! - Step length: at most 1 in every coordinate.
//! - Limits: a coordinate at a limit that descends only beyond it sits the step out; then every
//!   coordinate is held between its limits.
//! - Domain: a step to where the residuals do not exist counts as one that does not lower the sum.
//! - Jacobian: central differences of width 1e-5 (1 + |x|), held between the limits, one-sided at
//!   the edge of the domain.
//! - Stopping: an accepted step that lowers the sum by less than 1e-12 of it, a step shorter than
//!   1e-12 (1 + max |x|), or lambda above 1e12, beyond which no descent is left. After 500 steps
//!   the search gives up and keeps the best point.
//!
//! Own code because the crate `levenberg-marquardt` knows neither limits nor a domain and needs
//! `nalgebra` 0.34, which this workspace also links with its standard-library features: those
//! choose kernels by processor, so the bits of a fit would depend on the machine.

use nalgebra::{DMatrix, DVector};

use crate::interrupt::Interrupt;

/// A point found by [`least_squares`].
#[derive(Clone, Debug, PartialEq)]
pub struct LeastSquares {
    /// Coordinates.
    pub x: DVector<f64>,
    /// Sum of the squared residuals there.
    pub sum_of_squares: f64,
    /// Derivatives of the residuals by the coordinates there.
    pub jacobian: DMatrix<f64>,
    /// Whether the search met its stopping rule; else it used up its steps.
    pub converged: bool,
    /// Steps taken, accepted or not.
    pub iterations: usize,
}

/// Steps before the search gives up.
const MOST_STEPS: usize = 500;
/// Relative change of sum and coordinates at which the search stops.
const TOLERANCE: f64 = 1e-12;
/// Longest step of any coordinate.
const LONGEST_STEP: f64 = 1.0;
/// Width of the differences.
const DIFFERENCE: f64 = 1e-5;
/// Damping at the start.
const FIRST_DAMPING: f64 = 1e-3;
/// Least damping.
const LEAST_DAMPING: f64 = 1e-12;
/// Damping at which no descent is left.
const MOST_DAMPING: f64 = 1e12;
/// Least diagonal of the damping, relative to the largest element.
const LEAST_DIAGONAL: f64 = 1e-12;
/// Rows of a Jacobian between two questions for an interruption: less than a millisecond.
const ROWS_BETWEEN_QUESTIONS: usize = 4096;
/// Relative width of the test whether a coordinate presses against its limit.
const NUDGE: f64 = 1e-6;

/// Minimizes the sum of the squared `residuals` from `x`, with every coordinate between its
/// `limits`, least and largest.
///
/// Residuals are `None` outside their domain, and may be so when interrupted. An interrupted search
/// returns `None`.
///
/// # Panics
///
/// If the residuals do not exist at the start, or if there are not as many limits as coordinates.
///
/// ```
/// use axletree_numerics::{Interrupt, least_squares};
/// use nalgebra::{DVector, dvector};
///
/// // The line a + b t through (0, 1), (1, 3), (2, 5), with b held below 1.5.
/// let limits = [[f64::NEG_INFINITY, f64::INFINITY], [0.0, 1.5]];
/// let line = |x: &DVector<f64>| {
///     Some(dvector![x[0] - 1.0, x[0] + x[1] - 3.0, x[0] + 2.0 * x[1] - 5.0])
/// };
/// let found = least_squares(dvector![0.0, 1.0], &limits, line, Interrupt::never()).unwrap();
/// assert!(found.converged);
/// assert_eq!(found.x[1], 1.5);
/// assert!((found.x[0] - 1.5).abs() < 1e-6);
/// ```
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
pub fn least_squares(
    mut x: DVector<f64>,
    limits: &[[f64; 2]],
    residuals: impl Fn(&DVector<f64>) -> Option<DVector<f64>>,
    interrupt: Interrupt<'_>,
) -> Option<LeastSquares> {
    assert_eq!(limits.len(), x.len(), "one pair of limits a coordinate");
    let hold = |i: usize, x: f64| x.clamp(limits[i][0], limits[i][1]);
    let first = residuals(&x);
    if interrupt.stopped() {
        return None;
    }
    let mut r = first.expect("the start is inside the domain");
    let mut sum = r.norm_squared();
    let mut jacobian = differences(&x, &r, limits, &residuals, interrupt)?;
    let mut equations = normal_equations(&jacobian, &r, interrupt)?;
    let mut damping = FIRST_DAMPING;
    let mut converged = false;
    let mut iterations = 0;

    while iterations < MOST_STEPS {
        iterations += 1;
        let (mut normal, mut gradient) = equations.clone();
        let largest = normal.diagonal().max().max(f64::MIN_POSITIVE);
        for i in 0..x.len() {
            normal[(i, i)] += damping * normal[(i, i)].max(LEAST_DIAGONAL * largest);
            // A coordinate that would only press on against its limit sits this step out.
            let nudge = -gradient[i].signum() * NUDGE * (1.0 + x[i].abs());
            if gradient[i] != 0.0 && hold(i, x[i] + nudge) == x[i] {
                gradient[i] = 0.0;
                normal.row_mut(i).fill(0.0);
                normal.column_mut(i).fill(0.0);
                normal[(i, i)] = 1.0;
            }
        }
        let Some(factor) = normal.cholesky() else {
            damping *= 10.0;
            continue;
        };
        let mut step = -factor.solve(&gradient);
        let longest = step.amax();
        if longest > LONGEST_STEP {
            step *= LONGEST_STEP / longest;
        }

        let mut trial = &x + &step;
        for (i, x) in trial.iter_mut().enumerate() {
            *x = hold(i, *x);
        }
        let small = (&trial - &x).amax() < TOLERANCE * (1.0 + x.amax());
        let there = residuals(&trial);
        if interrupt.stopped() {
            return None;
        }
        match there {
            Some(better) if better.norm_squared() < sum => {
                let gain = sum - better.norm_squared();
                let settled = gain < TOLERANCE * sum;
                (x, r) = (trial, better);
                sum = r.norm_squared();
                jacobian = differences(&x, &r, limits, &residuals, interrupt)?;
                equations = normal_equations(&jacobian, &r, interrupt)?;
                damping = f64::max(damping / 5.0, LEAST_DAMPING);
                if settled || small {
                    converged = true;
                    break;
                }
            }
            _ => {
                // No way down is left, even by the shortest step along the gradient.
                if small || damping > MOST_DAMPING {
                    converged = true;
                    break;
                }
                damping *= 4.0;
            }
        }
    }
    Some(LeastSquares {
        x,
        sum_of_squares: sum,
        jacobian,
        converged,
        iterations,
    })
}

/// J^T J of a Jacobian; `None` when interrupted.
pub fn normal_matrix(jacobian: &DMatrix<f64>, interrupt: Interrupt<'_>) -> Option<DMatrix<f64>> {
    let none = DVector::zeros(jacobian.nrows());
    normal_equations(jacobian, &none, interrupt).map(|(normal, _)| normal)
}

/// J^T J and J^T r, summed row after row; `None` when interrupted.
fn normal_equations(
    jacobian: &DMatrix<f64>,
    r: &DVector<f64>,
    interrupt: Interrupt<'_>,
) -> Option<(DMatrix<f64>, DVector<f64>)> {
    let (rows, n) = jacobian.shape();
    // The lower triangle by rows, so that the inner loop runs over neighbors.
    let mut lower = vec![0.0; n * n];
    let mut gradient = DVector::zeros(n);
    let mut row = vec![0.0; n];
    for k in 0..rows {
        if k.is_multiple_of(ROWS_BETWEEN_QUESTIONS) && interrupt.stopped() {
            return None;
        }
        for (j, entry) in row.iter_mut().enumerate() {
            *entry = jacobian[(k, j)];
        }
        for i in 0..n {
            gradient[i] += row[i] * r[k];
            let products = row[..=i].iter().map(|entry| row[i] * entry);
            for (sum, product) in lower[i * n..].iter_mut().zip(products) {
                *sum += product;
            }
        }
    }
    let normal = DMatrix::from_fn(n, n, |i, j| lower[i.max(j) * n + i.min(j)]);
    Some((normal, gradient))
}

/// The Jacobian by differences between the limits, central where both neighbors are inside the
/// domain; `None` when interrupted.
fn differences(
    x: &DVector<f64>,
    r: &DVector<f64>,
    limits: &[[f64; 2]],
    residuals: &impl Fn(&DVector<f64>) -> Option<DVector<f64>>,
    interrupt: Interrupt<'_>,
) -> Option<DMatrix<f64>> {
    let mut jacobian = DMatrix::zeros(r.len(), x.len());
    for (j, [low, high]) in limits.iter().enumerate() {
        let h = DIFFERENCE * (1.0 + x[j].abs());
        let shifted = |to: f64| {
            let mut y = x.clone();
            y[j] = to;
            residuals(&y)
        };
        let (above, below) = ((x[j] + h).min(*high), (x[j] - h).max(*low));
        let neighbors = (shifted(above), shifted(below));
        if interrupt.stopped() {
            return None;
        }
        let column = match neighbors {
            (Some(up), Some(down)) if above > below => (up - down) / (above - below),
            (Some(up), None) if above > x[j] => (up - r) / (above - x[j]),
            (None, Some(down)) if x[j] > below => (r - down) / (x[j] - below),
            _ => continue,
        };
        jacobian.set_column(j, &column);
    }
    Some(jacobian)
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::dvector;
    use std::cell::Cell;
    use std::sync::atomic::{AtomicUsize, Ordering};

    const FREE: [f64; 2] = [f64::NEG_INFINITY, f64::INFINITY];

    /// A search that nobody interrupts.
    fn minimum(
        x: DVector<f64>,
        limits: &[[f64; 2]],
        residuals: impl Fn(&DVector<f64>) -> Option<DVector<f64>>,
    ) -> LeastSquares {
        least_squares(x, limits, residuals, Interrupt::never()).unwrap()
    }

    /// Rosenbrock's valley as two residuals, with its minimum at (1, 1) (Rosenbrock, The Computer
    /// Journal 3, 1960, pp. 175-184).
    #[test]
    fn val_rosenbrock() {
        let valley = |x: &DVector<f64>| Some(dvector![10.0 * (x[1] - x[0] * x[0]), 1.0 - x[0]]);
        let found = minimum(dvector![-1.2, 1.0], &[FREE; 2], valley);
        assert!(found.converged);
        assert!((found.x[0] - 1.0).abs() < 1e-6 && (found.x[1] - 1.0).abs() < 1e-6);
        assert!(found.iterations > 5);
    }

    /// A minimum outside the domain stops at the edge.
    #[test]
    fn stays_inside_the_domain() {
        let beyond = |x: &DVector<f64>| (x[0] > 0.5).then(|| dvector![x[0], 0.0]);
        let found = minimum(dvector![1.0], &[FREE], beyond);
        assert!(found.x[0] > 0.5 && found.x[0] < 0.51);
    }

    /// A coordinate held at its limit does not stop the others, and may come back.
    #[test]
    fn limits_do_not_stop_the_others() {
        // From (0, 5), the way down first leads against the limit.
        let found = minimum(dvector![0.0, 5.0], &[[0.0, f64::INFINITY], FREE], |x| {
            Some(dvector![x[0] - (1.0 - x[1]), 2.0 * (x[1] + 1.0)])
        });
        assert!(found.converged);
        assert!((found.x[0] - 2.0).abs() < 1e-6 && (found.x[1] + 1.0).abs() < 1e-6);
    }

    /// Every point at which the residuals are evaluated is between the limits.
    #[test]
    #[expect(clippy::float_cmp, reason = "the same bits are meant")]
    fn law_never_asks_beyond_the_limits() {
        let limits = [[-1.0, 0.25], [0.5, 3.0]];
        let found = minimum(dvector![0.25, 0.5], &limits, |x| {
            for (x, [low, high]) in x.iter().zip(limits) {
                assert!((low..=high).contains(x), "{x} is not in {low} to {high}");
            }
            Some(dvector![x[0] - 1.0, x[1] * x[1] - 2.0])
        });
        assert!(found.converged);
        assert_eq!(found.x[0], 0.25);
        assert!((found.x[1] * found.x[1] - 2.0).abs() < 1e-9);
        // The slope at the limit is the one-sided one, not half of it.
        assert!((found.jacobian[(0, 0)] - 1.0).abs() < 1e-6);
    }

    /// The sums row after row are the products of the whole matrices.
    #[test]
    fn val_normal_equations() {
        let jacobian = DMatrix::from_fn(7, 3, |i, j| (3 * i + 5 * j) as f64 % 7.0 - 0.1);
        let r = DVector::from_fn(7, |i, _| 1.0 / (1.0 + i as f64));
        let (normal, gradient) = normal_equations(&jacobian, &r, Interrupt::never()).unwrap();
        assert!((normal - jacobian.transpose() * &jacobian).amax() < 1e-13);
        assert!((gradient - jacobian.transpose() * r).amax() < 1e-14);
    }

    /// Whenever the caller asks to stop, at most one more evaluation is made for every side of a
    /// difference, and there is no result.
    #[test]
    fn an_interruption_ends_the_search() {
        let calls = Cell::new(0);
        let valley = |x: &DVector<f64>| {
            calls.set(calls.get() + 1);
            Some(dvector![10.0 * (x[1] - x[0] * x[0]), 1.0 - x[0]])
        };
        let start = || dvector![-1.2, 1.0];
        assert!(least_squares(start(), &[FREE; 2], valley, Interrupt::never()).is_some());
        let whole = calls.replace(0);
        for stopped_at in 0..40 {
            let asked = AtomicUsize::new(0);
            let stop = || asked.fetch_add(1, Ordering::Relaxed) >= stopped_at;
            let found = least_squares(start(), &[FREE; 2], valley, Interrupt::when(&stop));
            assert_eq!(found, None);
            // Asked after every trial and every pair of neighbors.
            let made = calls.replace(0);
            assert!(
                made <= 2 * (stopped_at + 1) && made < whole,
                "{made} at {stopped_at}"
            );
        }
    }
}
