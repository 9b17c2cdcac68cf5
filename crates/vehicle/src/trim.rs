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

use axletree_scalar::{Dual, Lift, Real};
use nalgebra::{DMatrix, DVector};
use thiserror::Error;

use crate::model::layout::{
    ATTITUDE, DEFLECTION, DRIVELINE, ENGINE, HOUSING, Inputs, POSITION, RATE, SHAFT_DIFFERENCE,
    SHAFT_MEAN, SPIN, STATES, TOE, TRAVEL, TRAVEL_RATE, VELOCITY, WINDUP,
};
use crate::model::whole::DIRECTIONS;
use crate::model::{Derivative, Evaluation, Model, Numbers, Observation, evaluate_derivative};

/// Number of unknowns.
pub const UNKNOWNS: usize = 41;

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

/// The unknowns' places in the state.
fn unknown_states() -> impl Iterator<Item = usize> {
    std::iter::once(POSITION + 2)
        .chain(ATTITUDE + 1..ATTITUDE + 3)
        .chain(TRAVEL..TRAVEL + 4)
        .chain(VELOCITY..VELOCITY + 6)
        .chain(SPIN..ENGINE)
}

/// What slows the car where the last unknown, the torque, is negative.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slowing {
    /// The driveline, on the driven wheels alone.
    Driveline,
    /// The brakes, on all wheels by their balance.
    Brakes,
}

/// State and inputs from the unknowns.
pub fn unpack<T: Real>(u: &[T; UNKNOWNS], friction: f64) -> ([T; STATES], Inputs<T>) {
    unpack_slowing(u, friction, Slowing::Driveline)
}

/// The same with a choice of what slows the car.
pub fn unpack_slowing<T: Real>(
    u: &[T; UNKNOWNS],
    friction: f64,
    slowing: Slowing,
) -> ([T; STATES], Inputs<T>) {
    let mut state = [T::zero(); STATES];
    for (value, at) in u.iter().zip(unknown_states()) {
        state[at] = *value;
    }
    let torque = u[UNKNOWNS - 1];
    let (drive_torque, brake_torque) = match slowing {
        Slowing::Driveline => (torque, T::zero()),
        Slowing::Brakes => (torque.positive(), (-torque).positive()),
    };
    let inputs = Inputs {
        steering_wheel: u[UNKNOWNS - 2],
        drive_torque,
        brake_torque,
        friction: T::c(friction),
        ..Inputs::coasting()
    };
    (state, inputs)
}

/// Typical sizes of the residuals, so that none outweighs the others.
fn residual<T: Real>(
    numbers: &Numbers<T>,
    u: &[T; UNKNOWNS],
    condition: &Condition,
    slowing: Slowing,
    evaluate: impl Fn(&[T; STATES], &Inputs<T>) -> Evaluation<T>,
) -> [T; UNKNOWNS] {
    let (state, inputs) = unpack_slowing(u, condition.friction, slowing);
    let e = evaluate(&state, &inputs);
    let seen = Observation::of(numbers, &state, &e);
    let lambda = T::c(condition.longitudinal_acceleration / condition.speed);
    let mut r = [T::zero(); UNKNOWNS];
    let mut at = 0;
    let mut put = |value: T| {
        r[at] = value;
        at += 1;
    };
    put(e.rate[POSITION + 2]);
    put(e.rate[ATTITUDE + 1]);
    put(e.rate[ATTITUDE + 2]);
    for i in 0..3 {
        put(e.rate[VELOCITY + i] - lambda * state[VELOCITY + i]);
    }
    for i in 0..3 {
        put(e.rate[RATE + i]);
    }
    for i in 0..4 {
        put(e.rate[TRAVEL_RATE + i].scale(0.05));
    }
    // A wheel off the road feels no torque at any spin: it is taken to roll. The term is nothing for a
    // wheel that carries a load.
    let spin = |i: usize| {
        let (load, sliding) = (e.contacts[i].load, e.contacts[i].sliding[0]);
        (e.rate[SPIN + i] - lambda * state[SPIN + i]).scale(0.05)
            + sliding.scale(1e-3) / (T::one() + load * load)
    };
    for i in 0..4 {
        put(spin(i));
    }
    for i in DEFLECTION..TOE {
        put(e.rate[i].scale(1.0 / condition.speed.max(1.0)));
    }
    let lag = numbers.chassis.lag;
    for i in TOE..WINDUP {
        put(e.rate[i] * lag);
    }
    for i in [WINDUP, SHAFT_MEAN, SHAFT_DIFFERENCE] {
        put(e.rate[i]);
    }
    for i in [HOUSING, DRIVELINE] {
        put((e.rate[i] - lambda * state[i]).scale(0.05));
    }
    put(seen.speed - T::c(condition.speed));
    put(seen.lateral_acceleration - T::c(condition.lateral_acceleration));
    r
}

fn norm(r: &[f64; UNKNOWNS]) -> f64 {
    r.iter().map(|x| x * x).sum::<f64>().sqrt()
}

