//! The car with its driver's hands and right foot, as a function of the course's length.
//!
//! The independent variable is X, the position of O along the course: cones and the ends of a period
//! then lie on fixed points of the grid, and nothing is interpolated. Every rate is
//! `dx/dX = x'/X'`.
//!
//! ```text
//! hands    c = lock tanh(wanted/lock),   delta' = w tanh((c - delta)/(w tau))
//! foot     i' = V - u,   T = m R ((V - u)/t_p + i/(t_p t_i)),  held between the driveline's bounds
//! bounds   T_most = min(peak torque, peak power/omega),  omega mean speed of the rear wheels
//!          T -> T/(1 + (T/L)^8)^(1/8),  L = T_most for drive and a quarter of it for overrun
//! ```
//!
//! delta is the steering wheel's angle, V the speed asked for, u the forward speed in body axes, m
//! the car's mass, R the rear wheels' effective radius at rest. The muscles' lag `tau` and the hands'
//! greatest rate w are in the plant, so that the steering found is one that hands can do.

use std::ops::ControlFlow;

use axletree_scalar::Real;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ATTITUDE, Inputs, POSITION, SPIN, STATES, VELOCITY};

use super::settings::Slalom;
use crate::drive::{LAGS, step_for};
use crate::stepping::rk4_step;

/// Angle of the steering wheel [rad].
pub const HANDS: usize = STATES;
/// Integral of the speed that was missing [m].
pub const CRUISE: usize = STATES + 1;
/// Time [s].
pub const TIME: usize = STATES + 2;
/// Number of states of car, driver and clock.
pub const LENGTH: usize = STATES + 3;

/// Car, driver and clock.
pub type State = [f64; LENGTH];

/// Time over which the driver's foot makes up a speed error [s]; common practice, no source.
const PROPORTIONAL_TIME: f64 = 0.5;
/// Time over which it makes up a lasting one [s]; common practice, no source.
const INTEGRAL_TIME: f64 = 2.0;
/// Torque of the overrun against the most drive torque [-]; common practice, no source.
const OVERRUN: f64 = 0.25;
/// The least speed along the course that the equations in X stand [m/s].
const LEAST_PROGRESS: f64 = 0.5;

/// Everything the rates need.
#[derive(Clone, Debug)]
pub struct Plant<'a> {
    /// The car.
    pub model: &'a Model,
    /// Mass times the rear wheels' effective radius at rest [kg m].
    push: f64,
    /// Greatest rate of the hands [rad/s].
    hand_rate: f64,
    /// Lag of the muscles [s].
    lag: f64,
    /// Greatest steering-wheel angle [rad].
    lock: f64,
    /// Friction of the surface [-].
    friction: f64,
    /// Share of their rate at which the car's lags follow their loads, so that the step carries them [-].
    lagging: f64,
}

/// What the driver does at one moment.
#[derive(Clone, Copy, Debug)]
pub struct Action {
    /// Inputs of the car.
    pub inputs: Inputs<f64>,
    /// Rate of the cruise integral [m/s].
    pub missing: f64,
    /// Torque asked for over the bound on its side [-].
    pub throttle: f64,
}

/// Step over the lag of toe, tilt and twist under load that the steps along the course carry: 2.78 is where
/// the method stops being stable. A car of shorter lags gets this one here; a rhythm of a second feels
/// nothing of it, and a test says so.
const STEP_OVER_LAG: f64 = 2.2;

impl<'a> Plant<'a> {
    /// The plant of a car.
    pub fn new(model: &'a Model, slalom: &Slalom) -> Self {
        let rolling = model.rolling_state(1.0);
        Plant {
            model,
            push: model.mass() * 2.0 / (rolling[SPIN + 2] + rolling[SPIN + 3]),
            hand_rate: slalom.hand_rate,
            lag: slalom.neuromuscular_lag,
            lock: slalom.steering_lock,
            friction: slalom.friction,
            lagging: (model.numbers.chassis.lag * STEP_OVER_LAG / slalom.step).min(1.0),
        }
    }

    /// The cruise integral that holds a drive torque without a speed error [m].
    pub fn integral_for(&self, torque: f64) -> f64 {
        torque * PROPORTIONAL_TIME * INTEGRAL_TIME / self.push
    }

    /// The step that the car's driveline allows: the one asked for, or a shorter one [s].
    pub fn step(&self, asked: f64) -> f64 {
        step_for(self.model, asked, false)
    }

