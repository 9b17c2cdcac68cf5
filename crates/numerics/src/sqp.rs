//! The highest point of a function of a few unknowns within constraints, where every look is a drive.
//!
//! Sequential quadratic programming with a trust region and an exact penalty of worth w (Nocedal and
//! Wright, *Numerical Optimization*, 2nd ed. 2006, ch. 18). With the objective f, constraints g that are at
//! least zero where they are kept, and slopes F and G by differences, a step d is
//!
//! ```text
//! most  f + F d + w t - 1/2 (p + d)'R(p + d) - 1/2 d'B d,    g + G d >= t,   t <= 0
//! ```
//!
//! or, to find a place inside first, `most w t` with t free. B follows the curvature of the Lagrangian by
//! damped BFGS updates, R keeps unknowns smooth where they decide nothing. A trial that breaks a
//! constraint is brought back along the old slopes (second-order correction), without which the
//! curvature of the constraints would shorten every step.

use nalgebra::{DMatrix, DVector};

use crate::interrupt::Interrupt;
use crate::qp::{Program, damped_update};

/// Curvature the search starts from [objective per squared scale].
const FIRST_CURVATURE: f64 = 0.05;
/// Trust region at the start, at a later confirmation, at most, and below which nothing more is to be had
/// [scales].
const FIRST_TRUST: f64 = 0.5;
const CONFIRMING_TRUST: f64 = 0.1;
const MOST_TRUST: f64 = 2.0;
const LEAST_TRUST: f64 = 2e-3;
/// Confirmations made where the last one still gains.
const CONFIRMATIONS: usize = 2;

/// Why a search ended without a result.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum Stopped {
    /// The caller asked to stop.
    #[error("interrupted")]
    Interrupted,
    /// From the start the drive does not get through, or no derivatives were found.
    #[error("not converged after {passes} passes: {residual:.3e} remained")]
    NotConverged {
        /// Passes made.
        passes: usize,
        /// The residual, in the search's own measure; NaN where no start got through.
        residual: f64,
    },
}

/// What a drive with some unknowns shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen<T = ()> {
    /// What is to be as large as possible.
    pub objective: f64,
    /// Each at least zero where it is kept.
    pub constraints: DVector<f64>,
    /// What helps to look at neighbors.
    pub trail: T,
}

/// A function of a few unknowns, each in units of its scale.
pub trait Problem {
    /// What a look leaves for looks at its neighbors.
    type Trail;
    /// Why a look ends the search; the search's own reasons are converted to it.
    type Error: From<Stopped>;

    /// Looks at a place; none where the drive does not get through. An error ends the search.
    fn look(&self, p: &DVector<f64>) -> Result<Option<Seen<Self::Trail>>, Self::Error>;

    /// Looks at several neighbors of a place, in their order: objective and constraints as
    /// [`Self::look`] finds them one after the other, faster where they can be driven side by side.
    fn look_around(
        &self,
        _place: &Place<Self::Trail>,
        neighbors: &[DVector<f64>],
    ) -> Result<Vec<Option<Seen>>, Self::Error> {
        let bare = |seen: Seen<Self::Trail>| Seen {
            objective: seen.objective,
            constraints: seen.constraints,
            trail: (),
        };
        neighbors
            .iter()
            .map(|p| Ok(self.look(p)?.map(bare)))
            .collect()
    }
}

/// How a search is done.
#[derive(Clone, Debug)]
pub struct Settings {
    /// Worth of a constraint against the objective; must exceed the constraints' prices.
    pub worth: f64,
    /// Weights R on the unknowns.
    pub smooth: DMatrix<f64>,
    /// Step of the differences [scales].
    pub difference: f64,
    /// Gain below which a step is not worth taking.
    pub little: f64,
    /// Most steps tried of one climb.
    pub most_steps: usize,
    /// Unknowns that are held while a place inside is sought.
    pub held: Vec<usize>,
}

/// A place and what was seen there.
#[derive(Clone, Debug, PartialEq)]
pub struct Place<T = ()> {
    /// Unknowns.
    pub p: DVector<f64>,
    /// What a drive there shows.
    pub seen: Seen<T>,
}

impl<T> Place<T> {
    /// The least constraint.
    pub fn least(&self) -> f64 {
        self.seen.constraints.min()
    }
}

