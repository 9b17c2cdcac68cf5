//! Steps of the search for the fastest rhythm: what they promise, what they give, and the curvature behind them.

use axletree_scalar::LANES;
use nalgebra::{DMatrix, DVector, SymmetricEigen};

use super::orbit::{CLEARANCES, CONSTRAINTS, Lap, Period, Start};
use super::sensitivity::Sensitivity;
use axletree_numerics::qp::{Program, damped_update};

/// Worth of clearance against speed [m/s per m], at least, and with wide cones over their distance [1/s], with
/// close ones times it [m^2/s]: about twice what the cars tried need. With wide cones a meter costs about V/(2 A) of speed, A the path's amplitude,
/// and grows with their distance; with close ones the steering's lock makes it dear.
const WORTH: f64 = 12.0;
const WIDE_WORTH: f64 = 2.0 / 3.0;
const CLOSE_WORTH: f64 = 150.0;
/// Curvature the search starts from [m/s per squared scale].
const FIRST_CURVATURE: f64 = 0.05;
/// The least curvature that a measurement leaves.
const LEAST_CURVATURE: f64 = 0.02;
/// Size of the steps that measure it [scales].
const PROBE: f64 = 0.05;
/// Trust region in which the price of the constraints is told [scales].
const PRICE_TRUST: f64 = 0.3;
/// Clearance that may be missing after a step [m].
const RESTORED: f64 = 1e-4;
/// Closure demanded of a trial [largest unit of the slow states].
const CLOSED: f64 = 1e-4;
/// Passes of the closure for one trial.
const PASSES: usize = 3;
/// Passes of the closure for a restoration.
const RESTORING: usize = 2;
/// The largest trust region [scales].
pub const LARGEST: f64 = 3.0;
/// What is tried at once, as far as it differs: trust region over the current one, share of the curvature.
const TRIED: [(f64, f64); 14] = [
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

fn least(c: &[f64]) -> f64 {
    c.iter().copied().fold(f64::INFINITY, f64::min)
}

/// What is sought.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Aim {
    /// The highest speed, up to a bound [m/s], with every constraint kept.
    Speed(f64),
    /// The largest least clearance at a speed that is almost reached [m/s].
    Clearance(f64),
}

/// One solved subproblem.
pub struct Proposal {
    /// Step in the tangent space.
    pub step: DVector<f64>,
    /// The trust region it was solved in [scales].
    pub trust: f64,
    /// What it promises to gain [m/s].
    pub gain: f64,
    /// Multipliers of the constraints.
    pub multipliers: [f64; CONSTRAINTS],
}

/// The search's own state.
pub struct Search<'p, 'a> {
    /// Periods of this car.
    pub period: &'p Period<'a>,
    /// What is sought.
    pub aim: Aim,
    /// Weights R.
    pub regular: DVector<f64>,
    /// Curvature B.
    pub curvature: DMatrix<f64>,
    /// Trust region [scales].
    pub trust: f64,
}

impl Search<'_, '_> {
    fn size(&self) -> usize {
        self.regular.len()
    }

    /// Worth of clearance against speed [m/s per m].
    fn worth(&self) -> f64 {
        let spacing = self.period.spacing;
        WORTH.max(WIDE_WORTH * spacing).max(CLOSE_WORTH / spacing)
    }

    /// What the constraints take from the merit.
    fn penalty(&self, c: &[f64]) -> f64 {
        let least = least(&c[..CLEARANCES]);
        let clearance = match self.aim {
            Aim::Speed(_) => least.min(0.0),
            Aim::Clearance(_) => least,
        };
        self.worth() * (clearance + self::least(&c[CLEARANCES..]).min(0.0))
    }

    /// What an orbit is worth, its small gap closed: speed, less what the constraints take [m/s].
    pub fn merit(&self, lap: &Lap, s: &Sensitivity) -> f64 {
        let p = lap.design.vector();
        let speed = match self.aim {
            Aim::Speed(_) => lap.design.speed,
            Aim::Clearance(_) => 0.0,
        };
        let regular = 0.5 * p.component_mul(&self.regular).dot(&p);
        speed + self.penalty(&self.period.closed_constraints(lap, s))
            - regular
            - 5.0 * (lap.open - 0.02).max(0.0)
    }

