//! The search: steps by quadratic subproblems within a trust region.

use super::problem::{SqpPoint, SqpProblem, SqpResult, SqpSettings, Stopped};
use nalgebra::{DMatrix, DVector};

use crate::interrupt::Interrupt;
use crate::qp::{Program, damped_update};

/// Curvature B at the start `[objective per squared scale]`.
const FIRST_CURVATURE: f64 = 0.05;
/// Trust region at the start `[scales]`.
const FIRST_TRUST: f64 = 0.5;
/// Trust region at the start of a confirmation `[scales]`.
const CONFIRMING_TRUST: f64 = 0.1;
/// Largest trust region `[scales]`.
const MOST_TRUST: f64 = 2.0;
/// Trust region below which the search has converged `[scales]`.
const LEAST_TRUST: f64 = 2e-3;
/// Factors on the trust region after a good and after a bad step.
const WIDER: f64 = 1.6;
const NARROWER: f64 = 0.4;
/// Gain over the predicted one above which a step is good, below which it is bad, and above which
/// it is taken `[-]`.
const GOOD_RATIO: f64 = 0.7;
const BAD_RATIO: f64 = 0.25;
const ACCEPTED_RATIO: f64 = 0.05;
/// Share of the predicted gain below which a trial is corrected `[-]`.
const CORRECTED_RATIO: f64 = 0.5;
/// Confirmations, at most, while each gains.
const CONFIRMATIONS: usize = 2;
/// Gain of a confirmation that calls for another, in tolerances.
const CONFIRMED_GAIN: f64 = 5.0;

/// Goal of the steps.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Goal {
    /// A feasible point: the least constraint rises.
    Feasible,
    /// The largest objective among feasible points.
    Maximum,
}

/// A search: trust-region SQP from a start.
pub struct TrustRegionSqp<'c, P> {
    problem: &'c P,
    settings: &'c SqpSettings,
    interrupt: Interrupt<'c>,
    goal: Goal,
    curvature: DMatrix<f64>,
    trust: f64,
    /// Last point with its derivatives.
    last: Option<(DVector<f64>, Derivatives)>,
}

/// Derivatives of the objective and of the constraints.
#[derive(Clone)]
struct Derivatives {
    objective: DVector<f64>,
    constraints: DMatrix<f64>,
}

/// A step with its predicted gain.
struct Step {
    by: DVector<f64>,
    gain: f64,
    multipliers: DVector<f64>,
}

impl<'c, P: SqpProblem> TrustRegionSqp<'c, P> {
    /// A search that has not begun yet.
    pub fn new(problem: &'c P, settings: &'c SqpSettings, interrupt: Interrupt<'c>) -> Self {
        let n = settings.regularization.nrows();
        TrustRegionSqp {
            problem,
            settings,
            interrupt,
            goal: Goal::Feasible,
            curvature: DMatrix::zeros(n, n),
            trust: FIRST_TRUST,
            last: None,
        }
    }

    fn evaluate(&self, p: &DVector<f64>) -> Result<Option<SqpPoint<P::Hints>>, P::Error> {
        if self.interrupt.stopped() {
            return Err(Stopped::Interrupted.into());
        }
        let sample = self.problem.evaluate(p)?;
        Ok(sample.map(|sample| SqpPoint {
            p: p.clone(),
            sample,
        }))
    }

    fn reset(&mut self, goal: Goal, trust: f64) {
        let n = self.settings.regularization.nrows();
        self.goal = goal;
        self.curvature = DMatrix::identity(n, n) * FIRST_CURVATURE;
        self.trust = trust;
    }

    /// Share of the constraints in the merit: their violation, or, while a feasible point is
    /// sought, the least of them.
    fn penalty(&self, point: &SqpPoint<P::Hints>) -> f64 {
        let least_constraint = match self.goal {
            Goal::Feasible => point.least_constraint(),
            Goal::Maximum => point.least_constraint().min(0.0),
        };
        self.settings.penalty_weight * least_constraint
    }

