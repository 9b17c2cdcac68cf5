//! The minimum of a sum of squares by Levenberg's and Marquardt's method.
//!
//! Each step solves (J^T J + lambda diag(J^T J)) d = -J^T r (Marquardt, *An Algorithm for
//! Least-Squares Estimation of Nonlinear Parameters*, SIAM J. Appl. Math. 11, 1963, pp. 431-441);
//! lambda falls after a step that lowers the sum and rises after one that does not. The Jacobian is
//! taken by central differences.

use nalgebra::{DMatrix, DVector};

/// How the search ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// No further step changes the sum or the inputs.
    Converged,
    /// The search ran out of steps; the best point so far is kept.
    StepsUsedUp,
}

/// The best point found.
#[derive(Clone, Debug)]
pub struct Solution {
    /// Coordinates.
    pub x: DVector<f64>,
    /// Sum of the squared residuals there.
    pub sum_of_squares: f64,
    /// Derivatives of the residuals there.
    pub jacobian: DMatrix<f64>,
    /// How the search ended.
    pub ending: Ending,
    /// Steps taken, accepted or not.
    pub iterations: usize,
}

/// Steps before the search gives up.
const MOST_STEPS: usize = 500;
/// Relative change of sum and coordinates at which the search is done.
const SETTLED: f64 = 1e-12;
/// Longest step of any coordinate: a factor of e for logarithms.
const LONGEST: f64 = 1.0;
/// Step of the differences.
const DIFFERENCE: f64 = 1e-5;

/// Minimizes the sum of the squared `residuals`, which are `None` outside their domain, from `x`,
/// which must be inside. `hold` brings each coordinate, by its place, back to its limits.
pub fn minimize(
    mut x: DVector<f64>,
    hold: impl Fn(usize, f64) -> f64,
    residuals: impl Fn(&DVector<f64>) -> Option<DVector<f64>>,
) -> Solution {
    let mut r = residuals(&x).expect("the start is inside the domain");
    let mut sum = r.norm_squared();
    let mut jacobian = differences(&x, &r, &residuals);
    let mut lambda = 1e-3;
    let mut ending = Ending::StepsUsedUp;
    let mut iterations = 0;

    while iterations < MOST_STEPS {
        iterations += 1;
        let mut gradient = jacobian.transpose() * &r;
        let mut normal = jacobian.transpose() * &jacobian;
        let largest = normal.diagonal().max().max(f64::MIN_POSITIVE);
        for i in 0..x.len() {
            normal[(i, i)] += lambda * normal[(i, i)].max(1e-12 * largest);
            // A coordinate that would only press on against its limit sits this step out.
            let nudge = -gradient[i].signum() * 1e-6 * (1.0 + x[i].abs());
            if gradient[i] != 0.0 && hold(i, x[i] + nudge) == x[i] {
                gradient[i] = 0.0;
                normal.row_mut(i).fill(0.0);
                normal.column_mut(i).fill(0.0);
                normal[(i, i)] = 1.0;
            }
        }
        let Some(factor) = normal.cholesky() else {
            lambda *= 10.0;
            continue;
        };
        let mut step = -factor.solve(&gradient);
        let longest = step.amax();
        if longest > LONGEST {
            step *= LONGEST / longest;
        }

        let mut trial = &x + &step;
        for (i, x) in trial.iter_mut().enumerate() {
            *x = hold(i, *x);
        }
        let small = (&trial - &x).amax() < SETTLED * (1.0 + x.amax());
        match residuals(&trial) {
            Some(better) if better.norm_squared() < sum => {
                let gain = sum - better.norm_squared();
                let settled = gain < SETTLED * sum;
                (x, r) = (trial, better);
                sum = r.norm_squared();
                jacobian = differences(&x, &r, &residuals);
                lambda = f64::max(lambda / 5.0, 1e-12);
                if settled || small {
                    ending = Ending::Converged;
                    break;
                }
            }
            _ => {
                // No way down is left, even by the shortest step along the gradient.
                if small || lambda > 1e12 {
                    ending = Ending::Converged;
                    break;
                }
                lambda *= 4.0;
            }
        }
    }
    Solution {
        x,
        sum_of_squares: sum,
        jacobian,
        ending,
        iterations,
    }
}

/// Central differences, one-sided where a neighbor is outside the domain.
fn differences(
    x: &DVector<f64>,
    r: &DVector<f64>,
    residuals: &impl Fn(&DVector<f64>) -> Option<DVector<f64>>,
) -> DMatrix<f64> {
    let mut jacobian = DMatrix::zeros(r.len(), x.len());
    for j in 0..x.len() {
        let h = DIFFERENCE * (1.0 + x[j].abs());
        let shifted = |by: f64| {
            let mut y = x.clone();
            y[j] += by;
            residuals(&y)
        };
        let column = match (shifted(h), shifted(-h)) {
            (Some(up), Some(down)) => (up - down) / (2.0 * h),
            (Some(up), None) => (up - r) / h,
            (None, Some(down)) => (r - down) / h,
            (None, None) => continue,
        };
        jacobian.set_column(j, &column);
    }
    jacobian
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rosenbrock's valley as two residuals, with its minimum at (1, 1) (Rosenbrock, The Computer
    /// Journal 3, 1960, pp. 175-184).
    #[test]
    fn val_rosenbrock() {
        let found = minimize(
            DVector::from_vec(vec![-1.2, 1.0]),
            |_, x| x,
            |x| {
                Some(DVector::from_vec(vec![
                    10.0 * (x[1] - x[0] * x[0]),
                    1.0 - x[0],
                ]))
            },
        );
        assert_eq!(found.ending, Ending::Converged);
        assert!((found.x[0] - 1.0).abs() < 1e-6 && (found.x[1] - 1.0).abs() < 1e-6);
        assert!(found.iterations > 5);
    }

    /// A minimum outside the domain stops at the edge.
    #[test]
    fn stays_inside_the_domain() {
        let found = minimize(
            DVector::from_vec(vec![1.0]),
            |_, x| x,
            |x| (x[0] > 0.5).then(|| DVector::from_vec(vec![x[0], 0.0])),
        );
        assert!(found.x[0] > 0.5 && found.x[0] < 0.51);
    }

    /// A coordinate held at its limit does not stop the others, and may come back.
    #[test]
    fn limits_do_not_stop_the_others() {
        let found = minimize(
            DVector::from_vec(vec![0.0, 5.0]),
            |i, x| if i == 0 { x.max(0.0) } else { x },
            |x| {
                // From (0, 5), the way down first leads against the limit.
                Some(DVector::from_vec(vec![
                    x[0] - (1.0 - x[1]),
                    2.0 * (x[1] + 1.0),
                ]))
            },
        );
        assert_eq!(found.ending, Ending::Converged);
        assert!((found.x[0] - 2.0).abs() < 1e-6 && (found.x[1] + 1.0).abs() < 1e-6);
    }
}
