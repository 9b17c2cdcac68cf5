//! The feet and hands of a launch.
//!
//! A driver who holds the slip compares the rim speed u of the faster driven wheel with the car's speed v
//! and asks for a torque at the wheels,
//!
//! ```text
//! e = (1 + slip) v + creep - u,   T = T_0 + P (e + integral of e / t_i),   i' = e
//! ```
//!
//! T_0 is what the static rear load holds. He knows his car: while the clutch slips it passes
//! `T/(ratio efficiency)`, set by the share of its capacity, and the throttle keeps the engine at the
//! launch speed; once the clutch holds, the throttle gives the torque. One who dumps the clutch closes it
//! over a short time with the throttle wide open.

use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{
    ATTITUDE, DRIVELINE, ENGINE, Inputs, POSITION, RATE, SPIN, STATES, VELOCITY,
};
use axletree_vehicle::model::numbers::Driveline;
use serde::{Deserialize, Serialize};

use axletree_simulation::channels::Moment;
use axletree_simulation::drive::{Action, Controls};
use axletree_simulation::driver::hands::HandLimits;
use axletree_simulation::outcome::Outcome;
use axletree_simulation::road::shape::smooth_step;

/// What the feet do.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LaunchMethod {
    /// Hold the slip of the faster driven wheel.
    HeldSlip(f64),
    /// Throttle open, the clutch closed over a time [s].
    DumpedClutch(f64),
}

/// Slip speed that is asked for beside the slip, so that wheels start before the car [m/s].
const CREEP: f64 = 0.3;
/// Slip speed whose error doubles the torque [m/s], and the integral's time [s]; quick beside a person,
/// our choice: the car is to be judged, not the foot.
const DOUBLES: f64 = 4.0;
const INTEGRAL_TIME: f64 = 0.4;
/// Share of the static rear load that is asked for at first [-].
const FIRST: f64 = 0.9;
/// Slip speed of the clutch over which the driver goes from slipping to holding [rad/s].
const HOLDING: f64 = 15.0;
/// Torque by which he corrects the engine's speed while the clutch slips [N m s/rad].
const REVVING: f64 = 1.5;
/// Steer of the road wheels against heading [-], yaw rate [s] and offset [1/m].
const STRAIGHT: [f64; 3] = [0.6, 0.15, 0.03];

/// Own states: integral of the slip speed's error [m], steering-wheel angle [rad].
pub const OWN: usize = 2;

/// One gear of a launch.
pub struct Feet<'a> {
    line: &'a Driveline<f64>,
    method: LaunchMethod,
    hands: HandLimits,
    steering_gain: f64,
    ratio: f64,
    friction: f64,
    radius: f64,
    first_torque: f64,
    launch_speed: f64,
    /// When the clutch was or is begun to be closed [s].
    from: f64,
    distance: f64,
    /// Engine speed at which this gear ends; infinite in the last one [rad/s].
    shift_speed: f64,
    /// Between two gears: no torque until this time [s].
    open_until: f64,
}

impl<'a> Feet<'a> {
    /// In a gear (counted from 1).
    #[allow(clippy::too_many_arguments)]
    pub fn new(
        model: &'a Model,
        settings: &super::Launch,
        gear: usize,
        from: f64,
        open_until: f64,
    ) -> Self {
        let line = &model.numbers.chassis.driveline;
        let rest = model.evaluate(&model.rolling_state(0.0), &Inputs::coasting());
        let load = rest.contacts[2].load + rest.contacts[3].load;
        let tire = &model.wheels()[2].tire;
        let radius = tire.effective_radius(rest.contacts[2].deflection);
        let last = gear >= model.gears.len();
        Feet {
            line,
            method: settings.method,
            hands: settings.hands,
            steering_gain: model.numbers.chassis.steering.gain,
            ratio: model.gears[gear - 1],
            friction: settings.friction,
            radius,
            first_torque: FIRST
                * settings.friction
                * tire.x.friction_unloaded.min(1.5)
                * load
                * radius,
            launch_speed: settings.engine_speed,
            from,
            distance: settings.distance,
            shift_speed: if last {
                f64::INFINITY
            } else {
                settings.shift_share * line.engine.limit
            },
            open_until,
        }
    }