    fn merit(&self, point: &SqpPoint<P::Hints>) -> f64 {
        let objective = match self.goal {
            Goal::Feasible => 0.0,
            Goal::Maximum => point.sample.objective,
        };
        let p = &point.p;
        objective + self.penalty(point) - 0.5 * p.dot(&(&self.settings.regularization * p))
    }

    fn is_fixed(&self, unknown: usize) -> bool {
        self.goal == Goal::Feasible && self.settings.fixed_while_infeasible.contains(&unknown)
    }

    /// Derivatives by forward differences; none where a neighbor has no value.
    fn derivatives(&self, point: &SqpPoint<P::Hints>) -> Result<Option<Derivatives>, P::Error> {
        let (n, m) = (point.p.len(), point.sample.constraints.len());
        let h = self.settings.difference_step;
        let mut derivatives = Derivatives {
            objective: DVector::zeros(n),
            constraints: DMatrix::zeros(m, n),
        };
        if self.interrupt.stopped() {
            return Err(Stopped::Interrupted.into());
        }
        let moved = |j: usize| {
            let mut moved = point.p.clone();
            moved[j] += h;
            moved
        };
        let neighbors: Vec<_> = (0..n).map(moved).collect();
        let around = self.problem.evaluate_neighbors(point, &neighbors)?;
        for (j, there) in around.into_iter().enumerate() {
            let Some(there) = there else {
                return Ok(None);
            };
            derivatives.objective[j] = (there.objective - point.sample.objective) / h;
            let by = (there.constraints - &point.sample.constraints) / h;
            derivatives.constraints.set_column(j, &by);
        }
        Ok(Some(derivatives))
    }

    /// Derivatives at a start; those at the end of the last search are still known.
    fn first_derivatives(&mut self, start: &SqpPoint<P::Hints>) -> Result<Derivatives, P::Error> {
        match self.last.take() {
            Some((p, derivatives)) if p == start.p => Ok(derivatives),
            _ => self
                .derivatives(start)?
                .ok_or_else(|| Stopped::NoStart.into()),
        }
    }

    /// Rows of the subproblem: bounds of the step, constraints with their common slack, bound of
    /// the slack.
    fn rows(
        &self,
        point: &SqpPoint<P::Hints>,
        derivatives: &Derivatives,
    ) -> (DMatrix<f64>, DVector<f64>) {
        let (m, n) = derivatives.constraints.shape();
        let count = 2 * n + m + 1;
        let (mut rows, mut bounds) = (DMatrix::zeros(count, n + 1), DVector::zeros(count));
        for j in 0..n {
            let reach = if self.is_fixed(j) { 0.0 } else { self.trust };
            rows[(2 * j, j)] = 1.0;
            rows[(2 * j + 1, j)] = -1.0;
            bounds[2 * j] = -reach;
            bounds[2 * j + 1] = -reach;
        }
        for i in 0..m {
            rows.view_mut((2 * n + i, 0), (1, n))
                .copy_from(&derivatives.constraints.row(i));
            rows[(2 * n + i, n)] = -1.0;
            bounds[2 * n + i] = -point.sample.constraints[i];
        }
        rows[(count - 1, n)] = -1.0;
        bounds[count - 1] = match self.goal {
            Goal::Feasible => -1e3,
            Goal::Maximum => 0.0,
        };
        (rows, bounds)
    }

    /// The step of the quadratic subproblem.
    fn solve_subproblem(
        &self,
        point: &SqpPoint<P::Hints>,
        derivatives: &Derivatives,
    ) -> Option<Step> {
        let (m, n) = derivatives.constraints.shape();
        let regularization = &self.settings.regularization;
        let mut curvature = DMatrix::identity(n + 1, n + 1) * 1e-6;
        let mut own = curvature.view_mut((0, 0), (n, n));
        own += &self.curvature + regularization;
        let mut slope = DVector::zeros(n + 1);
        slope.rows_mut(0, n).copy_from(&(regularization * &point.p));
        if self.goal == Goal::Maximum {
            for j in 0..n {
                slope[j] -= derivatives.objective[j];
            }
        }
        slope[n] = -self.settings.penalty_weight;
        let (rows, bounds) = self.rows(point, derivatives);
        let program = Program {
            curvature,
            slope,
            rows,
            bounds,
        };
        let solution = program.solve()?;
        let x = &solution.x;
        let value = -(0.5 * x.dot(&(&program.curvature * x)) + program.slope.dot(x));
        Some(Step {
            by: x.rows(0, n).into_owned(),
            gain: value - self.penalty(point),
            multipliers: solution.multipliers.rows(2 * n, m).into_owned(),
        })
    }

