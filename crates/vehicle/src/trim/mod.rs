//! Equilibrium: the car in steady motion, straight ahead, in a corner, gaining or losing speed.
//!
//! Unknowns are height, pitch, roll, travels, velocity and angular velocity of the body, spins,
//! deflections, lags, wind-up, twists, driveline speed, the steering wheel's angle and the drive torque:
//! 41. Equations: the body keeps its height and attitude (3), `v' = lambda v` and `w' = 0` (6), travels
//! rest (4), spins, housing and driveline gain speed with the car, `Omega' = lambda Omega` (6),
//! deflections, lags, wind-up and twists rest (20), speed and lateral acceleration are the ones asked
//! for (2). The engine rests: [`crate::engage`] puts it in place of the drive torque. `lambda = a_x / V` makes speed grow at a_x without change of sideslip; it is
//! zero in steady motion. Newton's method with exact derivatives and a line search; large lateral
//! accelerations are approached in steps, so that the equilibrium found is the one that continues
//! from straight running.

mod equations;
mod newton;

use thiserror::Error;

use crate::model::layout::{Inputs, STATES};
use crate::model::{Evaluation, Model, Observation};

pub use equations::{
    Slowing, UNKNOWNS, defect, defect_slowing, jacobian, jacobian_slowing, pack, unpack,
    unpack_slowing,
};
pub use newton::Work;
use newton::{Care, Found, Newton};

/// Step of the approach to a condition [m/s^2].
const STEP: f64 = 3.0;
/// The same where Newton's method then goes straight to the equilibrium [m/s^2 at the reference friction].
const LEAP: f64 = 5.0;

/// What is asked of the equilibrium.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Condition {
    /// Horizontal speed of O [m/s].
    pub speed: f64,
    /// Lateral acceleration in heading axes, to the left positive [m/s^2].
    pub lateral_acceleration: f64,
    /// Rate of the speed [m/s^2].
    pub longitudinal_acceleration: f64,
    /// Friction of the surface relative to the tires' reference [-].
    pub friction: f64,
}

impl Condition {
    /// Straight ahead at constant speed on the reference surface.
    pub fn straight(speed: f64) -> Self {
        Condition {
            speed,
            lateral_acceleration: 0.0,
            longitudinal_acceleration: 0.0,
            friction: 1.0,
        }
    }

    /// In a corner at constant speed on the reference surface.
    pub fn cornering(speed: f64, lateral_acceleration: f64) -> Self {
        Condition {
            lateral_acceleration,
            ..Condition::straight(speed)
        }
    }
}

/// An equilibrium.
#[derive(Clone, Debug)]
pub struct Trim {
    /// What was asked.
    pub condition: Condition,
    /// The state, at the origin with zero yaw.
    pub state: [f64; STATES],
    /// The inputs that hold it. `drive_torque` may be negative: it is what the driveline must do.
    pub inputs: Inputs<f64>,
}

impl Trim {
    /// Everything one evaluation finds there.
    pub fn evaluate(&self, model: &Model) -> Evaluation<f64> {
        model.evaluate(&self.state, &self.inputs)
    }

    /// What a person reads off the car there.
    pub fn observe(&self, model: &Model) -> Observation<f64> {
        Observation::of(&model.numbers, &self.state, &self.evaluate(model))
    }
}

/// Why there is no equilibrium.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum TrimError {
    /// The condition is outside what the equations can be asked.
    #[error(
        "no equilibrium is defined at {name} = {value} {unit}; allowed: {low} to {high} {unit}"
    )]
    Condition {
        /// The quantity.
        name: &'static str,
        /// What was asked.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least allowed.
        low: f64,
        /// Most allowed.
        high: f64,
    },
    /// The car cannot do it: the approach in steps ended before the condition.
    #[error(
        "at {speed} m/s the car has no equilibrium at {asked} m/s2 of lateral acceleration: the last \
         one found was at {reached:.3} m/s2"
    )]
    NoEquilibrium {
        /// Speed [m/s].
        speed: f64,
        /// Lateral acceleration asked for [m/s^2].
        asked: f64,
        /// Lateral acceleration last reached [m/s^2].
        reached: f64,
    },
}

