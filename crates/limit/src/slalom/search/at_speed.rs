//! Orbit of largest clearance at a prescribed speed.

use axletree_numerics::interrupt::Interrupt;

use super::super::period::{Lap, Period, Sensitivity};
use super::fastest::search;
use super::problem::{FoundOrbit, SearchAim, SearchError};

/// Relaxed clearances, tried in order, of the continuation towards a prescribed speed: how far the
/// cones may be cut `[m]`; a negative cut is a clearance that is kept.
const RELAXATIONS: [f64; 4] = [-1.0, 0.0, 0.2, 0.8];

/// Speed that may be missing for a prescribed one to count as reached `[m/s]`; the search for the
/// largest clearance makes up the rest.
const SPEED_TOLERANCE: f64 = 0.02;

/// Finds the orbit of largest least clearance at a speed `[m/s]`, from a closed orbit at that speed
/// or below. Where the cones do not allow the speed, the clearances are relaxed until it is
/// reached.
///
/// # Errors
/// [`SearchError::TooFast`] where the speed is not reached.
pub(crate) fn widest_at_speed(
    period: &mut Period,
    speed: f64,
    closed: (Lap, Sensitivity),
    interrupt: Interrupt<'_>,
) -> Result<FoundOrbit, SearchError> {
    let reserve = period.reserve;
    let mut at = closed;
    for cut in RELAXATIONS {
        if at.0.design.speed > speed - SPEED_TOLERANCE {
            break;
        }
        period.reserve = reserve.min(-cut);
        let found = search(period, SearchAim::Speed(speed), at, interrupt)?;
        at = (found.lap, found.sensitivity);
    }
    period.reserve = reserve;
    let reached = at.0.design.speed;
    if reached < speed - SPEED_TOLERANCE {
        return Err(SearchError::TooFast {
            relaxations: RELAXATIONS.len(),
            reached,
        });
    }
    search(period, SearchAim::Clearance(speed), at, interrupt)
}
