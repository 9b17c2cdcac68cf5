//! Closing an orbit: finding a start to which a period returns.
//!
//! Newton's method with the sensitivities of a whole period for the slow states; the fast states
//! follow by the fixed-point iteration, corrected with the sensitivities of their end. (Lust,
//! Roose, Spence and Champneys, *SIAM J. Sci. Comput.* 19, 1998, call this Newton-Picard.)

use super::orbit::{Lap, Period, PeriodStart};
use super::sensitivity::Sensitivity;

/// Share of the gap that a pass must remove for another to be made: the rest is at most this `[-]`.
const STALLED_RATIO: f64 = 0.7;
/// Passes that are made whatever their progress.
const FREE_PASSES: usize = 3;
/// Growth of the gap `[-]`, and gap `[largest unit of the slow states]`, from which passes diverge.
const DIVERGED_RATIO: f64 = 4.0;
const DIVERGED_GAP: f64 = 1e-2;

/// Rounds of fresh sensitivities from a rough start, and passes of the closure in each.
const ROUGH_ROUNDS: usize = 10;
const PASSES_A_ROUND: usize = 3;
/// Gap that is accepted after the last round `[largest unit of the slow states]`.
const ACCEPTED_GAP: f64 = 1e-3;

/// An orbit that did not close.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct NotClosed {
    /// Rounds made.
    pub rounds: usize,
    /// Gap left `[largest unit of the slow states]`; NaN where the car did not get through.
    pub open: f64,
}

impl Period<'_> {
    /// Closes the orbit of a start with given sensitivities. Returns the last lap, closed to
    /// `tolerance` or not; none where the car does not get through or the passes diverge.
    pub fn close(
        &self,
        start: PeriodStart,
        s: &Sensitivity,
        tolerance: f64,
        passes: usize,
    ) -> Option<Lap> {
        self.close_all(vec![start], s, tolerance, passes)
            .pop()
            .flatten()
    }

    /// Closes the orbits of several starts side by side.
    pub fn close_all(
        &self,
        starts: Vec<PeriodStart>,
        s: &Sensitivity,
        tolerance: f64,
        passes: usize,
    ) -> Vec<Option<Lap>> {
        let mut closed: Vec<Option<Lap>> = starts.iter().map(|_| None).collect();
        let mut open: Vec<(usize, PeriodStart, f64)> = starts
            .into_iter()
            .enumerate()
            .map(|(i, start)| (i, start, f64::INFINITY))
            .collect();
        for pass in 0..passes.max(1) {
            let starts: Vec<PeriodStart> = open.iter().map(|(_, start, _)| start.clone()).collect();
            let before = std::mem::take(&mut open);
            for ((i, _, last), lap) in before.into_iter().zip(self.laps(&starts)) {
                let Some(lap) = lap else { continue };
                let stalled = lap.open > STALLED_RATIO * last && pass >= FREE_PASSES;
                let diverged = lap.open > DIVERGED_RATIO * last && lap.open > DIVERGED_GAP;
                if lap.open < tolerance || pass + 1 == passes || stalled {
                    closed[i] = Some(lap);
                } else if !diverged {
                    open.push((i, self.improved(&lap, s), lap.open));
                }
            }
            if open.is_empty() {
                break;
            }
        }
        closed
    }
}

/// Closes the orbit of a rough start, with fresh sensitivities in every round.
///
/// # Errors
/// [`NotClosed`] where the car does not get through or the gap does not vanish.
pub(crate) fn close_from_rough_start(
    period: &Period,
    start: &PeriodStart,
    tolerance: f64,
) -> Result<(Lap, Sensitivity), NotClosed> {
    let failed = |open: f64| NotClosed {
        rounds: ROUGH_ROUNDS,
        open,
    };
    let mut lap = period.lap(start).ok_or(failed(f64::NAN))?;
    let mut s = period.sensitivity(&lap, None).ok_or(failed(lap.open))?;
    for _ in 0..ROUGH_ROUNDS {
        if lap.open < tolerance {
            return Ok((lap, s));
        }
        let improved = period.improved(&lap, &s);
        let next = period
            .close(improved, &s, tolerance, PASSES_A_ROUND)
            .ok_or(failed(lap.open))?;
        lap = next;
        s = period.sensitivity(&lap, Some(&s)).ok_or(failed(lap.open))?;
    }
    if lap.open < ACCEPTED_GAP {
        Ok((lap, s))
    } else {
        Err(failed(lap.open))
    }
}