/// A search's end.
#[derive(Clone, Debug, PartialEq)]
pub struct Found<T = ()> {
    /// The best place.
    pub place: Place<T>,
    /// Prices of the constraints: objective per constraint.
    pub prices: DVector<f64>,
    /// Steps tried.
    pub steps: usize,
    /// Whether nothing more was to be gained.
    pub settled: bool,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Aim {
    Inside,
    Highest,
}

/// A search.
pub struct Climb<'c, P> {
    problem: &'c P,
    settings: &'c Settings,
    interrupt: Interrupt<'c>,
    aim: Aim,
    curvature: DMatrix<f64>,
    trust: f64,
    /// Where slopes were found last, and which.
    last: Option<(DVector<f64>, Slopes)>,
}

/// Slopes of the objective and of the constraints.
#[derive(Clone)]
struct Slopes {
    objective: DVector<f64>,
    constraints: DMatrix<f64>,
}

/// A step proposed.
struct Proposal {
    step: DVector<f64>,
    gain: f64,
    prices: DVector<f64>,
}

impl<'c, P: Problem> Climb<'c, P> {
    /// A search that has not begun.
    pub fn new(problem: &'c P, settings: &'c Settings, interrupt: Interrupt<'c>) -> Self {
        let n = settings.smooth.nrows();
        Climb {
            problem,
            settings,
            interrupt,
            aim: Aim::Inside,
            curvature: DMatrix::zeros(n, n),
            trust: FIRST_TRUST,
            last: None,
        }
    }

    fn look(&self, p: &DVector<f64>) -> Result<Option<Place<P::Trail>>, P::Error> {
        if self.interrupt.stopped() {
            return Err(Stopped::Interrupted.into());
        }
        let seen = self.problem.look(p)?;
        Ok(seen.map(|seen| Place { p: p.clone(), seen }))
    }

    fn reset(&mut self, aim: Aim, trust: f64) {
        let n = self.settings.smooth.nrows();
        self.aim = aim;
        self.curvature = DMatrix::identity(n, n) * FIRST_CURVATURE;
        self.trust = trust;
    }

    /// What the constraints take from the merit, or give to it while a place inside is sought.
    fn penalty(&self, place: &Place<P::Trail>) -> f64 {
        let least = match self.aim {
            Aim::Inside => place.least(),
            Aim::Highest => place.least().min(0.0),
        };
        self.settings.worth * least
    }

    fn merit(&self, place: &Place<P::Trail>) -> f64 {
        let objective = match self.aim {
            Aim::Inside => 0.0,
            Aim::Highest => place.seen.objective,
        };
        let p = &place.p;
        objective + self.penalty(place) - 0.5 * p.dot(&(&self.settings.smooth * p))
    }

    fn held(&self, unknown: usize) -> bool {
        self.aim == Aim::Inside && self.settings.held.contains(&unknown)
    }

    /// Slopes by forward differences; none where a neighbor does not get through.
    fn slopes(&self, place: &Place<P::Trail>) -> Result<Option<Slopes>, P::Error> {
        let (n, m) = (place.p.len(), place.seen.constraints.len());
        let h = self.settings.difference;
        let mut slopes = Slopes {
            objective: DVector::zeros(n),
            constraints: DMatrix::zeros(m, n),
        };
        if self.interrupt.stopped() {
            return Err(Stopped::Interrupted.into());
        }
        let moved = |j: usize| {
            let mut moved = place.p.clone();
            moved[j] += h;
            moved
        };
        let neighbors: Vec<_> = (0..n).map(moved).collect();
        let around = self.problem.look_around(place, &neighbors)?;
        for (j, there) in around.into_iter().enumerate() {
            let Some(there) = there else {
                return Ok(None);
            };
            slopes.objective[j] = (there.objective - place.seen.objective) / h;
            let by = (there.constraints - &place.seen.constraints) / h;
            slopes.constraints.set_column(j, &by);
        }
        Ok(Some(slopes))
    }

    /// Slopes at a start; those of the last climb's end are still known.
    fn first_slopes(&mut self, start: &Place<P::Trail>) -> Result<Slopes, P::Error> {
        match self.last.take() {
            Some((p, slopes)) if p == start.p => Ok(slopes),
            _ => self.slopes(start)?.ok_or_else(|| {
                let residual = start.least();
                Stopped::NotConverged {
                    passes: 0,
                    residual,
                }
                .into()
            }),
        }
    }

