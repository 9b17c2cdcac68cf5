//! The minimum of a sum of squares whose residuals are evaluated in batches.
//!
//! The method of Levenberg and Marquardt with several trials a round, for residuals that cost a
//! simulation each and are simulated side by side. With residuals r(x) and their Jacobian J, the
//! trials of a round are the steps
//!
//! ```text
//! d = -share (J'J + damping (1 + diag J'J))^-1 J'r
//! ```
//!
//! for a fixed list of dampings and shares; the best trial is taken if it lowers the sum. Every
//! trial also corrects J along its step (Broyden, *Math. Comp.* 19, 1965, pp. 577-593),
//!
//! ```text
//! J += (r(x + d) - r(x) - J d) d'/(d'd)
//! ```
//!
//! the best one last, so that it counts in full. J is computed anew, by forward differences, only
//! after a round that lowers the norm of r by less than a tenth; if J was new already, the search
//! ends.
//!
//! Beside a method with one trial a step this one needs fewer rounds, which is what counts where a
//! batch costs as much as a single evaluation.

use nalgebra::{DMatrix, DVector};

use crate::interrupt::Interrupt;

/// Trials of a round: damping, share of the step.
const TRIALS: [(f64, f64); 8] = [
    (1.0, 1.0),
    (1e-2, 1.0),
    (1e-3, 1.0),
    (1e-3, 0.5),
    (1e-4, 0.5),
    (1e-4, 0.25),
    (1e-6, 0.4),
    (1e-6, 0.15),
];
/// Norm of the residuals over that before a round above which J is computed anew.
const SLOW_RATIO: f64 = 0.9;

/// Residuals of a batch of points in their order; `None` for a point outside the domain.
pub type BatchResiduals<'r> = dyn Fn(&[DVector<f64>]) -> Vec<Option<DVector<f64>>> + 'r;

/// Settings of [`batch_least_squares`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BatchSettings {
    /// Step of the differences.
    pub difference: f64,
    /// Largest residual at which the search ends.
    pub tolerance: f64,
    /// Most rounds of trials.
    pub most_rounds: usize,
}

/// Point found by [`batch_least_squares`].
#[derive(Clone, Debug, PartialEq)]
pub struct BatchMinimum {
    /// Coordinates.
    pub x: DVector<f64>,
    /// Residuals there.
    pub residuals: DVector<f64>,
}

/// Minimizes the sum of squares of the `residuals` from `x`.
///
/// Returns `None` where the start or one of its neighbors is outside the domain, or when
/// interrupted.
///
/// ```
/// use axletree_numerics::{BatchSettings, Interrupt, batch_least_squares};
/// use nalgebra::{DVector, dvector};
///
/// let settings = BatchSettings { difference: 1e-6, tolerance: 1e-9, most_rounds: 50 };
/// let circle_and_line = |points: &[DVector<f64>]| {
///     points.iter().map(|p| Some(dvector![p.norm_squared() - 2.0, p[0] - p[1]])).collect()
/// };
/// let found =
///     batch_least_squares(dvector![2.0, 0.5], &circle_and_line, &settings, Interrupt::never());
/// assert!((found.unwrap().x - dvector![1.0, 1.0]).amax() < 1e-8);
/// ```
pub fn batch_least_squares(
    mut x: DVector<f64>,
    residuals: &BatchResiduals<'_>,
    settings: &BatchSettings,
    interrupt: Interrupt<'_>,
) -> Option<BatchMinimum> {
    let n = x.len();
    let mut r = residuals(std::slice::from_ref(&x)).pop().flatten()?;
    let mut jacobian = differences(&x, &r, residuals, settings.difference)?;
    let mut fresh = true;
    for _ in 0..settings.most_rounds {
        if interrupt.stopped() {
            return None;
        }
        if r.amax() < settings.tolerance {
            break;
        }
        let (normal, slope) = (jacobian.transpose() * &jacobian, jacobian.transpose() * &r);
        let mut steps = Vec::with_capacity(TRIALS.len());
        for (damping, share) in TRIALS {
            let mut damped = normal.clone();
            for k in 0..n {
                damped[(k, k)] += damping * (1.0 + normal[(k, k)]);
            }
            steps.push(damped.cholesky()?.solve(&slope) * -share);
        }
        let points: Vec<DVector<f64>> = steps.iter().map(|step| &x + step).collect();
        let mut trials: Vec<(DVector<f64>, DVector<f64>)> = residuals(&points)
            .into_iter()
            .zip(steps)
            .filter_map(|(there, step)| Some((there?, step)))
            .collect();
        // The best last, so that its correction counts in full.
        trials.sort_by(|a, b| b.0.norm().total_cmp(&a.0.norm()));
        for (there, step) in &trials {
            let wrong = (there - &r) - &jacobian * step;
            jacobian += wrong * step.transpose() / step.norm_squared();
        }
        let before = r.norm();
        if let Some((there, step)) = trials.pop()
            && there.norm() < before
        {
            x += step;
            r = there;
        }
        let slow = r.norm() > SLOW_RATIO * before;
        if slow && fresh {
            break;
        }
        fresh = slow;
        if slow {
            jacobian = differences(&x, &r, residuals, settings.difference)?;
        }
    }
    Some(BatchMinimum { x, residuals: r })
}

