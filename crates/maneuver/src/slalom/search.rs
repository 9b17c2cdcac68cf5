//! The search for the fastest rhythm.
//!
//! Sequential quadratic programming over the design p, the closure eliminated by its sensitivities,
//! with the trust region on the design in units of its scales:
//!
//! ```text
//! most  a V + w t + w s - 1/2 p'Rp - 1/2 d'B d     t <= clearances,  s <= guards,  t <= 0,  s <= 0
//! ```
//!
//! w exceeds what a meter of clearance is worth in speed, so that the penalty is exact (Nocedal and
//! Wright, *Numerical Optimization*, 2nd ed. 2006, ch. 17 and 18). B follows the curvature of the
//! Lagrangian by damped BFGS updates; R keeps high harmonics from wandering where they decide
//! nothing. A trial that cuts a cone is brought back by up to two restorations along the old
//! sensitivities; without them the curvature of the clearances shortens every step (Maratos effect).
//!
//! With the speed fixed the same search finds the largest least clearance: a = 0 and t free.

use nalgebra::{DMatrix, DVector};

use super::orbit::{CONSTRAINTS, Design, Lap, Period, Sensitivity};
use super::qp::Program;
use crate::interrupt::Interrupt;

/// Worth of clearance against speed [m/s per m]; twice what the cars tried need.
const WORTH: f64 = 12.0;
/// Curvature the search starts from [m/s per squared scale].
const FIRST_CURVATURE: f64 = 0.05;
/// Trust region in which the price of the constraints is told [scales].
const PRICE_TRUST: f64 = 0.3;
/// Weight on the square of the first harmonic's amplitude; grows with the square of the order.
const REGULAR: f64 = 1e-3;
/// Clearance that may be missing at the end [m].
const SLACK: f64 = 3e-4;
/// Clearance that may be missing after a step [m].
const RESTORED: f64 = 1e-4;
/// Closure demanded of a trial [largest unit of the slow states].
const CLOSED: f64 = 1e-4;
/// Passes of the closure for one trial.
const PASSES: usize = 6;
/// Gain below which a step is not worth taking [m/s].
const LITTLE: f64 = 5e-4;
/// Trust region at the start and where a result is confirmed [scales].
const STARTING: f64 = 0.3;
const CONFIRMING: f64 = 0.03;
/// Most accepted and rejected steps of a search.
const MOST_STEPS: usize = 120;

/// What is sought.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Aim {
    /// The highest speed, up to a bound [m/s], with every constraint kept.
    Speed(f64),
    /// The largest least clearance at a speed that is almost reached [m/s].
    Clearance(f64),
}

/// A rhythm found.
#[derive(Clone, Debug)]
pub struct Found {
    /// What was sought.
    pub aim: Aim,
    /// The orbit.
    pub lap: Lap,
    /// Its sensitivities.
    pub sensitivity: Sensitivity,
    /// What each constraint costs: speed per clearance of the two cones, per sideslip and per power
    /// guard [m/s per m].
    pub multipliers: [f64; CONSTRAINTS],
    /// Steps tried.
    pub steps: usize,
    /// Whether the confirmation gained nothing more.
    pub confirmed: bool,
    /// What the last confirmation gained [m/s].
    pub last_gain: f64,
}

/// Why a search stopped without a rhythm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stuck {
    /// The caller asked to stop.
    Interrupted,
    /// The speed asked for was not reached with the cones cut.
    TooFast {
        /// Speed reached [m/s].
        reached: f64,
    },
    /// No orbit closes near this speed [m/s].
    Open {
        /// Where.
        speed: f64,
        /// Passes made.
        passes: usize,
        /// What the closure left.
        open: f64,
    },
}

/// One solved subproblem.
struct Proposal {
    step: DVector<f64>,
    gain: f64,
    multipliers: [f64; CONSTRAINTS],
}

/// The search's own state.
struct Search<'p, 'a> {
    period: &'p Period<'a>,
    aim: Aim,
    /// Weights R.
    regular: DVector<f64>,
    /// Curvature B.
    curvature: DMatrix<f64>,
    /// Trust region [scales].
    trust: f64,
    /// Where it failed last: it grows towards that with care.
    failed: f64,
}

impl Search<'_, '_> {
    fn size(&self) -> usize {
        self.regular.len()
    }

    /// What the constraints take from the merit.
    fn penalty(&self, c: &[f64]) -> f64 {
        let least = c[0].min(c[1]);
        let clearance = match self.aim {
            Aim::Speed(_) => least.min(0.0),
            Aim::Clearance(_) => least,
        };
        WORTH * (clearance + c[2].min(c[3]).min(0.0))
    }