fn check(condition: &Condition) -> Result<(), TrimError> {
    for (name, value, unit, low, high) in [
        ("speed", condition.speed, "m/s", 0.5, 150.0),
        (
            "lateral_acceleration",
            condition.lateral_acceleration,
            "m/s2",
            -100.0,
            100.0,
        ),
        (
            "longitudinal_acceleration",
            condition.longitudinal_acceleration,
            "m/s2",
            -100.0,
            100.0,
        ),
        ("friction", condition.friction, "-", 0.01, 5.0),
    ] {
        if !(low..=high).contains(&value) {
            return Err(TrimError::Condition {
                name,
                value,
                unit,
                low,
                high,
            });
        }
    }
    Ok(())
}

/// Solves for an equilibrium near a given one, without approaching it in steps.
pub fn refine(model: &Model, from: &Trim, condition: Condition) -> Option<Trim> {
    check(&condition).ok()?;
    let mut newton = Newton::new(model);
    let start = pack(&from.state, &from.inputs);
    let found = newton.solve(&start, None, &condition, Care::Any)?;
    Some(trim(&found.unknowns, condition))
}

/// Finds the equilibrium that continues from straight running at constant speed.
///
/// # Errors
/// [`TrimError::Condition`] for a speed below 0.5 m/s or anything not finite;
/// [`TrimError::NoEquilibrium`] where the car cannot hold the condition.
pub fn solve(model: &Model, condition: Condition) -> Result<Trim, TrimError> {
    Equilibria::of(model).solve(condition)
}

fn trim(u: &[f64; UNKNOWNS], condition: Condition) -> Trim {
    let (state, inputs) = unpack(u, condition.friction);
    Trim {
        condition,
        state,
        inputs,
    }
}

/// Equilibria of one car, one after another: each gets the bits that [`solve`] gives, but straight
/// running at the same speed on the same surface is found once.
pub struct Equilibria<'a> {
    newton: Newton<'a>,
    straight: Option<(Condition, Found)>,
}

impl<'a> Equilibria<'a> {
    /// Of a car.
    pub fn of(model: &'a Model) -> Self {
        Equilibria {
            newton: Newton::new(model),
            straight: None,
        }
    }

    /// Work done so far.
    pub fn work(&self) -> Work {
        self.newton.work
    }

    /// As [`solve`].
    pub fn solve(&mut self, condition: Condition) -> Result<Trim, TrimError> {
        check(&condition)?;
        let failed = |reached: f64| TrimError::NoEquilibrium {
            speed: condition.speed,
            asked: condition.lateral_acceleration,
            reached: reached * condition.lateral_acceleration,
        };
        let straight = Condition {
            lateral_acceleration: 0.0,
            longitudinal_acceleration: 0.0,
            ..condition
        };
        if self
            .straight
            .as_ref()
            .is_none_or(|known| known.0 != straight)
        {
            let model = self.newton.model;
            let start = pack(&model.rolling_state(condition.speed), &Inputs::coasting());
            let found = self.newton.solve(&start, None, &straight, Care::Any);
            self.straight = Some((straight, found.ok_or_else(|| failed(0.0))?));
        }
        let Some((_, known)) = &self.straight else {
            return Err(failed(0.0));
        };
        if condition == straight {
            return Ok(trim(&known.unknowns, condition));
        }

        // Approach in shares of what is asked.
        let (target, push) = (
            condition.lateral_acceleration,
            condition.longitudinal_acceleration,
        );
        let whole = target.abs().max(push.abs());
        let careful = 1.0 / (1.0 + (whole / STEP).floor());
        let mut step = 1.0 / (1.0 + (whole / (LEAP * condition.friction.min(1.0))).floor());
        let mut at = known.clone();
        let mut reached = 0.0;
        while reached < 1.0 {
            let share = f64::min(reached + step, 1.0);
            let now = Condition {
                lateral_acceleration: target * share,
                longitudinal_acceleration: push * share,
                ..condition
            };
            let care = if step > careful {
                Care::Near
            } else {
                Care::Any
            };
            if let Some(found) = self
                .newton
                .solve(&at.unknowns, at.slopes.as_ref(), &now, care)
            {
                at = found;
                reached = share;
            } else {
                step = if step > careful { careful } else { 0.5 * step };
                if step < 1e-3 {
                    return Err(failed(reached));
                }
            }
        }
        Ok(trim(&at.unknowns, condition))
    }
}
