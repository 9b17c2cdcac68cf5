//! Iteration of the search: sequential quadratic programming over the closed orbits.
//!
//! Each round solves the subproblem of `proposal` with different trust regions and shares of the
//! curvature, closes the orbits of these steps side by side, and takes the best. A round that gains
//! little ends the search only after the curvature has been measured: a search that has learned a
//! wrong curvature stops short.

use axletree_numerics::interrupt::Interrupt;

use super::super::period::{CONSTRAINTS, Lap, Period, Sensitivity};
use super::problem::{FoundOrbit, LARGEST_GAP, OrbitProblem, SearchAim, SearchError};
use super::proposal::{LARGEST_TRUST, OrbitSearch};

/// Clearance that may be missing at the end `[m]`.
const CLEARANCE_TOLERANCE: f64 = 3e-4;
/// Gain below which a step is not taken `[m/s]`.
const GAIN_TOLERANCE: f64 = 2e-4;
/// Rounds after which a measured curvature is measured again.
const CURVATURE_ROUNDS: usize = 4;
/// Gain of a round below which the curvature is measured `[m/s]`.
const CURVATURE_GAIN: f64 = 0.5;
/// Trust region at the start, and after the curvature was measured `[scales]`.
const FIRST_TRUST: f64 = 0.3;
const MEASURED_TRUST: f64 = 0.3;
/// Trust region below which the search ends `[scales]`.
const LEAST_TRUST: f64 = 1e-3;
/// Factor on the trust region after a round in which every step failed `[-]`.
const FAILED_ROUND_FACTOR: f64 = 0.03;
/// Most rounds of a search.
const MOST_ROUNDS: usize = 60;

/// Gain over the predicted one from which a step is taken, below which the trust region shrinks,
/// and above which it grows `[-]`.
const ACCEPTED_RATIO: f64 = 0.05;
const SHRINK_RATIO: f64 = 0.25;
const GROW_RATIO: f64 = 0.7;

/// Searches from a closed orbit.
///
/// # Errors
/// [`SearchError::Interrupted`].
pub(crate) fn search(
    period: &Period,
    aim: SearchAim,
    (lap, sensitivity): (Lap, Sensitivity),
    interrupt: Interrupt,
) -> Result<FoundOrbit, SearchError> {
    let mut search = OrbitSearch::new(OrbitProblem::new(period, aim), FIRST_TRUST);
    let mut best = FoundOrbit {
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
    while best.steps < MOST_ROUNDS {
        if interrupt.stopped() {
            return Err(SearchError::Interrupted);
        }
        let merit = search.problem.merit(&best.lap, &best.sensitivity);
        let c = period.closed_constraints(&best.lap, &best.sensitivity);
        let feasible = c.iter().all(|c| *c > -CLEARANCE_TOLERANCE) || !search.problem.seeks_speed();
        let mut proposals = search.proposals(&best.lap, &best.sensitivity);
        let promised = proposals.iter().map(|p| p.gain).fold(0.0, f64::max);
        let exhausted = promised < GAIN_TOLERANCE && feasible
            || gained < GAIN_TOLERANCE
            || search.trust < LEAST_TRUST;
        if exhausted && since.is_some_and(|rounds| rounds < CURVATURE_ROUNDS) {
            if let Some(multipliers) = search.multipliers(&best.lap, &best.sensitivity) {
                best.multipliers = multipliers;
            }
            best.confirmed = true;
            best.last_gain = gained;
            return Ok(best);
        }
        let outdated = since.is_none_or(|rounds| rounds >= CURVATURE_ROUNDS);
        if exhausted || gained < CURVATURE_GAIN && outdated {
            search.measure_curvature(&best.lap, &best.sensitivity);
            since = Some(0);
            search.trust = MEASURED_TRUST;
            proposals = search.proposals(&best.lap, &best.sensitivity);
        }
        since = since.map(|rounds| rounds + 1);
        best.steps += 1;
        let trials = search.attempt(&best.lap, &best.sensitivity, &proposals);
        let gains: Vec<Option<f64>> = trials
            .iter()
            .map(|t| Some(search.problem.merit(t.as_ref()?, &best.sensitivity) - merit))
            .collect();
        let taken = trials
            .into_iter()
            .zip(&proposals)
            .zip(gains)
            .filter_map(|((trial, p), gain)| Some((gain?, trial?, p)))
            .filter(|(gain, trial, p)| *gain > ACCEPTED_RATIO * p.gain && trial.open < LARGEST_GAP)
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let next = taken.and_then(|(gain, trial, proposal)| {
            period
                .sensitivity(&trial, Some(&best.sensitivity))
                .map(|s| (gain / proposal.gain, trial, s, proposal))
        });
        let Some((ratio, lap, sensitivity, proposal)) = next else {
            search.trust *= FAILED_ROUND_FACTOR;
            gained = 0.0;
            continue;
        };
        gained = ratio * proposal.gain;
        search.update_curvature(
            (&best.lap, &best.sensitivity),
            (&lap, &sensitivity),
            &proposal.multipliers,
        );
        search.trust = proposal.trust;
        if ratio > GROW_RATIO && proposal.step.amax() > 0.9 * proposal.trust {
            search.trust = (2.0 * proposal.trust).min(LARGEST_TRUST);
        } else if ratio < SHRINK_RATIO {
            search.trust = 0.5 * proposal.trust;
        }
        best.lap = lap;
        best.sensitivity = sensitivity;
    }
    Ok(best)
}