    /// The smallest step that restores the constraints of a trial, along the old derivatives.
    fn correction(
        &self,
        trial: &SqpPoint<P::Hints>,
        derivatives: &Derivatives,
    ) -> Option<DVector<f64>> {
        let n = trial.p.len();
        let mut curvature = DMatrix::identity(n + 1, n + 1) * 10.0;
        curvature[(n, n)] = 1e-6;
        let mut slope = DVector::zeros(n + 1);
        slope[n] = -self.settings.penalty_weight;
        let (rows, bounds) = self.rows(trial, derivatives);
        let solution = Program {
            curvature,
            slope,
            rows,
            bounds,
        }
        .solve()?;
        Some(solution.x.rows(0, n).into_owned())
    }

    /// Updates the curvature of the Lagrangian after a step.
    fn update_curvature(
        &mut self,
        step: &DVector<f64>,
        old: &Derivatives,
        new: &Derivatives,
        multipliers: &DVector<f64>,
    ) {
        let mut y = -((&new.constraints - &old.constraints).transpose() * multipliers);
        if self.goal == Goal::Maximum {
            y -= &new.objective - &old.objective;
        }
        damped_update(&mut self.curvature, step, &y);
    }

    /// The trial of a step, corrected where it gains less than predicted.
    fn attempt(
        &self,
        point: &SqpPoint<P::Hints>,
        derivatives: &Derivatives,
        proposal: &Step,
    ) -> Result<Option<SqpPoint<P::Hints>>, P::Error> {
        let first = self.evaluate(&(&point.p + &proposal.by))?;
        if let Some(trial) = &first
            && self.merit(trial) < self.merit(point) + CORRECTED_RATIO * proposal.gain
            && let Some(back) = self.correction(trial, derivatives)
            && let Some(second) = self.evaluate(&(&trial.p + back))?
            && self.merit(&second) > self.merit(trial)
        {
            return Ok(Some(second));
        }
        Ok(first)
    }

    /// Steps from a point until none gains more, or `enough` says so.
    fn iterate(
        &mut self,
        start: SqpPoint<P::Hints>,
        enough: &dyn Fn(&SqpPoint<P::Hints>) -> bool,
    ) -> Result<SqpResult<P::Hints>, P::Error> {
        let mut derivatives = self.first_derivatives(&start)?;
        let mut best = start;
        let mut steps = 0;
        let mut converged = false;
        while steps < self.settings.most_steps && !enough(&best) {
            let Some(proposal) = self.solve_subproblem(&best, &derivatives) else {
                break;
            };
            if proposal.gain < self.settings.tolerance || self.trust < LEAST_TRUST {
                converged = true;
                break;
            }
            steps += 1;
            let trial = self.attempt(&best, &derivatives, &proposal)?;
            let merit = self.merit(&best);
            let ratio = trial
                .as_ref()
                .map_or(f64::NEG_INFINITY, |t| self.merit(t) - merit)
                / proposal.gain;
            if ratio > GOOD_RATIO {
                self.trust = (WIDER * self.trust).min(MOST_TRUST);
            } else if ratio < BAD_RATIO {
                self.trust *= NARROWER;
            }
            if let Some(next) = trial.filter(|_| ratio > ACCEPTED_RATIO)
                && let Some(onward) = self.derivatives(&next)?
            {
                let step = &next.p - &best.p;
                self.update_curvature(&step, &derivatives, &onward, &proposal.multipliers);
                best = next;
                derivatives = onward;
            }
        }
        // Multipliers are computed with a wide trust region: an active bound of a narrow one would
        // take part of them.
        let narrow = std::mem::replace(&mut self.trust, FIRST_TRUST);
        let multipliers = self.solve_subproblem(&best, &derivatives).map_or_else(
            || DVector::zeros(best.sample.constraints.len()),
            |proposal| proposal.multipliers,
        );
        self.trust = narrow;
        self.last = Some((best.p.clone(), derivatives));
        Ok(SqpResult {
            point: best,
            multipliers,
            steps,
            converged,
        })
    }