    fn merit(&self, lap: &Lap, s: &Sensitivity) -> f64 {
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
    fn rows(&self, lap: &Lap, s: &Sensitivity, free: f64) -> (DMatrix<f64>, DVector<f64>) {
        let n = self.size();
        let c = self.period.closed_constraints(lap, s);
        let count = 2 * n + CONSTRAINTS + 2;
        let (mut rows, mut bounds) = (DMatrix::zeros(count, n + 2), DVector::zeros(count));
        for j in 0..n {
            let (mut low, mut high) = (-self.trust, self.trust);
            if j == 0 {
                (low, high) = match self.aim {
                    Aim::Speed(most) => (
                        -2.0 * self.trust,
                        (1.5 * self.trust).min(most - lap.design.speed),
                    ),
                    Aim::Clearance(speed) => [speed - lap.design.speed; 2].into(),
                };
            }
            rows[(2 * j, j)] = 1.0;
            bounds[2 * j] = low;
            rows[(2 * j + 1, j)] = -1.0;
            bounds[2 * j + 1] = -high;
        }
        for i in 0..CONSTRAINTS {
            let at = 2 * n + i;
            rows.view_mut((at, 0), (1, n))
                .copy_from(&s.constraints.row(i));
            rows[(at, n + i / 2)] = -1.0;
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

    /// The step that promises most.
    fn propose(&self, lap: &Lap, s: &Sensitivity) -> Option<Proposal> {
        let n = self.size();
        let p = lap.design.vector();
        let mut curvature = DMatrix::identity(n + 2, n + 2) * 1e-6;
        let mut slope = DVector::zeros(n + 2);
        for i in 0..n {
            for j in 0..n {
                curvature[(i, j)] = self.curvature[(i, j)];
            }
            curvature[(i, i)] += self.regular[i];
            slope[i] = self.regular[i] * p[i];
        }
        let free = match self.aim {
            Aim::Speed(_) => {
                slope[0] -= 1.0;
                0.0
            }
            Aim::Clearance(_) => 100.0,
        };
        slope[n] = -WORTH;
        slope[n + 1] = -WORTH;
        let (rows, bounds) = self.rows(lap, s, free);
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
        slope[n] = -WORTH;
        slope[n + 1] = -WORTH;
        let (rows, bounds) = self.rows(lap, s, 0.0);
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

    /// Closes the orbit of a step away, with restorations.
    fn attempt(&self, lap: &Lap, s: &Sensitivity, step: &DVector<f64>) -> Option<Lap> {
        let go = |from: &Lap, d: &DVector<f64>| {
            let design = Design::from_vector(&(from.design.vector() + d));
            self.period
                .close(&design, self.period.predict(from, s, d), s, CLOSED, PASSES)
        };
        let mut trial = go(lap, step)?;
        if matches!(self.aim, Aim::Speed(_)) {
            for _ in 0..2 {
                let c = self.period.closed_constraints(&trial, s);
                if c[0].min(c[1]) > -RESTORED || trial.open > 0.02 {
                    break;
                }
                let Some(back) = self.restore(&trial, s) else {
                    break;
                };
                let Some(better) = go(&trial, &back) else {
                    break;
                };
                if self.merit(&better, s) <= self.merit(&trial, s) {
                    break;
                }
                trial = better;
            }
        }
        Some(trial)
    }

    /// Damped BFGS update after a step, with the multipliers it was proposed with.
    fn learn(
        &mut self,
        step: &DVector<f64>,
        old: &Sensitivity,
        new: &Sensitivity,
        multipliers: &[f64; CONSTRAINTS],
    ) {
        let lambda = DVector::from_row_slice(multipliers);
        // Slope of the negative Lagrangian changes with the constraints' slopes alone.
        let y = -((&new.constraints - &old.constraints).transpose() * lambda);
        let bs = &self.curvature * step;
        let (sbs, sy) = (step.dot(&bs), step.dot(&y));
        if sbs < 1e-14 {
            return;
        }
        let share = if sy >= 0.2 * sbs {
            1.0
        } else {
            0.8 * sbs / (sbs - sy)
        };
        let r = y * share + &bs * (1.0 - share);
        let sr = step.dot(&r);
        self.curvature += &r * r.transpose() / sr - &bs * bs.transpose() / sbs;
    }

    /// What the constraints cost, where the trust region leaves room to tell.
    fn price(&mut self, lap: &Lap, s: &Sensitivity) -> Option<[f64; CONSTRAINTS]> {
        let trust = std::mem::replace(&mut self.trust, PRICE_TRUST);
        let proposal = self.propose(lap, s);
        self.trust = trust;
        proposal.map(|p| p.multipliers)
    }

    fn reset(&mut self, trust: f64) {
        let n = self.size();
        self.curvature = DMatrix::identity(n, n) * FIRST_CURVATURE;
        self.trust = trust;
        self.failed = f64::INFINITY;
    }
}

/// Closes the orbit of a design from a rough start, with fresh sensitivities in every pass.
pub fn approach(
    period: &Period,
    design: &Design,
    start: (f64, super::plant::State),
    tolerance: f64,
) -> Result<(Lap, Sensitivity), Stuck> {
    let stuck = |open: f64| Stuck::Open {
        speed: design.speed,
        passes: 10,
        open,
    };
    let mut lap = period
        .lap(design, start.0, &start.1)
        .ok_or(stuck(f64::NAN))?;
    let mut s = period.sensitivity(&lap, None).ok_or(stuck(lap.open))?;
    for _ in 0..10 {
        if lap.open < tolerance {
            return Ok((lap, s));
        }
        let next = period
            .close(design, period.improved(&lap, &s), &s, tolerance, 3)
            .ok_or(stuck(lap.open))?;
        lap = next;
        s = period.sensitivity(&lap, Some(&s)).ok_or(stuck(lap.open))?;
    }
    if lap.open < 1e-3 {
        Ok((lap, s))
    } else {
        Err(stuck(lap.open))
    }
}

/// Searches from a closed orbit.
pub fn search(
    period: &Period,
    aim: Aim,
    (lap, sensitivity): (Lap, Sensitivity),
    interrupt: Interrupt,
) -> Result<Found, Stuck> {
    let n = 2 + 2 * period.harmonics();
    let regular = DVector::from_fn(n, |j, _| {
        if j < 2 {
            0.0
        } else {
            REGULAR * ((2 * ((j - 2) / 2) + 1) as f64).powi(2)
        }
    });
    let mut search = Search {
        period,
        aim,
        regular,
        curvature: DMatrix::zeros(n, n),
        trust: 0.0,
        failed: f64::INFINITY,
    };
    search.reset(STARTING);
    let mut best = Found {
        aim,
        lap,
        sensitivity,
        multipliers: [0.0; CONSTRAINTS],
        steps: 0,
        confirmed: false,
        last_gain: f64::NAN,
    };
    let mut confirmations = 0;
    let mut merit_at_reset = search.merit(&best.lap, &best.sensitivity);
    while best.steps < MOST_STEPS {
        if interrupt.stopped() {
            return Err(Stuck::Interrupted);
        }
        let merit = search.merit(&best.lap, &best.sensitivity);
        let c = period.closed_constraints(&best.lap, &best.sensitivity);
        let feasible = c.iter().all(|c| *c > -SLACK) || matches!(aim, Aim::Clearance(_));
        let proposal = search.propose(&best.lap, &best.sensitivity);
        let done = match &proposal {
            None => true,
            Some(p) => p.gain < LITTLE && feasible || search.trust < 1e-3,
        };
        if done {
            // Confirm from a fresh curvature, or stop.
            let gained = merit - merit_at_reset;
            if let Some(price) = search.price(&best.lap, &best.sensitivity) {
                best.multipliers = price;
            }
            if confirmations > 0 && gained < 3e-3 || confirmations == 3 {
                best.confirmed = gained < 1e-2;
                best.last_gain = gained;
                return Ok(best);
            }
            confirmations += 1;
            merit_at_reset = merit;
            search.reset(CONFIRMING);
            continue;
        }
        let Some(proposal) = proposal else { continue };
        best.steps += 1;
        let trial = search.attempt(&best.lap, &best.sensitivity, &proposal.step);
        let ratio = trial.as_ref().map_or(f64::NEG_INFINITY, |t| {
            (search.merit(t, &best.sensitivity) - merit) / proposal.gain
        });
        let accepted = trial.filter(|t| ratio > 0.05 && t.open < 0.02);
        let next = accepted.and_then(|t| {
            period
                .sensitivity(&t, Some(&best.sensitivity))
                .map(|s| (t, s))
        });
        let Some((lap, sensitivity)) = next else {
            search.failed = search.trust;
            search.trust *= 0.4;
            continue;
        };
        let step = lap.design.vector() - best.lap.design.vector();
        search.learn(
            &step,
            &best.sensitivity,
            &sensitivity,
            &proposal.multipliers,
        );
        let at_bound = proposal.step.amax() > 0.9 * search.trust;
        if ratio > 0.7 && at_bound {
            search.trust = (2.0 * search.trust).min(1.0).min(0.7 * search.failed);
            search.failed *= 1.5;
        } else if ratio < 0.25 {
            search.trust *= 0.5;
        }
        best.lap = lap;
        best.sensitivity = sensitivity;
    }
    Ok(best)
}