    /// Bounds of the step, constraints with their common slack, bound of the slack.
    fn rows(&self, place: &Place<P::Trail>, slopes: &Slopes) -> (DMatrix<f64>, DVector<f64>) {
        let (m, n) = slopes.constraints.shape();
        let count = 2 * n + m + 1;
        let (mut rows, mut bounds) = (DMatrix::zeros(count, n + 1), DVector::zeros(count));
        for j in 0..n {
            let reach = if self.held(j) { 0.0 } else { self.trust };
            rows[(2 * j, j)] = 1.0;
            rows[(2 * j + 1, j)] = -1.0;
            bounds[2 * j] = -reach;
            bounds[2 * j + 1] = -reach;
        }
        for i in 0..m {
            rows.view_mut((2 * n + i, 0), (1, n))
                .copy_from(&slopes.constraints.row(i));
            rows[(2 * n + i, n)] = -1.0;
            bounds[2 * n + i] = -place.seen.constraints[i];
        }
        rows[(count - 1, n)] = -1.0;
        bounds[count - 1] = match self.aim {
            Aim::Inside => -1e3,
            Aim::Highest => 0.0,
        };
        (rows, bounds)
    }

    fn propose(&self, place: &Place<P::Trail>, slopes: &Slopes) -> Option<Proposal> {
        let (m, n) = slopes.constraints.shape();
        let smooth = &self.settings.smooth;
        let mut curvature = DMatrix::identity(n + 1, n + 1) * 1e-6;
        let mut own = curvature.view_mut((0, 0), (n, n));
        own += &self.curvature + smooth;
        let mut slope = DVector::zeros(n + 1);
        slope.rows_mut(0, n).copy_from(&(smooth * &place.p));
        if self.aim == Aim::Highest {
            for j in 0..n {
                slope[j] -= slopes.objective[j];
            }
        }
        slope[n] = -self.settings.worth;
        let (rows, bounds) = self.rows(place, slopes);
        let program = Program {
            curvature,
            slope,
            rows,
            bounds,
        };
        let solution = program.solve()?;
        let x = &solution.x;
        let value = -(0.5 * x.dot(&(&program.curvature * x)) + program.slope.dot(x));
        Some(Proposal {
            step: x.rows(0, n).into_owned(),
            gain: value - self.penalty(place),
            prices: solution.multipliers.rows(2 * n, m).into_owned(),
        })
    }

    /// The smallest step that brings the constraints of a trial back, along old slopes.
    fn bring_back(&self, trial: &Place<P::Trail>, slopes: &Slopes) -> Option<DVector<f64>> {
        let n = trial.p.len();
        let mut curvature = DMatrix::identity(n + 1, n + 1) * 10.0;
        curvature[(n, n)] = 1e-6;
        let mut slope = DVector::zeros(n + 1);
        slope[n] = -self.settings.worth;
        let (rows, bounds) = self.rows(trial, slopes);
        let solution = Program {
            curvature,
            slope,
            rows,
            bounds,
        }
        .solve()?;
        Some(solution.x.rows(0, n).into_owned())
    }

    /// Learns the Lagrangian's curvature from a step.
    fn learn(&mut self, step: &DVector<f64>, old: &Slopes, new: &Slopes, prices: &DVector<f64>) {
        let mut y = -((&new.constraints - &old.constraints).transpose() * prices);
        if self.aim == Aim::Highest {
            y -= &new.objective - &old.objective;
        }
        damped_update(&mut self.curvature, step, &y);
    }

    /// One trial of a step, brought back where the curvature of the constraints cost more than a little.
    fn attempt(
        &self,
        place: &Place<P::Trail>,
        slopes: &Slopes,
        proposal: &Proposal,
    ) -> Result<Option<Place<P::Trail>>, P::Error> {
        let first = self.look(&(&place.p + &proposal.step))?;
        if let Some(trial) = &first
            && self.merit(trial) < self.merit(place) + 0.5 * proposal.gain
            && let Some(back) = self.bring_back(trial, slopes)
            && let Some(second) = self.look(&(&trial.p + back))?
            && self.merit(&second) > self.merit(trial)
        {
            return Ok(Some(second));
        }
        Ok(first)
    }