    /// A point at which every constraint exceeds a margin, from a start that has a value; the best
    /// one where there is none.
    ///
    /// # Errors
    /// The problem's own reasons; [`Stopped`] where the start or a neighbor of it has no value, or
    /// on interruption.
    pub fn feasible_point(
        &mut self,
        start: &DVector<f64>,
        margin: f64,
    ) -> Result<SqpPoint<P::Hints>, P::Error> {
        self.reset(Goal::Feasible, FIRST_TRUST);
        let Some(first) = self.evaluate(start)? else {
            return Err(Stopped::NoStart.into());
        };
        Ok(self
            .iterate(first, &|point| point.least_constraint() > margin)?
            .point)
    }

    /// The maximum from a feasible point, confirmed from a fresh curvature, because a search with a
    /// wrong curvature stops short.
    ///
    /// # Errors
    /// The problem's own reasons; [`Stopped`] where a neighbor of the start has no value, or on
    /// interruption.
    pub fn maximize(&mut self, start: SqpPoint<P::Hints>) -> Result<SqpResult<P::Hints>, P::Error> {
        self.reset(Goal::Maximum, FIRST_TRUST);
        let mut result = self.iterate(start, &|_| false)?;
        for _ in 0..CONFIRMATIONS {
            let before = result.point.sample.objective;
            self.reset(Goal::Maximum, CONFIRMING_TRUST);
            let steps = result.steps;
            result = self.iterate(result.point, &|_| false)?;
            result.steps += steps;
            let gained = result.point.sample.objective - before;
            if gained < CONFIRMED_GAIN * self.settings.tolerance {
                break;
            }
        }
        Ok(result)
    }
}

#[cfg(test)]
mod tests {
    use super::super::problem::SqpSample;
    use super::*;

    /// The maximum of x + y within the unit circle, without a value far out: 1/sqrt(2) each, and a
    /// multiplier of 1/sqrt(2).
    struct UnitCircle;

    impl SqpProblem for UnitCircle {
        type Hints = ();
        type Error = Stopped;

        fn evaluate(&self, p: &DVector<f64>) -> Result<Option<SqpSample>, Stopped> {
            if p.norm() > 2.0 {
                return Ok(None);
            }
            Ok(Some(SqpSample {
                objective: p[0] + p[1],
                constraints: DVector::from_element(1, 1.0 - p.norm_squared()),
                hints: (),
            }))
        }
    }

    #[test]
    fn val_the_highest_point_of_a_line_in_a_circle() {
        let settings = SqpSettings {
            penalty_weight: 10.0,
            regularization: DMatrix::identity(2, 2) * 1e-9,
            difference_step: 1e-6,
            tolerance: 1e-9,
            most_steps: 100,
            fixed_while_infeasible: Vec::new(),
        };
        let mut search = TrustRegionSqp::new(&UnitCircle, &settings, Interrupt::never());
        let start = search
            .feasible_point(&DVector::from_row_slice(&[1.2, -0.9]), 0.1)
            .unwrap();
        assert!(start.least_constraint() > 0.1);
        let result = search.maximize(start).unwrap();
        let want = std::f64::consts::FRAC_1_SQRT_2;
        for x in result.point.p.iter() {
            assert!((x - want).abs() < 1e-5, "{result:?}");
        }
        assert!(result.converged && (result.multipliers[0] - want).abs() < 1e-3);
    }
}