    /// Rows of the program: bounds of the step, constraints with their slacks, bounds of the slacks.
    fn rows(
        &self,
        lap: &Lap,
        s: &Sensitivity,
        trust: f64,
        free: f64,
    ) -> (DMatrix<f64>, DVector<f64>) {
        let n = self.size();
        let c = self.period.closed_constraints(lap, s);
        let count = 2 * n + CONSTRAINTS + 4;
        let (mut rows, mut bounds) = (DMatrix::zeros(count, n + 2), DVector::zeros(count));
        for j in 0..n {
            rows[(2 * j, j)] = 1.0;
            bounds[2 * j] = -trust;
            rows[(2 * j + 1, j)] = -1.0;
            bounds[2 * j + 1] = -trust;
        }
        let [low, high] = match self.aim {
            Aim::Speed(most) => [-2.0 * trust, (1.5 * trust).min(most - lap.design.speed)],
            Aim::Clearance(speed) => [speed - lap.design.speed; 2],
        };
        for (at, sign, bound) in [(count - 2, 1.0, low), (count - 1, -1.0, -high)] {
            rows.view_mut((at, 0), (1, n))
                .copy_from(&(s.tangent.row(0) * sign));
            bounds[at] = bound;
        }
        for i in 0..CONSTRAINTS {
            let at = 2 * n + i;
            rows.view_mut((at, 0), (1, n))
                .copy_from(&s.constraints.row(i));
            rows[(at, n + usize::from(i >= CLEARANCES))] = -1.0;
            bounds[at] = -c[i];
        }
        // Slacks: at most zero, or free.
        for k in 0..2 {
            let at = 2 * n + CONSTRAINTS + k;
            rows[(at, n + k)] = -1.0;
            bounds[at] = if k == 0 { -free } else { 0.0 };
        }
        (rows, bounds)
    }

    /// The step that promises most in a trust region with a share of the curvature.
    fn propose(&self, lap: &Lap, s: &Sensitivity, trust: f64, share: f64) -> Option<Proposal> {
        let n = self.size();
        let by_design = s.tangent.rows(0, n);
        let pull = by_design.transpose() * DMatrix::from_diagonal(&self.regular);
        let mut curvature = DMatrix::identity(n + 2, n + 2) * 1e-6;
        let own = &self.curvature * share + &pull * by_design;
        curvature.view_mut((0, 0), (n, n)).copy_from(&own);
        let mut slope = DVector::zeros(n + 2);
        slope
            .rows_mut(0, n)
            .copy_from(&(pull * lap.design.vector()));
        let free = match self.aim {
            Aim::Speed(_) => {
                let by_speed = s.tangent.row(0).transpose();
                slope.rows_mut(0, n).axpy(-1.0, &by_speed, 1.0);
                0.0
            }
            Aim::Clearance(_) => 100.0,
        };
        slope[n] = -self.worth();
        slope[n + 1] = -self.worth();
        let (rows, bounds) = self.rows(lap, s, trust, free);
        let program = Program {
            curvature,
            slope,
            rows,
            bounds,
            equations: 0,
        };
        let solution = program.solve()?;
        let x = &solution.x;
        let step = x.rows(0, n).into_owned();
        let value = -(0.5 * x.dot(&(&program.curvature * x)) + program.slope.dot(x));
        let now = self.penalty(&self.period.closed_constraints(lap, s));
        Some(Proposal {
            gain: value - now,
            trust,
            step,
            multipliers: std::array::from_fn(|i| solution.multipliers[2 * n + i]),
        })
    }

    /// The smallest step that keeps every constraint again.
    fn restore(&self, lap: &Lap, s: &Sensitivity) -> Option<DVector<f64>> {
        let n = self.size();
        let mut curvature = DMatrix::identity(n + 2, n + 2) * 10.0;
        curvature[(n, n)] = 1e-6;
        curvature[(n + 1, n + 1)] = 1e-6;
        let mut slope = DVector::zeros(n + 2);
        slope[n] = -self.worth();
        slope[n + 1] = -self.worth();
        let (rows, bounds) = self.rows(lap, s, self.trust, 0.0);
        let solution = Program {
            curvature,
            slope,
            rows,
            bounds,
            equations: 0,
        }
        .solve()?;
        Some(solution.x.rows(0, n).into_owned())
    }

    /// Different steps, as many as go at once.
    pub fn proposals(&self, lap: &Lap, s: &Sensitivity) -> Vec<Proposal> {
        let mut all: Vec<Proposal> = Vec::with_capacity(LANES);
        for (factor, share) in TRIED {
            if all.len() == LANES {
                break;
            }
            let trust = (factor * self.trust).min(LARGEST);
            let Some(next) = self.propose(lap, s, trust, share) else {
                continue;
            };
            let is_new = |old: &Proposal| (&old.step - &next.step).amax() > 0.02 * next.step.amax();
            if next.gain > 0.0 && all.iter().all(is_new) {
                all.push(next);
            }
        }
        all
    }

