//! Car, hands and right foot as a function of the position along the course.
//!
//! The independent variable is X, the position of O along the course. Cones and the ends of a
//! period then lie on fixed points of the grid, and nothing is interpolated. With the rates in time
//! `x'`,
//!
//! ```text
//! along    dx/dX = x'/max(X', X'_least),   X' = velocity of O along the course
//! hands    c = L tanh(delta_command/L),    delta' = w tanh((c - delta)/(w tau))
//! foot     i' = V - u,   T_command = m R ((V - u)/t_p + i/(t_p t_i))
//! bounds   T_most = min(peak torque, peak power/omega),
//!          q = T_command/B,   B = T_most for drive, -o T_most for overrun
//!          T = B q/(1 + q^8)^(1/8)
//! ```
//!
//! | symbol | quantity |
//! |---|---|
//! | delta, delta_command | steering-wheel angle, actual and commanded `[rad, left positive]` |
//! | L | steering lock `[rad]` |
//! | w, tau | largest rate of the hands `[rad/s]`, lag of the arms `[s]` |
//! | V, u | commanded speed, forward velocity in body axes `[m/s]` |
//! | i | integral of the speed error `[m]` |
//! | m, R | mass `[kg]`, effective radius of the rear wheels at rest `[m]` |
//! | t_p, t_i | proportional and integral time of the foot `[s]` |
//! | T | drive torque of both rear wheels together `[N*m]` |
//! | omega | mean speed of the rear wheels `[rad/s]` |
//! | o, q | overrun over the bound of drive, torque commanded over its bound `[-]` |
//!
//! The laws of hands and foot are those of `axletree_simulation::driver`. They are part of the
//! plant, so that the steering found is one that hands can perform.

use std::rc::Rc;

use axletree_scalar::{Real, lone};
use axletree_simulation::drive::step_for;
use axletree_simulation::driver::{Hands, SpeedGains, available_torque};
use axletree_vehicle::model::layout::{ATTITUDE, Inputs, POSITION, SPIN, STATES, VELOCITY};
use axletree_vehicle::model::{Batch, heading_axes};
use axletree_vehicle::trim::{self, Condition, Trim};
use axletree_vehicle::{Linearization, Model, linearize};

use super::super::settings::Slalom;

/// Index of the steering-wheel angle `[rad]`.
pub(crate) const HANDS: usize = STATES;
/// Index of the integral of the speed error `[m]`.
pub(crate) const CRUISE: usize = STATES + 1;
/// Index of the time `[s]`.
pub(crate) const TIME: usize = STATES + 2;
/// Number of states of car, driver and clock.
pub(crate) const LENGTH: usize = STATES + 3;

/// State of car, driver and clock.
pub(crate) type PlantState = [f64; LENGTH];

/// Gains of the driver's foot, quicker than the driver room's: at the limit a speed error is the
/// driver's own doing, not a part of a measured response. The integral time is four times the
/// proportional time there too. The overrun is that of a lower gear. Common practice, no source.
const GAINS: SpeedGains = SpeedGains {
    proportional_time: 0.5,
    integral_time: 2.0,
    overrun: 0.25,
};
/// Least speed along the course for which the equations in X hold `[m/s]`.
pub(crate) const LEAST_PROGRESS: f64 = 0.5;
/// Least forward velocity in the tangent of the sideslip `[m/s]`.
const LEAST_FORWARD: f64 = 1e-3;

/// Car and driver with the settings that their rates need.
#[derive(Clone)]
pub(crate) struct Plant<'a> {
    /// The car.
    pub model: &'a Model,
    /// The car in every lane.
    batch: Rc<Batch>,
    /// Mass times the rear wheels' effective radius at rest `[kg*m]`.
    push: f64,
    hands: Hands,
    lock: f64,
    friction: f64,
}

/// Inputs of the car at one moment and what led to them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PlantAction {
    /// Inputs of the car.
    pub inputs: Inputs<f64>,
    /// Rate of the integral of the speed error `[m/s]`.
    pub speed_error: f64,
}

/// State as the driver perceives it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct DriverInput<T> {
    /// Steering-wheel angle `[rad]`.
    pub hands: T,
    /// Integral of the speed error `[m]`.
    pub cruise: T,
    /// Forward velocity in body axes `[m/s]`.
    pub forward: T,
    /// Mean speed of the rear wheels `[rad/s]`.
    pub spin: T,
}

impl<T: Real> DriverInput<T> {
    /// Driver input of a state.
    #[inline(always)]
    pub fn of(state: &[T; LENGTH]) -> Self {
        DriverInput {
            hands: state[HANDS],
            cruise: state[CRUISE],
            forward: state[VELOCITY],
            spin: (state[SPIN + 2] + state[SPIN + 3]).scale(0.5),
        }
    }
}

/// Commands of the driver.
#[derive(Clone, Copy, Debug)]
pub(crate) struct DriverCommand<T> {
    /// Rate of the steering wheel `[rad/s]`.
    pub hand_rate: T,
    /// Drive torque `[N*m]`.
    pub torque: T,
    /// Rate of the integral of the speed error `[m/s]`.
    pub speed_error: T,
    /// Torque commanded over the bound on its side, q `[-]`.
    pub torque_ratio: T,
}

/// Motion of O over the course, from the state alone.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CourseMotion<T> {
    /// Sine and cosine of the heading.
    pub heading: (T, T),
    /// Velocity of O along the course `[m/s]`.
    pub progress: T,
    /// Tangent of the angle of O's velocity from the heading `[-, left positive]`, while it goes
    /// forward.
    pub slip: T,
}

