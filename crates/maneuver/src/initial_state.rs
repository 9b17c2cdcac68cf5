//! How runs begin: an equilibrium, in gear where the engine matters.

use axletree_vehicle::model::layout::DRIVELINE;
use axletree_vehicle::trim::{self, Condition, Trim};
use axletree_vehicle::{GearError, Model, gear_equilibrium, gear_for};

use crate::maneuver::Run;
use axletree_simulation::metrics::{Measures, Metric};
use axletree_simulation::outcome::{Ending, Outcome};
use axletree_simulation::trace::Trace;

/// Share of its highest speed at which an engine is driven where no gear is asked for [-]; common
/// practice, no source.
const BRISK: f64 = 0.75;

/// The equilibrium of a condition, or why there is none.
pub fn equilibrium(model: &Model, condition: Condition) -> Result<Trim, Outcome> {
    trim::solve(model, condition).map_err(|_| Outcome::NoSteadyState {
        speed: condition.speed,
        lateral_acceleration: condition.lateral_acceleration,
    })
}

/// Straight running at a speed [m/s].
pub fn straight(model: &Model, speed: f64, friction: f64) -> Result<Trim, Outcome> {
    let condition = Condition {
        friction,
        ..Condition::straight(speed)
    };
    equilibrium(model, condition)
}

/// Steady cornering at a speed [m/s] with a lateral acceleration [m/s^2].
pub fn corner(
    model: &Model,
    speed: f64,
    lateral_acceleration: f64,
    friction: f64,
) -> Result<Trim, Outcome> {
    let condition = Condition {
        friction,
        ..Condition::cornering(speed, lateral_acceleration)
    };
    equilibrium(model, condition)
}

/// The same with the engine in a gear (counted from 1): the one asked for, or the lowest in which it
/// turns briskly.
pub fn in_gear(model: &Model, trim: &Trim, gear: Option<usize>) -> Result<Trim, Outcome> {
    let gear = gear.unwrap_or_else(|| gear_for(model, trim.state[DRIVELINE], BRISK));
    gear_equilibrium(model, trim, gear).map_err(|error| match error {
        GearError::NoGear { gear, .. } => Outcome::WrongGear {
            gear,
            engine_speed: f64::NAN,
        },
        GearError::Speed { gear, speed, .. } => Outcome::WrongGear {
            gear,
            engine_speed: speed,
        },
        GearError::Torque {
            gear, torque, open, ..
        } => Outcome::NotEnoughPower {
            speed: trim.condition.speed,
            missing_torque: (torque - open)
                * model.gears[gear - 1]
                * model.numbers.chassis.driveline.final_drive,
        },
    })
}

/// The highest gear (counted from 1) in which the engine turns at least at a speed [rad/s]; the first
/// where none does.
pub fn highest_gear(model: &Model, trim: &Trim, least: f64) -> usize {
    let crown = trim.state[DRIVELINE] * model.numbers.chassis.driveline.final_drive;
    let fast = |ratio: &f64| ratio * crown >= least;
    model.gears.iter().rposition(fast).map_or(1, |i| i + 1)
}

/// A run that could not begin.
pub fn not_begun(
    maneuver: &'static str,
    outcome: Outcome,
    metrics: impl IntoIterator<Item = &'static Metric>,
) -> Run {
    Run {
        measures: Measures::empty(maneuver, Ending { outcome, time: 0.0 }, metrics),
        trace: Trace::default(),
    }
}