    /// Rim speed of the faster driven wheel [m/s].
    fn rim(&self, car: &[f64; STATES]) -> f64 {
        self.radius * car[SPIN + 2].max(car[SPIN + 3])
    }

    /// Throttle [-] at which the engine gives a torque [N m] at a speed [rad/s].
    fn throttle_for(&self, torque: f64, speed: f64) -> f64 {
        let engine = &self.line.engine;
        let (closed, open) = (engine.drag_torque(speed), engine.full_torque(speed));
        ((torque - closed) / (open - closed).max(1.0)).clamp(0.0, 1.0)
    }

    /// Throttle and clutch, and the rate of the integral.
    fn press(&self, time: f64, car: &[f64; STATES], integral: f64) -> (f64, f64, f64) {
        if time < self.open_until {
            return (0.0, 0.0, 0.0);
        }
        let speed = car[ENGINE];
        let total = self.ratio * self.line.final_drive;
        match self.method {
            LaunchMethod::DumpedClutch(closing) => {
                let share = ((time - self.from) / closing).clamp(0.0, 1.0);
                (1.0, share, 0.0)
            }
            LaunchMethod::HeldSlip(slip) => {
                let error = (1.0 + slip) * car[VELOCITY] + CREEP - self.rim(car);
                let gain = self.first_torque / DOUBLES;
                let wanted = self.first_torque + gain * (error + integral / INTEGRAL_TIME);
                let most = self.line.clutch.capacity * total * self.line.efficiency;
                let given = wanted.clamp(0.0, most);
                let torque = given / (total * self.line.efficiency);
                // From 1 where the clutch slips to 0 where it holds.
                let slips = smooth_step((speed - total * car[DRIVELINE]) / HOLDING)[0];
                let clutch = slips * torque / self.line.clutch.capacity + (1.0 - slips);
                let revs = slips * REVVING * (self.launch_speed - speed);
                let throttle = self.throttle_for(torque + revs, speed);
                let at_bound = (wanted - given) * error > 0.0 || throttle >= 1.0 && error > 0.0;
                (throttle, clutch, if at_bound { 0.0 } else { error })
            }
        }
    }
}

impl Controls<OWN> for Feet<'_> {
    #[inline(always)]
    fn act(&self, time: f64, car: &[f64; STATES], own: &[f64; OWN]) -> Action<OWN> {
        let [integral, angle] = *own;
        let (throttle, clutch, integral_rate) = self.press(time, car, integral);
        let [heading, turning, offset] = STRAIGHT;
        let steer = -heading * car[ATTITUDE] - turning * car[RATE + 2] - offset * car[POSITION + 1];
        let rate = self.hands.hand_rate(steer / self.steering_gain, angle);
        Action {
            inputs: Inputs {
                steering_wheel: angle,
                steering_wheel_rate: rate,
                friction: self.friction,
                throttle,
                gear_ratio: self.ratio,
                clutch,
                engine_on: 1.0,
                ..Inputs::coasting()
            },
            own_rate: [integral_rate, rate],
        }
    }

    fn judge(&self, moment: &Moment<'_>, _: &[f64; OWN]) -> Option<Outcome> {
        let heading = moment.state[ATTITUDE];
        if heading.abs() > super::WIDEST_HEADING {
            return Some(Outcome::Spun { sideslip: -heading });
        }
        let there = moment.state[POSITION] >= self.distance;
        let shifts = moment.time >= self.open_until && moment.state[ENGINE] >= self.shift_speed;
        (there || shifts).then_some(Outcome::Completed)
    }
}