    /// Closes the orbits of several steps away, with restorations.
    pub fn attempt(&self, lap: &Lap, s: &Sensitivity, steps: &[Proposal]) -> Vec<Option<Lap>> {
        let go = |starts, passes| self.period.close_all(starts, s, CLOSED, passes);
        let predict = |from: &Lap, d: &DVector<f64>| self.period.predict(from, s, d);
        let starts: Vec<Start> = steps.iter().map(|p| predict(lap, &p.step)).collect();
        let mut trials = go(starts, PASSES);
        if !matches!(self.aim, Aim::Speed(_)) {
            return trials;
        }
        for _ in 0..2 {
            let (mut which, mut starts) = (Vec::new(), Vec::<Start>::new());
            for (i, trial) in trials.iter().enumerate() {
                let Some(trial) = trial else { continue };
                let c = self.period.closed_constraints(trial, s);
                if least(&c[..CLEARANCES]) > -RESTORED || trial.open > 0.02 {
                    continue;
                }
                if let Some(back) = self.restore(trial, s) {
                    which.push(i);
                    starts.push(predict(trial, &back));
                }
            }
            if starts.is_empty() {
                break;
            }
            for (i, better) in which.into_iter().zip(go(starts, RESTORING)) {
                let (Some(trial), Some(better)) = (&mut trials[i], better) else {
                    continue;
                };
                if self.merit(&better, s) > self.merit(trial, s) {
                    *trial = better;
                }
            }
        }
        trials
    }

    /// Takes the curvature to the tangent space of a new orbit and makes a damped BFGS update there, with the
    /// multipliers the step was proposed with.
    pub fn learn(
        &mut self,
        (from, old): (&Lap, &Sensitivity),
        (to, new): (&Lap, &Sensitivity),
        multipliers: &[f64; CONSTRAINTS],
    ) {
        let lambda = DVector::from_row_slice(multipliers);
        // What a step in the old coordinates is in the new ones, backward.
        let turn = new.tangent.transpose() * &old.tangent;
        let Some(back) = turn.try_inverse() else {
            return;
        };
        self.curvature = back.transpose() * &self.curvature * &back;
        // Slope of the negative Lagrangian.
        let slope = |s: &Sensitivity| {
            let speed = match self.aim {
                Aim::Speed(_) => 1.0,
                Aim::Clearance(_) => 0.0,
            };
            -(s.constraints.transpose() * &lambda) - s.tangent.row(0).transpose() * speed
        };
        let y = slope(new) - back.transpose() * slope(old);
        let step = &self.period.between(from, to, new);
        damped_update(&mut self.curvature, step, &y);
    }

    /// Measures the curvature of the Lagrangian at a closed orbit: what the constraints of orbits nearby are
    /// beyond their slopes, one for every pair of the design's numbers but the offset, which moves the path
    /// and bends nothing.
    pub fn measure(&mut self, lap: &Lap, s: &Sensitivity) -> Option<()> {
        let n = self.size();
        let multipliers = self.price(lap, s)?;
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
            .map(|pair| self.period.predict(lap, s, &step(pair)))
            .collect();
        let laps = self.period.close_all(starts, s, CLOSED, PASSES);
        let here = self.period.closed_constraints(lap, s);
        let mut bends = Vec::with_capacity(pairs.len());
        for (pair, there) in pairs.iter().zip(laps) {
            let there = self.period.closed_constraints(&there?, s);
            let slope = &s.constraints * step(pair);
            let beyond = |i: usize| multipliers[i] * (there[i] - here[i] - slope[i]);
            let bend: f64 = (0..CONSTRAINTS).map(beyond).sum();
            bends.push(-2.0 * bend / (PROBE * PROBE));
        }
        // d'Bd of a pair is both diagonals and twice what lies beside them.
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
        let mut eigen = SymmetricEigen::new(curvature);
        eigen.eigenvalues.apply(|x| *x = x.max(LEAST_CURVATURE));
        self.curvature = eigen.recompose();
        Some(())
    }

    /// What the constraints cost, where the trust region leaves room to tell.
    pub fn price(&self, lap: &Lap, s: &Sensitivity) -> Option<[f64; CONSTRAINTS]> {
        self.propose(lap, s, PRICE_TRUST, 1.0)
            .map(|p| p.multipliers)
    }

    /// Forgets the curvature and starts from a trust region.
    pub fn reset(&mut self, trust: f64) {
        let n = self.size();
        self.curvature = DMatrix::identity(n, n) * FIRST_CURVATURE;
        self.trust = trust;
    }
}
