//! Steps of the search: quadratic subproblems, trials, and the curvature of the Lagrangian.
//!
//! A step d in the tangent space T of the closed orbits (see `period::sensitivity`), with a slack t
//! of the clearances and s of the guards, solves
//!
//! ```text
//! most  a (T d)_V + w t + w s - 1/2 (p + T_p d)'R(p + T_p d) - 1/2 d'B d
//! with  c_i + C_i d >= t (clearances), >= s (guards),   s <= 0,   |d_j| <= D
//!       highest speed: a = 1, t <= 0, -2 D <= (T d)_V <= min(1.5 D, V_most - V)
//!       largest clearance: a = 0, t free, (T d)_V = V_prescribed - V
//! ```
//!
//! | symbol | quantity |
//! |---|---|
//! | p, V | design and its speed, in units of the scales |
//! | T_p, (T d)_V | rows of T of the design; the speed's change along d |
//! | c_i, C_i | constraint of the lap with its small gap closed `[m]`; its derivative by d |
//! | R, w | regularization and penalty weight (see `problem`) |
//! | B | curvature of the Lagrangian, symmetric and positive definite `[m/s per squared scale]` |
//! | D | trust region `[scales]` |
//!
//! Multipliers are at least zero: speed gained per meter by which a constraint is relaxed. Several
//! steps of different trust regions and shares of B are tried side by side. A trial that cuts a
//! cone is restored by the smallest step that brings the constraints back along the old
//! derivatives, without which the curvature of the clearances shortens every step (Maratos effect).
//!
//! B is updated by damped BFGS after every step, in the tangent space of the new orbit, or
//! measured: with the multipliers lambda and orbits at steps h e_j + h e_k,
//!
//! ```text
//! h^2 (e_j + e_k)'B(e_j + e_k) = -2 sum over i of lambda_i (c_i(d) - c_i - C_i d),
//! d = h (e_j + e_k)
//! ```
//!
//! whose eigenvalues are raised to a least value.
//!
//! This is a second search beside [`axletree_numerics::sqp`] because its unknowns do not lie in a
//! vector space: every trial must first be closed to an orbit, by Newton's method with the
//! derivatives at hand, and the coordinates turn with the tangent space from orbit to orbit.

use axletree_numerics::qp::{Program, damped_update};
use axletree_numerics::symmetric_eigen;
use axletree_scalar::LANES;
use nalgebra::{DMatrix, DVector};

use super::super::period::{CLEARANCES, CONSTRAINTS, Lap, PeriodStart, Sensitivity, step_between};
use super::problem::{LARGEST_GAP, OrbitProblem, SearchAim, least};

/// Curvature that the search starts from `[m/s per squared scale]`.
const FIRST_CURVATURE: f64 = 0.05;
/// Least eigenvalue of a measured curvature `[m/s per squared scale]`.
const LEAST_CURVATURE: f64 = 0.02;
/// Curvature of the slacks, which keeps the program strictly convex.
const SLACK_CURVATURE: f64 = 1e-6;
/// Curvature of the steps of a restoration.
const RESTORATION_CURVATURE: f64 = 10.0;
/// Size of the steps that measure the curvature `[scales]`.
const PROBE: f64 = 0.05;
/// Trust region in which the multipliers are computed `[scales]`: wide enough not to be active.
const MULTIPLIER_TRUST: f64 = 0.3;
/// Clearance that may be missing after a restoration `[m]`.
const RESTORATION_TOLERANCE: f64 = 1e-4;
/// Most restorations of a trial.
const RESTORATIONS: usize = 2;
/// Gap to which a trial is closed `[largest unit of the slow states]`.
const TRIAL_GAP: f64 = 1e-4;
/// Passes of the closure of a trial, and of a restoration.
const TRIAL_PASSES: usize = 3;
const RESTORATION_PASSES: usize = 2;
/// Largest trust region `[scales]`.
pub(super) const LARGEST_TRUST: f64 = 3.0;
/// Relative difference from which two steps count as distinct `[-]`.
const DISTINCT: f64 = 0.02;
/// Steps tried side by side, in this order as far as they differ and lanes allow: trust region over
/// the current one, share of the curvature.
const VARIANTS: [(f64, f64); 14] = [
    (1.0, 1.0),
    (10.0, 1.0),
    (10.0, 3.0),
    (0.3, 1.0),
    (10.0, 10.0),
    (3.0, 1.0),
    (10.0, 0.3),
    (0.1, 1.0),
    (10.0, 30.0),
    (3.0, 0.3),
    (1.0, 0.3),
    (0.03, 1.0),
    (0.01, 1.0),
    (10.0, 0.1),
];

/// Solution of one subproblem.
pub(super) struct OrbitStep {
    /// Step in the tangent space, d.
    pub step: DVector<f64>,
    /// Trust region of the subproblem, D `[scales]`.
    pub trust: f64,
    /// Predicted gain of the merit `[m/s]`.
    pub gain: f64,
    /// Multipliers of the constraints.
    pub multipliers: [f64; CONSTRAINTS],
}

