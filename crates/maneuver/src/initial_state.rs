//! Initial states of maneuvers: equilibria, in gear where the engine matters.

use axletree_vehicle::model::layout::DRIVELINE;
use axletree_vehicle::trim::{self, Condition, Trim};
use axletree_vehicle::{GearError, Model, gear_equilibrium, gear_for};

use axletree_simulation::Outcome;

/// Engine speed of the gear choice, share of the highest `[-]`; common practice, no source.
const GEAR_CHOICE_SHARE: f64 = 0.75;

/// The equilibrium of a condition.
///
/// # Errors
/// [`Outcome::NoSteadyState`] where there is none.
pub fn equilibrium(model: &Model, condition: Condition) -> Result<Trim, Outcome> {
    trim::solve(model, condition).map_err(|_| Outcome::NoSteadyState {
        speed: condition.speed,
        lateral_acceleration: condition.lateral_acceleration,
    })
}

/// Straight running at a speed `[m/s]`.
///
/// # Errors
/// [`Outcome::NoSteadyState`] where there is none.
pub fn straight(model: &Model, speed: f64, friction: f64) -> Result<Trim, Outcome> {
    let condition = Condition {
        friction,
        ..Condition::straight(speed)
    };
    equilibrium(model, condition)
}

/// Steady cornering at a speed `[m/s]` with a lateral acceleration, left positive `[m/s^2]`.
///
/// # Errors
/// [`Outcome::NoSteadyState`] where there is none.
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

/// An equilibrium with the engine in a gear, counted from 1. Default: the lowest gear in which the
/// engine turns at no more than three quarters of its highest speed.
///
/// # Errors
/// [`Outcome::WrongGear`] or [`Outcome::NotEnoughPower`] where the engine cannot hold the
/// equilibrium.
pub fn in_gear(model: &Model, trim: &Trim, gear: Option<usize>) -> Result<Trim, Outcome> {
    let gear = gear.unwrap_or_else(|| gear_for(model, trim.state[DRIVELINE], GEAR_CHOICE_SHARE));
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
            missing_torque: Some(
                (torque - open)
                    * model.gears[gear - 1]
                    * model.numbers.chassis.driveline.final_drive,
            ),
        },
    })
}

/// The highest gear, counted from 1, in which the engine turns at least at a speed `[rad/s]`; the
/// first gear where none does.
pub fn highest_gear(model: &Model, trim: &Trim, least: f64) -> usize {
    let crown = trim.state[DRIVELINE] * model.numbers.chassis.driveline.final_drive;
    let fast = |ratio: &f64| ratio * crown >= least;
    model.gears.iter().rposition(fast).map_or(1, |i| i + 1)
}
