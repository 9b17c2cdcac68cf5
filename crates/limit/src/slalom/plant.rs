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

use std::rc::Rc;

use axletree_scalar::Real;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ATTITUDE, Inputs, POSITION, SPIN, STATES, VELOCITY};
use axletree_vehicle::model::{Batch, heading_axes};

use super::settings::Slalom;
use axletree_simulation::drive::step_for;

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
pub(super) const LEAST_PROGRESS: f64 = 0.5;

/// Everything the rates need.
#[derive(Clone)]
pub struct Plant<'a> {
    /// The car.
    pub model: &'a Model,
    /// The same in every lane.
    batch: Rc<Batch>,
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

impl<'a> Plant<'a> {
    /// The plant of a car.
    pub fn new(model: &'a Model, slalom: &Slalom) -> Self {
        let rolling = model.rolling_state(1.0);
        Plant {
            model,
            batch: Rc::new(Batch::of(model)),
            push: model.mass() * 2.0 / (rolling[SPIN + 2] + rolling[SPIN + 3]),
            hand_rate: slalom.hand_rate,
            lag: slalom.neuromuscular_lag,
            lock: slalom.steering_lock,
            friction: slalom.friction,
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
    pub fn act(&self, state: &State, speed: f64, wanted: f64) -> Action {
        let does = self.does(&Felt::of(state), speed, wanted);
        Action {
            inputs: Inputs {
                steering_wheel: state[HANDS],
                steering_wheel_rate: does.hand_rate,
                drive_torque: does.torque,
                friction: self.friction,
                ..Inputs::coasting()
            },
            missing: does.missing,
            throttle: does.throttle,
        }
    }

    /// The same for numbers of any kind, all of this car.
    #[inline(always)]
    pub fn does<T: Real>(&self, felt: &Felt<T>, speed: T, wanted: T) -> Does<T> {
        let command = wanted.scale(1.0 / self.lock).tanh().scale(self.lock);
        let hands = (command - felt.hands).scale(1.0 / (self.lag * self.hand_rate));
        let missing = speed - felt.forward;
        let asked = (missing.scale(1.0 / PROPORTIONAL_TIME)
            + felt.cruise.scale(1.0 / (PROPORTIONAL_TIME * INTEGRAL_TIME)))
        .scale(self.push);
        let driveline = &self.model.numbers.chassis.driveline;
        let omega = felt.spin.max(T::one());
        let most = T::c(driveline.peak_torque).min(T::c(driveline.peak_power) / omega);
        let bound = T::sel(asked.lt(T::zero()), most.scale(-OVERRUN), most);
        let throttle = asked / bound;
        // Far beyond the bound the root is as good as the share itself.
        let held = throttle.min(T::c(1e6));
        let root = (T::one() + held.sq().sq().sq()).sqrt().sqrt().sqrt();
        Does {
            hand_rate: hands.tanh().scale(self.hand_rate),
            torque: bound * held / root,
            missing,
            throttle,
        }
    }

    /// This car in every lane.
    pub fn batch(&self) -> &Batch {
        &self.batch
    }

    /// Friction of the surface [-].
    pub fn friction(&self) -> f64 {
        self.friction
    }

    /// Rates in time [per s].
    pub fn rate_in_time(&self, state: &State, speed: f64, wanted: f64) -> State {
        let action = self.act(state, speed, wanted);
        let car: [f64; STATES] = std::array::from_fn(|i| state[i]);
        let of_car = self.model.rate(&car, &action.inputs);
        let mut all = [1.0; LENGTH];
        all[..STATES].copy_from_slice(&of_car);
        all[HANDS] = action.inputs.steering_wheel_rate;
        all[CRUISE] = action.missing;
        all
    }

    /// Rates along the course [per m].
    pub fn rate(&self, state: &State, speed: f64, wanted: f64) -> State {
        along(&self.rate_in_time(state, speed, wanted))
    }
}

/// Rates along the course from rates in time.
#[inline(always)]
pub fn along<T: Real>(rate: &[T; LENGTH]) -> [T; LENGTH] {
    let progress = rate[POSITION].max(T::c(LEAST_PROGRESS));
    let per_meter = progress.recip();
    let mut all = *rate;
    for x in &mut all {
        *x *= per_meter;
    }
    all[POSITION] = T::one();
    all
}

/// What the driver feels of the state.
#[derive(Clone, Copy, Debug)]
pub struct Felt<T> {
    /// Angle of the steering wheel [rad].
    pub hands: T,
    /// Integral of the speed that was missing [m].
    pub cruise: T,
    /// Forward velocity in body axes [m/s].
    pub forward: T,
    /// Mean speed of the rear wheels [rad/s].
    pub spin: T,
}

impl<T: Real> Felt<T> {
    /// Read from a state.
    #[inline(always)]
    pub fn of(state: &[T; LENGTH]) -> Self {
        Felt {
            hands: state[HANDS],
            cruise: state[CRUISE],
            forward: state[VELOCITY],
            spin: (state[SPIN + 2] + state[SPIN + 3]).scale(0.5),
        }
    }
}

/// What the driver does.
#[derive(Clone, Copy, Debug)]
pub struct Does<T> {
    /// Rate of the steering wheel [rad/s].
    pub hand_rate: T,
    /// Drive torque [N m].
    pub torque: T,
    /// Rate of the cruise integral [m/s].
    pub missing: T,
    /// Torque asked for over the bound on its side [-].
    pub throttle: T,
}

/// How the car moves, from the state alone.
#[derive(Clone, Copy, Debug)]
pub struct Motion<T> {
    /// Sine and cosine of the heading.
    pub heading: (T, T),
    /// Velocity of O along and across the course [m/s, e].
    pub velocity: [T; 2],
    /// Tangent of the angle of O's velocity from the heading [-, left positive], while it goes forward.
    pub slip: T,
}

impl<T: Real> Motion<T> {
    /// Read from a state.
    #[inline(always)]
    pub fn of(state: &[T; LENGTH]) -> Self {
        let (sy, cy) = state[ATTITUDE].sin_cos();
        let velocity = [state[VELOCITY], state[VELOCITY + 1], state[VELOCITY + 2]];
        let [ahead, left, _] = heading_axes(state[ATTITUDE + 1], state[ATTITUDE + 2], velocity);
        Motion {
            heading: (sy, cy),
            velocity: [cy * ahead - sy * left, sy * ahead + cy * left],
            slip: left / ahead.max(T::c(1e-3)),
        }
    }
}

/// Angle of O's velocity from the heading [rad, left positive]; near a quarter turn where the car does not
/// go forward.
pub fn sideslip(state: &State) -> f64 {
    Real::atan(Motion::of(state).slip)
}