/// Jacobian by forward differences; `None` where a neighbor is outside the domain.
fn differences(
    x: &DVector<f64>,
    r: &DVector<f64>,
    residuals: &BatchResiduals<'_>,
    difference: f64,
) -> Option<DMatrix<f64>> {
    let moved: Vec<DVector<f64>> = (0..x.len())
        .map(|k| {
            let mut y = x.clone();
            y[k] += difference;
            y
        })
        .collect();
    let mut jacobian = DMatrix::zeros(r.len(), x.len());
    for (k, there) in residuals(&moved).into_iter().enumerate() {
        jacobian.set_column(k, &((there? - r) / difference));
    }
    Some(jacobian)
}

#[cfg(test)]
mod tests {
    use super::*;
    use axletree_scalar::Real;
    use nalgebra::dvector;
    use std::cell::Cell;

    const SETTINGS: BatchSettings = BatchSettings {
        difference: 1e-7,
        tolerance: 1e-9,
        most_rounds: 100,
    };

    /// An exponential decay `a exp(-b t)` through exact data: a = 3, b = 0.7 (closed form), with
    /// several rounds for each Jacobian.
    #[test]
    fn val_exponential_decay() {
        let (batches, points) = (Cell::new(0), Cell::new(0));
        let decay = |all: &[DVector<f64>]| {
            batches.set(batches.get() + 1);
            points.set(points.get() + all.len());
            let errors = |p: &DVector<f64>| {
                DVector::from_fn(6, |i, _| {
                    let t = 0.5 * i as f64;
                    p[0] * Real::exp(-p[1] * t) - 3.0 * Real::exp(-0.7 * t)
                })
            };
            all.iter().map(|p| Some(errors(p))).collect()
        };
        let start = dvector![1.0, 0.1];
        let found = batch_least_squares(start, &decay, &SETTINGS, Interrupt::never()).unwrap();
        assert!((found.x - dvector![3.0, 0.7]).amax() < 1e-8);
        assert!(found.residuals.amax() < SETTINGS.tolerance);
        // A batch is the start, the two neighbors of a Jacobian, or the trials of a round.
        let rounds = (points.get() - 1) / TRIALS.len();
        let jacobians = batches.get() - 1 - rounds;
        assert!(
            jacobians >= 1 && rounds > 2 * jacobians,
            "{rounds} {jacobians}"
        );
    }

    /// An overdetermined line, a + b t through (0, 1), (1, 3), (2, 4): the normal equations give a
    /// = 7/6 and b = 3/2. Residuals that stay do not keep the search going.
    #[test]
    fn val_line_by_least_squares() {
        let batches = Cell::new(0);
        let line = |all: &[DVector<f64>]| {
            batches.set(batches.get() + 1);
            all.iter()
                .map(|p| {
                    Some(dvector![
                        p[0] - 1.0,
                        p[0] + p[1] - 3.0,
                        p[0] + 2.0 * p[1] - 4.0
                    ])
                })
                .collect()
        };
        let start = dvector![0.0, 0.0];
        let found = batch_least_squares(start, &line, &SETTINGS, Interrupt::never()).unwrap();
        assert!((found.x - dvector![7.0 / 6.0, 1.5]).amax() < 1e-4);
        assert!(batches.get() < 10, "{}", batches.get());
    }

    /// Trials outside the domain are left out; a start outside it, or an interruption, gives
    /// nothing.
    #[test]
    fn domain_and_interruption() {
        let positive = |points: &[DVector<f64>]| {
            points
                .iter()
                .map(|p| (p[0] > 0.0).then(|| dvector![p[0].sqrt() - 1.5]))
                .collect()
        };
        let never = Interrupt::never();
        let found = batch_least_squares(dvector![0.01], &positive, &SETTINGS, never).unwrap();
        assert!((found.x[0] - 2.25).abs() < 1e-8);
        assert_eq!(
            batch_least_squares(dvector![-1.0], &positive, &SETTINGS, never),
            None
        );
        let stop = || true;
        let stopped =
            batch_least_squares(dvector![0.01], &positive, &SETTINGS, Interrupt::when(&stop));
        assert_eq!(stopped, None);
    }
}
