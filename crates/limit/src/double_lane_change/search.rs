//! Search for the highest entry speed.
//!
//! Unknowns are the entry speed, the lateral position at the entry and the coefficients of the
//! steering, each in units of its scale; constraints are the clearance of every cone and the
//! sideslip guard of [`axletree_numerics::sqp`]. First a design that clears every cone is found at
//! a low speed; from there the speed is raised. The gear must suit the speed found.

use axletree_maneuver::initial_state::{highest_gear, straight};
use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::sqp::{Climb, Settings};
use axletree_simulation::outcome::Outcome;
use axletree_simulation::trace::{Recorder, Trace};
use axletree_vehicle::Model;

use super::first_guess::{bring_to_center_line, slow_design};
use super::settings::DoubleLaneChange;
use super::trial::{LaneChangeDesign, LaneChangeDrive, LaneChangeTrial};
use crate::trajectory::{TrajectoryProblem, drive_design, smoothing};

/// Step of the differences `[scales]`.
const DIFFERENCE: f64 = 1e-3;
/// Penalty weight of clearance against speed `[m/s per m]`: three times the multipliers of the cars
/// tried.
const PENALTY_WEIGHT: f64 = 150.0;
/// Weight on the squares of the steering's second differences `[m/s per squared scale]`.
const SMOOTHING: f64 = 1e-3;
/// Gain below which a step is not taken `[m/s]`.
const GAIN_TOLERANCE: f64 = 1e-3;
/// Clearance from which the low speed is left `[m]`.
const START_CLEARANCE: f64 = 0.10;
/// Clearance that may be missing at the end `[m]`.
const CLEARANCE_TOLERANCE: f64 = 5e-4;
/// Most steps of one search.
const MOST_STEPS: usize = 80;

/// Speed for which the first gear is chosen `[m/s]`: about what cars reach.
const FIRST_GEAR_SPEED: f64 = 20.0;
/// Number of start speeds tried.
const START_SPEEDS: usize = 3;
/// Start speed over the one before `[-]`.
const START_SPEED_RATIO: f64 = 0.7;

/// Fastest drive found, in one gear.
#[derive(Clone, Debug)]
pub(super) struct FastestLaneChange {
    /// The best drive.
    pub drive: LaneChangeDrive,
    /// Speed lost per clearance required more: sum over the cones `[m/s per m]`.
    pub price: f64,
    /// Steps tried.
    pub steps: usize,
    /// Whether no further gain was possible and the clearances are kept.
    pub settled: bool,
    /// Recorded channels; none until the gear is known.
    pub trace: Trace,
}

/// Searches in one gear from a design at a low speed.
fn search_from(
    trial: &LaneChangeTrial<'_>,
    reserve: f64,
    guess: &LaneChangeDesign,
    interrupt: Interrupt<'_>,
) -> Result<FastestLaneChange, Outcome> {
    let interrupt = interrupt.quiet();
    let settings = Settings {
        worth: PENALTY_WEIGHT,
        smooth: smoothing(2 + guess.steering.len(), 2, SMOOTHING),
        difference: DIFFERENCE,
        little: GAIN_TOLERANCE,
        most_steps: MOST_STEPS,
        // The speed stays low until every cone is cleared.
        held: vec![0],
    };
    let unit = &settings.smooth / SMOOTHING;
    let guess = bring_to_center_line(trial, guess, &unit, DIFFERENCE, interrupt)?;
    let problem = TrajectoryProblem {
        course: trial,
        interrupt,
    };
    let mut search = Climb::new(&problem, &settings, interrupt);
    let clear = search.inside(&guess.unknowns(), START_CLEARANCE)?;
    if clear.least() < 0.0 {
        let clearances = &clear.seen.constraints;
        let i = clearances.imin();
        // Two clearances a cone: ahead of O and behind.
        return Err(Outcome::ConeHit {
            number: i / 2 + 1,
            clearance: clearances[i] + reserve,
        });
    }
    let found = search.highest(clear)?;
    let design = LaneChangeDesign::of(&found.place.p);
    let drive = drive_design(trial, &design, Recorder::of(&[]), interrupt)?.result;
    Ok(FastestLaneChange {
        settled: found.settled && drive.least_clearance() > reserve - CLEARANCE_TOLERANCE,
        drive,
        price: found.prices.sum(),
        steps: found.steps,
        trace: Trace::default(),
    })
}

impl DoubleLaneChange {
    /// Gear for an entry speed `[m/s]`, counted from 1.
    fn gear_at(&self, model: &Model, speed: f64) -> Result<usize, Outcome> {
        if let Some(gear) = self.gear {
            return Ok(gear);
        }
        let straight = straight(model, speed, self.friction)?;
        Ok(highest_gear(model, &straight, self.least_engine_speed))
    }

    /// Searches in one gear, from the easy speed or from lower ones.
    fn fastest_in_gear(
        &self,
        model: &Model,
        trial: &LaneChangeTrial<'_>,
        interrupt: Interrupt<'_>,
    ) -> Result<FastestLaneChange, Outcome> {
        let mut speed = self.easy_speed * self.friction.min(1.0).sqrt();
        let mut first: Option<Outcome> = None;
        for _ in 0..START_SPEEDS {
            let found = slow_design(model, self, trial, speed)
                .and_then(|guess| search_from(trial, self.clearance_reserve, &guess, interrupt));
            match found {
                // Too slow for the gear: the reason is what happened at the higher speed.
                Err(Outcome::WrongGear { .. }) if first.is_some() => break,
                Err(outcome) if outcome != Outcome::Interrupted => {
                    first = first.or(Some(outcome));
                    speed *= START_SPEED_RATIO;
                }
                found => return found,
            }
        }
        Err(first.unwrap_or(Outcome::Interrupted))
    }

    /// Fastest drive through the course, recorded.
    ///
    /// The gear suits the speed found. Where the speed of the higher gear requires the lower one
    /// and that of the lower the higher, the lower one is taken.
    pub(super) fn fastest(
        &self,
        model: &Model,
        recorder: Recorder,
        interrupt: Interrupt<'_>,
    ) -> Result<FastestLaneChange, Outcome> {
        let mut gear = self.gear_at(model, FIRST_GEAR_SPEED * self.friction.min(1.0).sqrt())?;
        let mut trial = LaneChangeTrial::new(model, self, gear);
        let mut found = self.fastest_in_gear(model, &trial, interrupt)?;
        for _ in 0..model.gears.len() {
            let suitable = self.gear_at(model, found.drive.design.speed)?;
            if suitable == gear {
                break;
            }
            let other = LaneChangeTrial::new(model, self, suitable);
            let again = self.fastest_in_gear(model, &other, interrupt)?;
            let stays = self.gear_at(model, again.drive.design.speed)? == suitable;
            if !stays && gear < suitable {
                break;
            }
            (gear, trial, found) = (suitable, other, again);
            if !stays && self.gear_at(model, found.drive.design.speed)? > gear {
                break;
            }
        }
        let driven = drive_design(&trial, &found.drive.design, recorder, interrupt)?;
        found.trace = driven.trace;
        Ok(found)
    }
}
