//! The search for the fastest way through.
//!
//! Unknowns p are the entry speed, the entry's offset and the coefficients of the steering, each in units
//! of its scale; the clearance of every cone and the sideslip's guard are the constraints g. Sequential
//! quadratic programming with a trust region and the exact penalty w (Nocedal and Wright, *Numerical
//! Optimization*, 2nd ed. 2006, ch. 18):
//!
//! ```text
//! first   most w t     - 1/2 p'Rp - 1/2 d'B d,   g + G d >= t                 at a speed that is easy
//! then    most V + w t - 1/2 p'Rp - 1/2 d'B d,   g + G d >= t,   t <= 0
//! ```
//!
//! B follows the curvature of the Lagrangian by damped BFGS updates, R keeps the steering smooth where it
//! decides nothing. A trial that cuts a cone is brought back along the old slopes (second-order
//! correction), without which the curvature of the clearances would shorten every step.

use nalgebra::{DMatrix, DVector};

use super::attempt::{Attempt, Design, Ground};
use crate::interrupt::Interrupt;
use crate::outcome::Outcome;
use crate::slalom::qp::Program;
use crate::trace::Recorder;

/// Scales: speed [m/s], offset [m], steering coefficients [rad].
const SCALES: [f64; 3] = [1.0, 0.2, 0.4];
/// Steps of the differences [scales].
const DIFFERENCE: f64 = 1e-3;
/// Worth of clearance against speed [m/s per m]; three times what the cars tried need.
const WORTH: f64 = 150.0;
/// Weight on the squares of the steering's second differences [m/s per squared scale].
const SMOOTH: f64 = 1e-3;
/// Curvature the search starts from [m/s per squared scale].
const FIRST_CURVATURE: f64 = 0.05;
/// Trust region at the start [scales].
const FIRST_TRUST: f64 = 0.5;
/// Trust region below which nothing more is to be had [scales].
const LEAST_TRUST: f64 = 2e-3;
/// Gain below which a step is not worth taking [m/s].
const LITTLE: f64 = 1e-3;
/// Clearance at which the easy speed is left [m].
const EASY: f64 = 0.10;
/// Clearance that may be missing at the end [m].
const SLACK: f64 = 5e-4;
/// Most steps tried of one search.
const MOST_STEPS: usize = 80;

/// A search's end.
#[derive(Clone, Debug)]
pub struct Found {
    /// The best drive.
    pub attempt: Attempt,
    /// What clearance costs in speed: sum over the cones [m/s per m].
    pub price: f64,
    /// Drives made.
    pub drives: usize,
    /// Steps tried.
    pub steps: usize,
    /// Whether nothing more was to be gained.
    pub settled: bool,
}

/// What is sought.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Aim {
    Clearance,
    Speed,
}

struct Search<'g, 'a> {
    ground: &'g Ground<'a>,
    guard: f64,
    interrupt: Interrupt<'g>,
    aim: Aim,
    curvature: DMatrix<f64>,
    smooth: DMatrix<f64>,
    trust: f64,
    drives: usize,
}

/// A step proposed.
struct Proposal {
    step: DVector<f64>,
    gain: f64,
    multipliers: DVector<f64>,
}

fn vector(design: &Design) -> DVector<f64> {
    let [v, y, c] = SCALES;
    DVector::from_iterator(
        2 + design.steering.len(),
        [design.speed / v, design.offset / y]
            .into_iter()
            .chain(design.steering.iter().map(|x| x / c)),
    )
}

fn design(p: &DVector<f64>) -> Design {
    let [v, y, c] = SCALES;
    Design {
        speed: p[0] * v,
        offset: p[1] * y,
        steering: p.iter().skip(2).map(|x| x * c).collect(),
    }
}