/// State of a search: curvature and trust region.
pub(super) struct OrbitSearch<'p, 'a> {
    /// The problem.
    pub problem: OrbitProblem<'p, 'a>,
    /// Curvature, B.
    curvature: DMatrix<f64>,
    /// Trust region, D `[scales]`.
    pub trust: f64,
}

impl<'p, 'a> OrbitSearch<'p, 'a> {
    /// Search with a trust region `[scales]` and no knowledge of the curvature.
    pub fn new(problem: OrbitProblem<'p, 'a>, trust: f64) -> Self {
        let n = problem.size();
        OrbitSearch {
            problem,
            curvature: DMatrix::identity(n, n) * FIRST_CURVATURE,
            trust,
        }
    }

    /// Best step of the quadratic model in a trust region with a share of the curvature.
    fn propose(&self, lap: &Lap, s: &Sensitivity, trust: f64, share: f64) -> Option<OrbitStep> {
        let problem = &self.problem;
        let n = problem.size();
        let by_design = s.tangent.rows(0, n);
        let pull = by_design.transpose() * DMatrix::from_diagonal(&problem.regularization);
        let mut curvature = DMatrix::identity(n + 2, n + 2) * SLACK_CURVATURE;
        let own = &self.curvature * share + &pull * by_design;
        curvature.view_mut((0, 0), (n, n)).copy_from(&own);
        let mut slope = DVector::zeros(n + 2);
        slope
            .rows_mut(0, n)
            .copy_from(&(pull * lap.design.vector()));
        if problem.seeks_speed() {
            let by_speed = s.tangent.row(0).transpose();
            slope.rows_mut(0, n).axpy(-1.0, &by_speed, 1.0);
        }
        slope[n] = -problem.penalty_weight();
        slope[n + 1] = -problem.penalty_weight();
        let (rows, bounds) = problem.rows(lap, s, trust, !problem.seeks_speed());
        let program = Program {
            curvature,
            slope,
            rows,
            bounds,
        };
        let solution = program.solve()?;
        let x = &solution.x;
        let step = x.rows(0, n).into_owned();
        let value = -(0.5 * x.dot(&(&program.curvature * x)) + program.slope.dot(x));
        let now = problem.penalty(&problem.period.closed_constraints(lap, s));
        Some(OrbitStep {
            gain: value - now,
            trust,
            step,
            multipliers: std::array::from_fn(|i| solution.multipliers[2 * n + i]),
        })
    }

    /// Smallest step that keeps every constraint again.
    fn restore(&self, lap: &Lap, s: &Sensitivity) -> Option<DVector<f64>> {
        let problem = &self.problem;
        let n = problem.size();
        let mut curvature = DMatrix::identity(n + 2, n + 2) * RESTORATION_CURVATURE;
        let mut slope = DVector::zeros(n + 2);
        for slack in [n, n + 1] {
            curvature[(slack, slack)] = SLACK_CURVATURE;
            slope[slack] = -problem.penalty_weight();
        }
        let (rows, bounds) = problem.rows(lap, s, self.trust, false);
        let solution = Program {
            curvature,
            slope,
            rows,
            bounds,
        }
        .solve()?;
        Some(solution.x.rows(0, n).into_owned())
    }

    /// Distinct steps, at most as many as there are lanes.
    pub fn proposals(&self, lap: &Lap, s: &Sensitivity) -> Vec<OrbitStep> {
        let mut all: Vec<OrbitStep> = Vec::with_capacity(LANES);
        for (factor, share) in VARIANTS {
            if all.len() == LANES {
                break;
            }
            let trust = (factor * self.trust).min(LARGEST_TRUST);
            let Some(next) = self.propose(lap, s, trust, share) else {
                continue;
            };
            let differs =
                |old: &OrbitStep| (&old.step - &next.step).amax() > DISTINCT * next.step.amax();
            if next.gain > 0.0 && all.iter().all(differs) {
                all.push(next);
            }
        }
        all
    }