    /// What the driver does who wants the steering-wheel angle `wanted` and the speed `speed`.
    #[inline(always)]
    pub fn act(&self, state: &State, speed: f64, wanted: f64) -> Action {
        let command = wanted.scale(1.0 / self.lock).tanh().scale(self.lock);
        let hands = (command - state[HANDS]).scale(1.0 / (self.lag * self.hand_rate));
        let missing = speed - state[VELOCITY];
        let asked = (missing.scale(1.0 / PROPORTIONAL_TIME)
            + state[CRUISE].scale(1.0 / (PROPORTIONAL_TIME * INTEGRAL_TIME)))
        .scale(self.push);
        let driveline = &self.model.numbers.chassis.driveline;
        let omega = (state[SPIN + 2] + state[SPIN + 3]).scale(0.5).max(1.0);
        let most = driveline.peak_torque.min(driveline.peak_power / omega);
        let bound = if asked < 0.0 { -OVERRUN * most } else { most };
        let throttle = asked / bound;
        // Far beyond the bound the root is as good as the share itself.
        let held = throttle.min(1e6);
        let root = (1.0 + held.sq().sq().sq()).sqrt().sqrt().sqrt();
        Action {
            inputs: Inputs {
                steering_wheel: state[HANDS],
                steering_wheel_rate: hands.tanh().scale(self.hand_rate),
                drive_torque: bound * held / root,
                brake_torque: 0.0,
                friction: self.friction,
                ..Inputs::coasting()
            },
            missing,
            throttle,
        }
    }

    /// Rates in time [per s].
    #[inline(always)]
    pub fn rate_in_time(&self, state: &State, speed: f64, wanted: f64) -> State {
        let action = self.act(state, speed, wanted);
        let car: [f64; STATES] = std::array::from_fn(|i| state[i]);
        let of_car = self.model.rate(&car, &action.inputs);
        let mut all = [1.0; LENGTH];
        all[..STATES].copy_from_slice(&of_car);
        for lag in &mut all[LAGS] {
            *lag *= self.lagging;
        }
        all[HANDS] = action.inputs.steering_wheel_rate;
        all[CRUISE] = action.missing;
        all
    }

    /// Rates along the course [per m].
    pub fn rate(&self, state: &State, speed: f64, wanted: f64) -> State {
        let mut all = self.rate_in_time(state, speed, wanted);
        let progress = all[POSITION].max(LEAST_PROGRESS);
        let per_meter = progress.recip();
        for x in &mut all {
            *x *= per_meter;
        }
        all[POSITION] = 1.0;
        all
    }

    /// Runs along the course in steps of `step` [m], `steps` of them, with the fourth-order method.
    ///
    /// `wanted` gives the steering-wheel angle wanted at a half step's number and a state; `each`
    /// sees every point of the grid with its number and may break off. None where it breaks off or
    /// where the car stops going forward.
    pub fn run(
        &self,
        start: &State,
        speed: f64,
        step: f64,
        steps: usize,
        wanted: &impl Fn(usize, &State) -> f64,
        each: &mut impl FnMut(usize, &State, &State) -> ControlFlow<()>,
    ) -> Option<State> {
        let mut state = *start;
        for i in 0..=steps {
            let now = self.rate(&state, speed, wanted(2 * i, &state));
            if !(velocity(&state)[0] > LEAST_PROGRESS && state.iter().all(|x| x.is_finite()))
                || each(i, &state, &now).is_break()
            {
                return None;
            }
            if i == steps {
                break;
            }
            // The stages stand at the start, twice in the middle, and at the end of the step.
            let origin = state[POSITION];
            let mut stage = |x: f64, y: &State| {
                let half = ((x - origin) / (0.5 * step)).round() as usize;
                self.rate(y, speed, wanted(2 * i + half, y))
            };
            state = rk4_step(&mut stage, state[POSITION], &state, &now, step);
        }
        Some(state)
    }
}

/// Velocity of O from the state alone, along and across the course [m/s, e].
#[inline(always)]
pub fn velocity(state: &State) -> [f64; 2] {
    let (sy, cy) = state[ATTITUDE].sin_cos();
    let (sp, cp) = state[ATTITUDE + 1].sin_cos();
    let (sr, cr) = state[ATTITUDE + 2].sin_cos();
    let [u, v, w] = [state[VELOCITY], state[VELOCITY + 1], state[VELOCITY + 2]];
    // Level along and across the heading, then turned by it.
    let ahead = cp * u + sp * (sr * v + cr * w);
    let left = cr * v - sr * w;
    [cy * ahead - sy * left, sy * ahead + cy * left]
}

/// Angle of O's velocity from the heading [rad, left positive].
#[inline(always)]
pub fn sideslip(state: &State) -> f64 {
    let (sp, cp) = state[ATTITUDE + 1].sin_cos();
    let (sr, cr) = state[ATTITUDE + 2].sin_cos();
    let [u, v, w] = [state[VELOCITY], state[VELOCITY + 1], state[VELOCITY + 2]];
    (cr * v - sr * w).atan2(cp * u + sp * (sr * v + cr * w))
}