impl Search<'_, '_> {
    /// Drives a design; none where the car does not get through.
    fn drive(&mut self, p: &DVector<f64>) -> Result<Option<Attempt>, Outcome> {
        if self.interrupt.stopped() {
            return Err(Outcome::Interrupted);
        }
        self.drives += 1;
        let (attempt, _) =
            self.ground
                .attempt(&design(p), Recorder::of(&[]), self.interrupt.quiet())?;
        Ok(match attempt.ending.outcome {
            Outcome::Interrupted => return Err(Outcome::Interrupted),
            outcome => outcome.is_completed().then_some(attempt),
        })
    }

    /// Clearances, and the sideslip's guard in meters of clearance.
    fn constraints(&self, attempt: &Attempt) -> DVector<f64> {
        let mut g: Vec<f64> = attempt.clearances.clone();
        g.push(0.2 * (self.guard / attempt.sideslip).ln());
        DVector::from_vec(g)
    }

    fn merit(&self, attempt: &Attempt) -> f64 {
        let p = vector(&attempt.design);
        let least = self.constraints(attempt).min();
        let worth = match self.aim {
            Aim::Clearance => WORTH * least,
            Aim::Speed => attempt.design.speed + WORTH * least.min(0.0),
        };
        worth - 0.5 * p.dot(&(&self.smooth * &p))
    }

    /// Slopes of the constraints, by forward differences.
    fn slopes(&mut self, attempt: &Attempt) -> Result<Option<DMatrix<f64>>, Outcome> {
        let p = vector(&attempt.design);
        let here = self.constraints(attempt);
        let mut slopes = DMatrix::zeros(here.len(), p.len());
        for j in 0..p.len() {
            // At the easy speed the speed stays.
            if j == 0 && self.aim == Aim::Clearance {
                continue;
            }
            let mut moved = p.clone();
            moved[j] += DIFFERENCE;
            let Some(there) = self.drive(&moved)? else {
                return Ok(None);
            };
            let slope = (self.constraints(&there) - &here) / DIFFERENCE;
            slopes.set_column(j, &slope);
        }
        Ok(Some(slopes))
    }

    /// The program's rows: bounds of the step, constraints with the common slack, bound of the slack.
    fn rows(&self, g: &DVector<f64>, slopes: &DMatrix<f64>) -> (DMatrix<f64>, DVector<f64>) {
        let (m, n) = (g.len(), slopes.ncols());
        let count = 2 * n + m + 1;
        let (mut rows, mut bounds) = (DMatrix::zeros(count, n + 1), DVector::zeros(count));
        for j in 0..n {
            let held = j == 0 && self.aim == Aim::Clearance;
            let reach = if held { 0.0 } else { self.trust };
            rows[(2 * j, j)] = 1.0;
            rows[(2 * j + 1, j)] = -1.0;
            bounds[2 * j] = -reach;
            bounds[2 * j + 1] = -reach;
        }
        for i in 0..m {
            rows.view_mut((2 * n + i, 0), (1, n))
                .copy_from(&slopes.row(i));
            rows[(2 * n + i, n)] = -1.0;
            bounds[2 * n + i] = -g[i];
        }
        rows[(count - 1, n)] = -1.0;
        bounds[count - 1] = match self.aim {
            Aim::Clearance => -100.0,
            Aim::Speed => 0.0,
        };
        (rows, bounds)
    }

    fn propose(&self, attempt: &Attempt, slopes: &DMatrix<f64>) -> Option<Proposal> {
        let p = vector(&attempt.design);
        let (g, n) = (self.constraints(attempt), p.len());
        let mut curvature = DMatrix::identity(n + 1, n + 1) * 1e-6;
        let mut own = curvature.view_mut((0, 0), (n, n));
        own += &self.curvature + &self.smooth;
        let mut slope = DVector::zeros(n + 1);
        slope.rows_mut(0, n).copy_from(&(&self.smooth * &p));
        if self.aim == Aim::Speed {
            slope[0] -= SCALES[0];
        }
        slope[n] = -WORTH;
        let (rows, bounds) = self.rows(&g, slopes);
        let program = Program {
            curvature,
            slope,
            rows,
            bounds,
            equations: 0,
        };
        let solution = program.solve()?;
        let x = &solution.x;
        let value = -(0.5 * x.dot(&(&program.curvature * x)) + program.slope.dot(x));
        let now = match self.aim {
            Aim::Clearance => WORTH * g.min(),
            Aim::Speed => WORTH * g.min().min(0.0),
        };
        Some(Proposal {
            step: x.rows(0, n).into_owned(),
            gain: value - now,
            multipliers: solution.multipliers.rows(2 * n, g.len()).into_owned(),
        })
    }

