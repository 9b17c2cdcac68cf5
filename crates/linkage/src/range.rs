//! Checks of the travels asked for.

use crate::error::LinkageError;
use crate::travel::Travel;

/// Checks a range of travel, which must be at least 1e-3 and at most `high`.
pub(crate) fn check_range(
    what: &'static str,
    value: f64,
    unit: &'static str,
    high: f64,
) -> Result<(), LinkageError> {
    within(what, value, unit, [1e-3, high])
}

/// Checks one travel: heave and roll up to 1 m and 1 rad, the rack up to 0.5 m.
pub(crate) fn check_travel(want: Travel) -> Result<(), LinkageError> {
    within("heave", want.heave, "m", [-1.0, 1.0])?;
    within("roll", want.roll, "rad", [-1.0, 1.0])?;
    within("rack travel", want.rack, "m", [-0.5, 0.5])
}

fn within(
    what: &'static str,
    value: f64,
    unit: &'static str,
    [low, high]: [f64; 2],
) -> Result<(), LinkageError> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(LinkageError::Range {
        what,
        value,
        unit,
        low,
        high,
    })
}