    /// Climbs from a place until nothing more is to be gained, or `enough` says so.
    fn climb(
        &mut self,
        start: Place<P::Trail>,
        enough: &dyn Fn(&Place<P::Trail>) -> bool,
    ) -> Result<Found<P::Trail>, P::Error> {
        let mut slopes = self.first_slopes(&start)?;
        let mut best = start;
        let mut steps = 0;
        let mut settled = false;
        while steps < self.settings.most_steps && !enough(&best) {
            let Some(proposal) = self.propose(&best, &slopes) else {
                break;
            };
            if proposal.gain < self.settings.little || self.trust < LEAST_TRUST {
                settled = true;
                break;
            }
            steps += 1;
            let trial = self.attempt(&best, &slopes, &proposal)?;
            let merit = self.merit(&best);
            let ratio = trial
                .as_ref()
                .map_or(f64::NEG_INFINITY, |t| self.merit(t) - merit)
                / proposal.gain;
            if ratio > 0.7 {
                self.trust = (1.6 * self.trust).min(MOST_TRUST);
            } else if ratio < 0.25 {
                self.trust *= 0.4;
            }
            if let Some(next) = trial.filter(|_| ratio > 0.05)
                && let Some(onward) = self.slopes(&next)?
            {
                let step = &next.p - &best.p;
                self.learn(&step, &slopes, &onward, &proposal.prices);
                best = next;
                slopes = onward;
            }
        }
        // A narrow trust region bears part of the prices: they are told where it is wide.
        let narrow = std::mem::replace(&mut self.trust, FIRST_TRUST);
        let prices = self.propose(&best, &slopes).map_or_else(
            || DVector::zeros(best.seen.constraints.len()),
            |proposal| proposal.prices,
        );
        self.trust = narrow;
        self.last = Some((best.p.clone(), slopes));
        Ok(Found {
            place: best,
            prices,
            steps,
            settled,
        })
    }

    /// Finds a place where every constraint has `room`, from a start that gets through; the best there is
    /// where none has.
    pub fn inside(&mut self, start: &DVector<f64>, room: f64) -> Result<Place<P::Trail>, P::Error> {
        self.reset(Aim::Inside, FIRST_TRUST);
        let Some(first) = self.look(start)? else {
            return Err(Stopped::NotConverged {
                passes: 0,
                residual: f64::NAN,
            }
            .into());
        };
        Ok(self.climb(first, &|place| place.least() > room)?.place)
    }

    /// Climbs from a place inside to the highest; once more from a fresh curvature, because a search that
    /// has learned a wrong one stops short.
    pub fn highest(&mut self, start: Place<P::Trail>) -> Result<Found<P::Trail>, P::Error> {
        self.reset(Aim::Highest, FIRST_TRUST);
        let mut found = self.climb(start, &|_| false)?;
        for _ in 0..CONFIRMATIONS {
            let before = found.place.seen.objective;
            self.reset(Aim::Highest, CONFIRMING_TRUST);
            let steps = found.steps;
            found = self.climb(found.place, &|_| false)?;
            found.steps += steps;
            let gained = found.place.seen.objective - before;
            if gained < 5.0 * self.settings.little {
                break;
            }
        }
        Ok(found)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Example 18.3 in kind: the highest of x + y on and inside the unit circle, with one look failing far
    /// out; the answer is 1/sqrt(2) each, the price of the constraint 1/sqrt(2).
    struct Circle;

    impl Problem for Circle {
        type Trail = ();
        type Error = Stopped;

        fn look(&self, p: &DVector<f64>) -> Result<Option<Seen>, Stopped> {
            if p.norm() > 2.0 {
                return Ok(None);
            }
            Ok(Some(Seen {
                objective: p[0] + p[1],
                constraints: DVector::from_element(1, 1.0 - p.norm_squared()),
                trail: (),
            }))
        }
    }

    #[test]
    fn val_the_highest_point_of_a_line_in_a_circle() {
        let settings = Settings {
            worth: 10.0,
            smooth: DMatrix::identity(2, 2) * 1e-9,
            difference: 1e-6,
            little: 1e-9,
            most_steps: 100,
            held: Vec::new(),
        };
        let mut climb = Climb::new(&Circle, &settings, Interrupt::never());
        let inside = climb
            .inside(&DVector::from_row_slice(&[1.2, -0.9]), 0.1)
            .unwrap();
        assert!(inside.least() > 0.1);
        let found = climb.highest(inside).unwrap();
        let want = std::f64::consts::FRAC_1_SQRT_2;
        for x in found.place.p.iter() {
            assert!((x - want).abs() < 1e-5, "{found:?}");
        }
        assert!(found.settled && (found.prices[0] - want).abs() < 1e-3);
    }
}