impl<T: Real> CourseMotion<T> {
    /// Motion of a state.
    #[inline(always)]
    pub fn of(state: &[T; LENGTH]) -> Self {
        let (sy, cy) = state[ATTITUDE].sin_cos();
        let velocity = [state[VELOCITY], state[VELOCITY + 1], state[VELOCITY + 2]];
        let [ahead, left, _] = heading_axes(state[ATTITUDE + 1], state[ATTITUDE + 2], velocity);
        CourseMotion {
            heading: (sy, cy),
            progress: cy * ahead - sy * left,
            slip: left / ahead.max(T::c(LEAST_FORWARD)),
        }
    }
}

/// Angle of O's velocity from the heading `[rad, left positive]`; near a quarter turn where the car
/// does not go forward.
pub(crate) fn sideslip(state: &PlantState) -> f64 {
    lone::atan(CourseMotion::of(state).slip)
}

impl<'a> Plant<'a> {
    /// Plant of a car.
    pub fn new(model: &'a Model, slalom: &Slalom) -> Self {
        let rolling = model.rolling_state(1.0);
        Plant {
            model,
            batch: Rc::new(Batch::of(model)),
            push: model.mass() * 2.0 / (rolling[SPIN + 2] + rolling[SPIN + 3]),
            hands: Hands {
                lag: slalom.neuromuscular_lag,
                rate: slalom.hand_rate,
            },
            lock: slalom.steering_lock,
            friction: slalom.friction,
        }
    }

    /// Step of the integration: the one wanted, or a shorter one that the car's driveline needs
    /// `[s]`.
    pub fn step(&self, wanted: f64) -> f64 {
        step_for(self.model, wanted, false)
    }

    /// Mean road-wheel angle per steering-wheel angle `[-]`.
    pub fn steering_gain(&self) -> f64 {
        self.model.numbers.chassis.steering.gain
    }

    /// Lag of the driver's hands `[s]`.
    pub fn hand_lag(&self) -> f64 {
        self.hands.lag
    }

    /// The car in every lane.
    pub fn batch(&self) -> &Batch {
        &self.batch
    }

    /// Friction of the surface `[-]`.
    pub fn friction(&self) -> f64 {
        self.friction
    }

    /// Linearization of straight running at a speed `[m/s]`; none where there is no such
    /// equilibrium.
    pub fn straight(&self, speed: f64) -> Option<Linearization> {
        let condition = Condition {
            friction: self.friction,
            ..Condition::straight(speed)
        };
        let trim = trim::solve(self.model, condition).ok()?;
        Some(linearize(self.model, &trim))
    }

    /// State of car and driver in straight running, with the integral that holds the speed without
    /// an error.
    pub fn straight_state(&self, trim: &Trim) -> PlantState {
        let mut state = [0.0; LENGTH];
        state[..STATES].copy_from_slice(&trim.state);
        state[HANDS] = trim.inputs.steering_wheel;
        state[CRUISE] = GAINS.integral_for(self.push, trim.inputs.drive_torque);
        state
    }

    /// Commands of the driver who wants a steering-wheel angle `[rad]` and a speed `[m/s]`, for
    /// numbers of any kind, all of this car.
    #[inline(always)]
    pub fn command<T: Real>(
        &self,
        input: &DriverInput<T>,
        speed: T,
        wanted: T,
    ) -> DriverCommand<T> {
        let angle = wanted.scale(1.0 / self.lock).tanh().scale(self.lock);
        let speed_error = speed - input.forward;
        let driveline = &self.model.numbers.chassis.driveline;
        let most = available_torque(driveline.peak_torque, driveline.peak_power, input.spin);
        let [torque, torque_ratio] =
            GAINS.smooth_torque(self.push, speed_error, input.cruise, most);
        DriverCommand {
            hand_rate: self.hands.hand_rate(angle, input.hands),
            torque,
            speed_error,
            torque_ratio,
        }
    }

    /// Inputs of the car for a steering-wheel angle `[rad]` and a speed `[m/s]` wanted.
    pub fn act(&self, state: &PlantState, speed: f64, wanted: f64) -> PlantAction {
        let command = self.command(&DriverInput::of(state), speed, wanted);
        PlantAction {
            inputs: Inputs {
                steering_wheel: state[HANDS],
                steering_wheel_rate: command.hand_rate,
                drive_torque: command.torque,
                friction: self.friction,
                ..Inputs::coasting()
            },
            speed_error: command.speed_error,
        }
    }

    /// Rates in time `[per s]`.
    pub fn rate_in_time(&self, state: &PlantState, speed: f64, wanted: f64) -> PlantState {
        let action = self.act(state, speed, wanted);
        let car: [f64; STATES] = std::array::from_fn(|i| state[i]);
        let of_car = self.model.rate(&car, &action.inputs);
        let mut all = [1.0; LENGTH];
        all[..STATES].copy_from_slice(&of_car);
        all[HANDS] = action.inputs.steering_wheel_rate;
        all[CRUISE] = action.speed_error;
        all
    }

    /// Rates along the course `[per m]`.
    #[cfg(test)]
    pub fn rate(&self, state: &PlantState, speed: f64, wanted: f64) -> PlantState {
        along(&self.rate_in_time(state, speed, wanted))
    }
}

/// Rates along the course from rates in time.
#[inline(always)]
pub(crate) fn along<T: Real>(rate: &[T; LENGTH]) -> [T; LENGTH] {
    let progress = rate[POSITION].max(T::c(LEAST_PROGRESS));
    let per_meter = progress.recip();
    let mut all = *rate;
    for x in &mut all {
        *x *= per_meter;
    }
    all[POSITION] = T::one();
    all
}
