//! Cars that no allowed step can follow.

use axletree_vehicle::Model;

use super::step::step_for;
use crate::outcome::Outcome;

/// Shortest step that a car may need `[s]`: a second of driving then takes some seconds of
/// computation.
const SHORTEST_STEP: f64 = 1e-6;

/// Refuses a car whose longest stable step `[s]` is shorter than any allowed one. `engine` says
/// whether engine and clutch move.
///
/// # Errors
/// [`Outcome::TooStiff`] with the part that needs the step.
///
/// ```
/// use axletree_simulation::drive::{check_step, step_at};
///
/// let mut model = axletree_vehicle::bundled("bramble-solid").unwrap()?.assemble()?;
/// assert!(check_step(&model, false, step_at(&model, 0.004, false, 20.0)).is_ok());
/// model.numbers.chassis.driveline.windup.damping = 1e12;
/// let too_stiff = check_step(&model, false, step_at(&model, 0.004, false, 20.0)).unwrap_err();
/// assert!(too_stiff.to_string().starts_with("too stiff: the driveline"));
/// # Ok::<(), axletree_vehicle::CarError>(())
/// ```
pub fn check_step(model: &Model, engine: bool, step: f64) -> Result<(), Outcome> {
    // A step that is not a number is too short too.
    let short = |step: f64| step.is_nan() || step < SHORTEST_STEP;
    if !short(step) {
        return Ok(());
    }
    let driveline = short(step_for(model, f64::INFINITY, engine));
    Err(Outcome::TooStiff {
        part: if driveline { "driveline" } else { "tires" },
        step,
        shortest: SHORTEST_STEP,
    })
}