/// Newton's method from a guess; `None` where it does not converge.
fn newton(
    model: &Model,
    lifted: &Numbers<Derivative>,
    mut u: [f64; UNKNOWNS],
    condition: &Condition,
) -> Option<[f64; UNKNOWNS]> {
    let plain = |u: &[f64; UNKNOWNS]| defect(model, u, condition);
    let mut r = plain(&u);
    let mut size = norm(&r);
    for _ in 0..40 {
        if !size.is_finite() {
            return None;
        }
        if size < 1e-11 {
            return Some(u);
        }
        let jacobian = jacobian(lifted, &u, condition);
        let step = jacobian.lu().solve(&DVector::from_row_slice(&r))?;
        // Halve the step until the residual falls.
        let mut share = 1.0;
        loop {
            let trial: [f64; UNKNOWNS] = std::array::from_fn(|i| u[i] - share * step[i]);
            let trial_r = plain(&trial);
            let trial_size = norm(&trial_r);
            if trial_size < (1.0 - 0.1 * share) * size {
                (u, r, size) = (trial, trial_r, trial_size);
                break;
            }
            share *= 0.5;
            if share < 1e-3 {
                // Rounding: as close as the numbers allow.
                return (size < 1e-8).then_some(u);
            }
        }
    }
    (size < 1e-8).then_some(u)
}

/// What is left of the equations at the unknowns `u`; the last two are the speed and the lateral
/// acceleration less the ones asked for. For continuation along a curve of equilibria.
pub fn defect(model: &Model, u: &[f64; UNKNOWNS], condition: &Condition) -> [f64; UNKNOWNS] {
    defect_slowing(model, u, condition, Slowing::Driveline)
}

/// The same with a choice of what slows the car.
pub fn defect_slowing(
    model: &Model,
    u: &[f64; UNKNOWNS],
    condition: &Condition,
    slowing: Slowing,
) -> [f64; UNKNOWNS] {
    residual(&model.numbers, u, condition, slowing, |x, i| {
        model.evaluate(x, i)
    })
}

/// Derivatives of [`defect`] by the unknowns, exact to rounding, from numbers lifted to
/// [`Derivative`].
pub fn jacobian(
    lifted: &Numbers<Derivative>,
    u: &[f64; UNKNOWNS],
    condition: &Condition,
) -> DMatrix<f64> {
    jacobian_slowing(lifted, u, condition, Slowing::Driveline)
}

/// The same with a choice of what slows the car.
pub fn jacobian_slowing(
    lifted: &Numbers<Derivative>,
    u: &[f64; UNKNOWNS],
    condition: &Condition,
    slowing: Slowing,
) -> DMatrix<f64> {
    let mut jacobian = DMatrix::zeros(UNKNOWNS, UNKNOWNS);
    for first in (0..UNKNOWNS).step_by(DIRECTIONS) {
        let seeded: [Derivative; UNKNOWNS] = std::array::from_fn(|i| {
            if (first..first + DIRECTIONS).contains(&i) {
                Dual::variable(u[i], i - first)
            } else {
                Dual::constant(u[i])
            }
        });
        let r = residual(lifted, &seeded, condition, slowing, |x, i| {
            evaluate_derivative(lifted, x, i)
        });
        for (row, value) in r.iter().enumerate() {
            for (k, slope) in value.d.iter().take(UNKNOWNS - first).enumerate() {
                jacobian[(row, first + k)] = *slope;
            }
        }
    }
    jacobian
}

/// The unknowns from state and inputs.
pub fn pack(state: &[f64; STATES], inputs: &Inputs<f64>) -> [f64; UNKNOWNS] {
    let mut u = [0.0; UNKNOWNS];
    for (value, at) in u.iter_mut().zip(unknown_states()) {
        *value = state[at];
    }
    u[UNKNOWNS - 2] = inputs.steering_wheel;
    u[UNKNOWNS - 1] = inputs.drive_torque - inputs.brake_torque;
    u
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
    let lifted = model.numbers.lift(&mut Derivative::constant);
    let u = newton(model, &lifted, pack(&from.state, &from.inputs), &condition)?;
    let (state, inputs) = unpack(&u, condition.friction);
    Some(Trim {
        condition,
        state,
        inputs,
    })
}

/// Finds the equilibrium that continues from straight running at constant speed.
///
/// # Errors
/// [`TrimError::Condition`] for a speed below 0.5 m/s or anything not finite;
/// [`TrimError::NoEquilibrium`] where the car cannot hold the condition.
pub fn solve(model: &Model, condition: Condition) -> Result<Trim, TrimError> {
    check(&condition)?;
    let lifted = model.numbers.lift(&mut Derivative::constant);
    let target = condition.lateral_acceleration;
    let push = condition.longitudinal_acceleration;
    let mut u = pack(&model.rolling_state(condition.speed), &Inputs::coasting());

    // Approach in shares of what is asked: 0 is straight running at constant speed.
    let mut reached = 0.0;
    let mut step = 1.0 / (1.0 + (target.abs().max(push.abs()) / 3.0).floor());
    let mut share = 0.0;
    loop {
        let now = Condition {
            lateral_acceleration: target * share,
            longitudinal_acceleration: push * share,
            ..condition
        };
        if let Some(found) = newton(model, &lifted, u, &now) {
            u = found;
            reached = share;
            if share >= 1.0 {
                break;
            }
        } else {
            step *= 0.5;
            if share == 0.0 || step < 1e-3 {
                return Err(TrimError::NoEquilibrium {
                    speed: condition.speed,
                    asked: target,
                    reached: reached * target,
                });
            }
        }
        share = (reached + step).min(1.0);
    }
    let (state, inputs) = unpack(&u, condition.friction);
    Ok(Trim {
        condition,
        state,
        inputs,
    })
}
