//! The search for the fastest rhythm.
//!
//! Sequential quadratic programming over the coordinates t of the closed orbits' tangent space, with the
//! trust region on t:
//!
//! ```text
//! most  a V + w t + w s - 1/2 p'Rp - 1/2 d'B d     t <= clearances,  s <= guards,  t <= 0,  s <= 0
//! ```
//!
//! w exceeds what a meter of clearance is worth in speed, so that the penalty is exact (Nocedal and
//! Wright, *Numerical Optimization*, 2nd ed. 2006, ch. 17 and 18). B follows the curvature of the
//! Lagrangian by damped BFGS updates; R keeps high harmonics from wandering where they decide
//! nothing. Several steps are tried at once, of different trust regions and trust in the curvature, and
//! the best is taken. A trial that cuts a cone is brought back by up to two restorations along the old
//! sensitivities; without them the curvature of the clearances shortens every step (Maratos effect).
//!
//! With the speed fixed the same search finds the largest least clearance: a = 0 and t free.

use axletree_scalar::Real;
use nalgebra::{DMatrix, DVector};

use super::orbit::{CONSTRAINTS, Lap, Period, Start};
use super::proposal::{LARGEST, Search};
use super::sensitivity::Sensitivity;
use axletree_numerics::interrupt::Interrupt;

pub use super::proposal::Aim;

/// Weight on the square of the first harmonic's amplitude; grows with the square of the order.
const REGULAR: f64 = 1e-3;
/// Clearance that may be missing at the end [m].
const SLACK: f64 = 3e-4;
/// Gain below which a step is not worth taking [m/s].
const LITTLE: f64 = 2e-4;
/// Rounds of steps after which a measured curvature is measured again.
const STALE: usize = 4;
/// Gain from which the curvature is worth measuring [m/s].
const SLOW: f64 = 0.5;
/// Trust region at the start and where a result is confirmed [scales].
const STARTING: f64 = 0.3;
const CONFIRMING: f64 = 0.3;
/// What becomes of the trust region where every step failed.
const FAILED: f64 = 0.03;
/// Most rounds of steps of a search.
const MOST_STEPS: usize = 60;

/// A rhythm found.
#[derive(Clone, Debug)]
pub struct Found {
    /// What was sought.
    pub aim: Aim,
    /// The orbit.
    pub lap: Lap,
    /// Its sensitivities.
    pub sensitivity: Sensitivity,
    /// What each constraint costs: speed per clearance, per sideslip and per power guard [m/s per m].
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

/// Closes the orbit of a design from a rough start, with fresh sensitivities in every pass.
pub fn approach(
    period: &Period,
    start: &Start,
    tolerance: f64,
) -> Result<(Lap, Sensitivity), Stuck> {
    let stuck = |open: f64| Stuck::Open {
        speed: start.design.speed,
        passes: 10,
        open,
    };
    let mut lap = period.lap(start).ok_or(stuck(f64::NAN))?;
    let mut s = period.sensitivity(&lap, None).ok_or(stuck(lap.open))?;
    for _ in 0..10 {
        if lap.open < tolerance {
            return Ok((lap, s));
        }
        let next = period
            .close(period.improved(&lap, &s), &s, tolerance, 3)
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
            REGULAR * Real::sq((2 * ((j - 2) / 2) + 1) as f64)
        }
    });
    let mut search = Search {
        period,
        aim,
        regular,
        curvature: DMatrix::zeros(n, n),
        trust: 0.0,
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
    // Rounds since the curvature was measured.
    let mut since: Option<usize> = None;
    let mut gained = f64::INFINITY;
    while best.steps < MOST_STEPS {
        if interrupt.stopped() {
            return Err(Stuck::Interrupted);
        }
        let merit = search.merit(&best.lap, &best.sensitivity);
        let c = period.closed_constraints(&best.lap, &best.sensitivity);
        let feasible = c.iter().all(|c| *c > -SLACK) || matches!(aim, Aim::Clearance(_));
        let mut proposals = search.proposals(&best.lap, &best.sensitivity);
        let promised = proposals.iter().map(|p| p.gain).fold(0.0, f64::max);
        let little = promised < LITTLE && feasible || gained < LITTLE || search.trust < 1e-3;
        if little && since.is_some_and(|rounds| rounds < STALE) {
            if let Some(price) = search.price(&best.lap, &best.sensitivity) {
                best.multipliers = price;
            }
            best.confirmed = true;
            best.last_gain = gained;
            return Ok(best);
        }
        if little || gained < SLOW && since.is_none_or(|rounds| rounds >= STALE) {
            search.measure(&best.lap, &best.sensitivity);
            since = Some(0);
            search.trust = CONFIRMING;
            proposals = search.proposals(&best.lap, &best.sensitivity);
        }
        since = since.map(|rounds| rounds + 1);
        best.steps += 1;
        let trials = search.attempt(&best.lap, &best.sensitivity, &proposals);
        let gains: Vec<Option<f64>> = trials
            .iter()
            .map(|t| Some(search.merit(t.as_ref()?, &best.sensitivity) - merit))
            .collect();
        let taken = trials
            .into_iter()
            .zip(&proposals)
            .zip(gains)
            .filter_map(|((trial, p), gain)| Some((gain?, trial?, p)))
            .filter(|(gain, trial, p)| *gain > 0.05 * p.gain && trial.open < 0.02)
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let next = taken.and_then(|(gain, trial, proposal)| {
            period
                .sensitivity(&trial, Some(&best.sensitivity))
                .map(|s| (gain / proposal.gain, trial, s, proposal))
        });
        let Some((ratio, lap, sensitivity, proposal)) = next else {
            search.trust *= FAILED;
            gained = 0.0;
            continue;
        };
        gained = ratio * proposal.gain;
        search.learn(
            (&best.lap, &best.sensitivity),
            (&lap, &sensitivity),
            &proposal.multipliers,
        );
        search.trust = proposal.trust;
        if ratio > 0.7 && proposal.step.amax() > 0.9 * proposal.trust {
            search.trust = (2.0 * proposal.trust).min(LARGEST);
        } else if ratio < 0.25 {
            search.trust = 0.5 * proposal.trust;
        }
        best.lap = lap;
        best.sensitivity = sensitivity;
    }
    Ok(best)
}