    /// The smallest step that brings the constraints of a trial back, along old slopes.
    fn bring_back(&self, trial: &Attempt, slopes: &DMatrix<f64>) -> Option<DVector<f64>> {
        let (g, n) = (self.constraints(trial), slopes.ncols());
        let mut curvature = DMatrix::identity(n + 1, n + 1) * 10.0;
        curvature[(n, n)] = 1e-6;
        let mut slope = DVector::zeros(n + 1);
        slope[n] = -WORTH;
        let (rows, bounds) = self.rows(&g, slopes);
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

    /// Damped BFGS update of the Lagrangian's curvature.
    fn learn(
        &mut self,
        step: &DVector<f64>,
        old: &DMatrix<f64>,
        new: &DMatrix<f64>,
        multipliers: &DVector<f64>,
    ) {
        let y = -((new - old).transpose() * multipliers);
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
        self.curvature += &r * r.transpose() / step.dot(&r) - &bs * bs.transpose() / sbs;
    }

    fn reset(&mut self, aim: Aim) {
        let n = self.smooth.nrows();
        self.aim = aim;
        self.curvature = DMatrix::identity(n, n) * FIRST_CURVATURE;
        self.trust = FIRST_TRUST;
    }

    /// Climbs from a drive; enough is told by `enough`.
    fn climb(
        &mut self,
        start: Attempt,
        enough: &dyn Fn(&Attempt) -> bool,
    ) -> Result<Found, Outcome> {
        let mut best = start;
        let mut price = f64::NAN;
        let mut steps = 0;
        let mut settled = false;
        let Some(mut slopes) = self.slopes(&best)? else {
            return Err(Outcome::NotConverged {
                passes: 0,
                residual: best.least(),
            });
        };
        while steps < MOST_STEPS && !enough(&best) {
            let Some(proposal) = self.propose(&best, &slopes) else {
                break;
            };
            price = proposal.multipliers.sum();
            if proposal.gain < LITTLE || self.trust < LEAST_TRUST {
                settled = true;
                break;
            }
            steps += 1;
            let p = vector(&best.design);
            let merit = self.merit(&best);
            let mut trial = self.drive(&(&p + &proposal.step))?;
            let mut step = proposal.step.clone();
            // Bring it back where the curvature of the clearances cost more than a little.
            if let Some(first) = &trial
                && self.merit(first) < merit + 0.5 * proposal.gain
                && let Some(back) = self.bring_back(first, &slopes)
            {
                let corrected = &step + back;
                if let Some(second) = self.drive(&(&p + &corrected))?
                    && self.merit(&second) > self.merit(first)
                {
                    trial = Some(second);
                    step = corrected;
                }
            }
            let gained = trial
                .as_ref()
                .map_or(f64::NEG_INFINITY, |t| self.merit(t) - merit);
            let ratio = gained / proposal.gain;
            if ratio > 0.7 {
                self.trust = (1.6 * self.trust).min(2.0);
            } else if ratio < 0.25 {
                self.trust *= 0.4;
            }
            if let Some(next) = trial.filter(|_| ratio > 0.05)
                && let Some(onward) = self.slopes(&next)?
            {
                self.learn(&step, &slopes, &onward, &proposal.multipliers);
                best = next;
                slopes = onward;
            }
        }
        Ok(Found {
            attempt: best,
            price,
            drives: self.drives,
            steps,
            settled,
        })
    }
}

/// Rounds in which the first guess is led through the middles of the lanes, and what its steering costs
/// there against a meter off the middle [m^2 per squared scale].
const ROUNDS: usize = 3;
const EFFORT: f64 = 1e-3;

/// Leads a design through the middles of the lanes at its speed, by least squares.
fn led_through(
    ground: &Ground<'_>,
    guess: &Design,
    smooth: &DMatrix<f64>,
    interrupt: Interrupt<'_>,
) -> Result<Design, Outcome> {
    let mut p = vector(guess);
    let n = p.len();
    for _ in 0..ROUNDS {
        let Some(off) = ground.off_the_middle(&design(&p), interrupt)? else {
            break;
        };
        let off = DVector::from_vec(off);
        let mut slopes = DMatrix::zeros(off.len(), n - 1);
        for j in 1..n {
            let mut moved = p.clone();
            moved[j] += DIFFERENCE;
            let Some(there) = ground.off_the_middle(&design(&moved), interrupt)? else {
                return Ok(design(&p));
            };
            slopes.set_column(j - 1, &((DVector::from_vec(there) - &off) / DIFFERENCE));
        }
        let weight = (smooth / SMOOTH).view((1, 1), (n - 1, n - 1)) * EFFORT;
        let own = p.rows(1, n - 1).into_owned();
        let right = slopes.transpose() * off + &weight * own;
        let square = slopes.transpose() * &slopes + weight;
        let Some(step) = square.lu().solve(&right) else {
            break;
        };
        for j in 1..n {
            p[j] -= step[j - 1];
        }
    }
    Ok(design(&p))
}

/// Finds the fastest way through, from a first guess at an easy speed; the sideslip is kept below a guard
/// [rad].
pub fn search(
    ground: &Ground<'_>,
    guess: &Design,
    guard: f64,
    interrupt: Interrupt<'_>,
) -> Result<Found, Outcome> {
    let n = 2 + guess.steering.len();
    let mut smooth = DMatrix::identity(n, n) * 1e-6;
    for i in 3..n - 1 {
        let row = DVector::from_fn(n, |j, _| match j {
            j if j == i => -2.0,
            j if j + 1 == i || j == i + 1 => 1.0,
            _ => 0.0,
        });
        smooth += SMOOTH * &row * row.transpose();
    }
    let guess = led_through(ground, guess, &smooth, interrupt.quiet())?;
    let mut search = Search {
        ground,
        guard,
        interrupt,
        aim: Aim::Clearance,
        curvature: DMatrix::zeros(n, n),
        smooth,
        trust: 0.0,
        drives: 0,
    };
    search.reset(Aim::Clearance);
    let Some(first) = search.drive(&vector(&guess))? else {
        return Err(Outcome::NotConverged {
            passes: 0,
            residual: f64::NAN,
        });
    };
    let easy = search.climb(first, &|a| a.least() > EASY)?;
    if easy.attempt.least() < 0.0 {
        let (number, clearance) = worst(&easy.attempt);
        return Err(Outcome::ConeHit { number, clearance });
    }
    search.reset(Aim::Speed);
    let mut found = search.climb(easy.attempt, &|_| false)?;
    // Once more from a fresh curvature: a search that has learned a wrong one stops short.
    for _ in 0..2 {
        let speed = found.attempt.design.speed;
        search.reset(Aim::Speed);
        search.trust = 0.1;
        let again = search.climb(found.attempt.clone(), &|_| false)?;
        let gained = again.attempt.design.speed - speed;
        found = Found {
            steps: found.steps + again.steps,
            ..again
        };
        if gained < 5.0 * LITTLE {
            break;
        }
    }
    if found.attempt.least() < -SLACK {
        found.settled = false;
    }
    Ok(found)
}

/// The cone with the least clearance, counted from one, and that clearance [m].
fn worst(attempt: &Attempt) -> (usize, f64) {
    let i = (0..attempt.clearances.len())
        .min_by(|&a, &b| attempt.clearances[a].total_cmp(&attempt.clearances[b]))
        .unwrap_or(0);
    (i / 2 + 1, attempt.clearances[i])
}