    /// Closes the orbits of several steps away from a lap, with restorations.
    pub fn attempt(&self, lap: &Lap, s: &Sensitivity, steps: &[OrbitStep]) -> Vec<Option<Lap>> {
        let period = self.problem.period;
        let close = |starts, passes| period.close_all(starts, s, TRIAL_GAP, passes);
        let starts: Vec<PeriodStart> = steps
            .iter()
            .map(|p| period.predict(lap, s, &p.step))
            .collect();
        let mut trials = close(starts, TRIAL_PASSES);
        if !self.problem.seeks_speed() {
            return trials;
        }
        for _ in 0..RESTORATIONS {
            let (mut which, mut starts) = (Vec::new(), Vec::<PeriodStart>::new());
            for (i, trial) in trials.iter().enumerate() {
                let Some(trial) = trial else { continue };
                let c = period.closed_constraints(trial, s);
                if least(&c[..CLEARANCES]) > -RESTORATION_TOLERANCE || trial.open > LARGEST_GAP {
                    continue;
                }
                if let Some(back) = self.restore(trial, s) {
                    which.push(i);
                    starts.push(period.predict(trial, s, &back));
                }
            }
            if starts.is_empty() {
                break;
            }
            for (i, better) in which.into_iter().zip(close(starts, RESTORATION_PASSES)) {
                let (Some(trial), Some(better)) = (&mut trials[i], better) else {
                    continue;
                };
                if self.problem.merit(&better, s) > self.problem.merit(trial, s) {
                    *trial = better;
                }
            }
        }
        trials
    }

    /// Transforms the curvature to the tangent space of a new orbit and makes a damped BFGS update
    /// there, with the multipliers of the step.
    pub fn update_curvature(
        &mut self,
        (from, old): (&Lap, &Sensitivity),
        (to, new): (&Lap, &Sensitivity),
        multipliers: &[f64; CONSTRAINTS],
    ) {
        let lambda = DVector::from_row_slice(multipliers);
        // Coordinates in the new tangent space of steps in the old one, and back.
        let turn = new.tangent.transpose() * &old.tangent;
        let Some(back) = turn.try_inverse() else {
            return;
        };
        self.curvature = back.transpose() * &self.curvature * &back;
        // Slope of the negative Lagrangian.
        let slope = |s: &Sensitivity| {
            let speed = match self.problem.aim {
                SearchAim::Speed(_) => 1.0,
                SearchAim::Clearance(_) => 0.0,
            };
            -(s.constraints.transpose() * &lambda) - s.tangent.row(0).transpose() * speed
        };
        let y = slope(new) - back.transpose() * slope(old);
        let step = &step_between(from, to, new);
        damped_update(&mut self.curvature, step, &y);
    }

    /// Measures the curvature of the Lagrangian at a closed orbit, from the constraints of orbits
    /// nearby: one for every pair of the design's numbers but the offset, which moves the path and
    /// bends nothing. Keeps the old curvature where one of them does not close.
    pub fn measure_curvature(&mut self, lap: &Lap, s: &Sensitivity) {
        if let Some(curvature) = self.measured_curvature(lap, s) {
            self.curvature = curvature;
        }
    }

    fn measured_curvature(&self, lap: &Lap, s: &Sensitivity) -> Option<DMatrix<f64>> {
        let period = self.problem.period;
        let n = self.problem.size();
        let multipliers = self.multipliers(lap, s)?;
        let numbers: Vec<usize> = (0..n).filter(|j| *j != 1).collect();
        let mut pairs: Vec<[usize; 2]> = Vec::new();
        for (i, &j) in numbers.iter().enumerate() {
            pairs.extend(numbers[i..].iter().map(|&k| [j, k]));
        }
        let step = |pair: &[usize; 2]| {
            let mut d = DVector::zeros(n);
            for j in pair {
                d[*j] = PROBE;
            }
            d
        };
        let starts = pairs
            .iter()
            .map(|pair| period.predict(lap, s, &step(pair)))
            .collect();
        let laps = period.close_all(starts, s, TRIAL_GAP, TRIAL_PASSES);
        let here = period.closed_constraints(lap, s);
        let mut bends = Vec::with_capacity(pairs.len());
        for (pair, there) in pairs.iter().zip(laps) {
            let there = period.closed_constraints(&there?, s);
            let slope = &s.constraints * step(pair);
            let beyond = |i: usize| multipliers[i] * (there[i] - here[i] - slope[i]);
            let bend: f64 = (0..CONSTRAINTS).map(beyond).sum();
            bends.push(-2.0 * bend / (PROBE * PROBE));
        }
        // The bend of a pair is the sum of both diagonal elements and twice the one beside them.
        let alone = |j: usize| pairs.iter().position(|p| *p == [j, j]).map(|at| bends[at]);
        let mut curvature = DMatrix::zeros(n, n);
        for (pair, bend) in pairs.iter().zip(&bends) {
            let [j, k] = *pair;
            let value = if j == k {
                *bend
            } else {
                0.5 * (bend - alone(j)? - alone(k)?)
            };
            curvature[(j, k)] = value;
            curvature[(k, j)] = value;
        }
        Some(symmetric_eigen(&curvature).map(|x| x.max(LEAST_CURVATURE)))
    }

    /// Multipliers of the constraints at a lap.
    pub fn multipliers(&self, lap: &Lap, s: &Sensitivity) -> Option<[f64; CONSTRAINTS]> {
        self.propose(lap, s, MULTIPLIER_TRUST, 1.0)
            .map(|p| p.multipliers)
    }
}
