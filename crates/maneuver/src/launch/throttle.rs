//! The driver of a launch: throttle, clutch, and the hands that keep the car straight.
//!
//! A driver who holds the slip compares the rim speed u of the faster driven wheel with the car's
//! speed v. The torque that he demands at the wheels is
//!
//! ```text
//! e = (1 + slip) v + creep - u,   T = T_0 + P (e + integral of e / t_i),   i' = e
//! ```
//!
//! `T_0` is the torque of nine tenths of the force that the static rear load holds. He knows his
//! car: while the clutch slips it passes `T/(ratio efficiency)`, set by the share of its capacity,
//! and the throttle keeps the engine at the launch speed; once the clutch holds, the throttle gives
//! the torque. A driver who dumps the clutch closes it over a short time with the throttle wide
//! open.

use super::settings::{Launch, LaunchMethod};
use axletree_simulation::Outcome;
use axletree_simulation::channels::Moment;
use axletree_simulation::drive::{Action, Controls};
use axletree_simulation::driver::{Hands, bounded};
use axletree_simulation::road::smooth_step;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{
    ATTITUDE, DRIVELINE, ENGINE, Inputs, POSITION, RATE, SPIN, STATES, VELOCITY,
};
use axletree_vehicle::model::numbers::Driveline;

/// Slip speed demanded beside the slip, so that wheels start before the car `[m/s]`.
const CREEP_SPEED: f64 = 0.3;
/// Error of the slip speed that doubles the torque `[m/s]`. With the integral's time quick beside a
/// person, our choice: the car is compared, not the driver.
const DOUBLING_ERROR: f64 = 4.0;
/// Time of the integral `[s]`.
const INTEGRAL_TIME: f64 = 0.4;
/// Share of the force that the static rear load holds, demanded at first `[-]`; our choice.
const FIRST_TORQUE_SHARE: f64 = 0.9;
/// Slip speed of the clutch over which the driver goes from slipping to holding `[rad/s]`; our
/// choice.
const CLUTCH_BLEND_SPEED: f64 = 15.0;
/// Torque of the throttle per error of the engine speed while the clutch slips `[N*m*s/rad]`; our
/// choice.
const ENGINE_SPEED_GAIN: f64 = 1.5;
/// Steer of the road wheels against heading `[-]`, yaw rate `[s]` and offset `[1/m]`; our choice.
const STEER_GAINS: [f64; 3] = [0.6, 0.15, 0.03];
/// Heading beyond which the launch has failed `[rad]`.
const LARGEST_HEADING: f64 = 0.5;

/// Own states: integral of the slip speed's error `[m]`, steering-wheel angle `[rad]`.
pub(super) const OWN: usize = 2;

/// The driver in one gear of a launch.
pub(super) struct LaunchDriver<'a> {
    line: &'a Driveline<f64>,
    method: LaunchMethod,
    hands: Hands,
    steering_gain: f64,
    ratio: f64,
    friction: f64,
    radius: f64,
    first_torque: f64,
    launch_speed: f64,
    /// Time at which the clutch begins to close `[s]`.
    from: f64,
    distance: f64,
    /// Engine speed at which this gear ends; infinite in the last one `[rad/s]`.
    shift_speed: f64,
    /// End of the shift, without torque before `[s]`.
    open_until: f64,
}

impl<'a> LaunchDriver<'a> {
    /// The driver in a gear, counted from 1, whose clutch closes from the time `from` on.
    pub fn new(
        model: &'a Model,
        settings: &Launch,
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
        LaunchDriver {
            line,
            method: settings.method,
            hands: settings.hands,
            steering_gain: model.numbers.chassis.steering.gain,
            ratio: model.gears[gear - 1],
            friction: settings.friction,
            radius,
            first_torque: FIRST_TORQUE_SHARE
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

    /// Rim speed of the faster driven wheel `[m/s]`.
    fn rim(&self, car: &[f64; STATES]) -> f64 {
        self.radius * car[SPIN + 2].max(car[SPIN + 3])
    }

    /// Throttle `[-]` at which the engine gives a torque `[N*m]` at a speed `[rad/s]`.
    fn throttle_for(&self, torque: f64, speed: f64) -> f64 {
        let engine = &self.line.engine;
        let (closed, open) = (engine.drag_torque(speed), engine.full_torque(speed));
        ((torque - closed) / (open - closed).max(1.0)).clamp(0.0, 1.0)
    }

    /// Throttle, clutch, and the rate of the integral.
    fn pedals(&self, time: f64, car: &[f64; STATES], integral: f64) -> (f64, f64, f64) {
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
                let error = (1.0 + slip) * car[VELOCITY] + CREEP_SPEED - self.rim(car);
                let gain = self.first_torque / DOUBLING_ERROR;
                let wanted = self.first_torque + gain * (error + integral / INTEGRAL_TIME);
                let most = self.line.clutch.capacity * total * self.line.efficiency;
                let given = bounded(wanted, 0.0, most);
                let torque = given / (total * self.line.efficiency);
                // From 1 where the clutch slips to 0 where it holds.
                let slips = smooth_step((speed - total * car[DRIVELINE]) / CLUTCH_BLEND_SPEED)[0];
                let clutch = slips * torque / self.line.clutch.capacity + (1.0 - slips);
                let revs = slips * ENGINE_SPEED_GAIN * (self.launch_speed - speed);
                let throttle = self.throttle_for(torque + revs, speed);
                let at_bound = (wanted - given) * error > 0.0 || throttle >= 1.0 && error > 0.0;
                (throttle, clutch, if at_bound { 0.0 } else { error })
            }
        }
    }
}

impl Controls<OWN> for LaunchDriver<'_> {
    #[inline(always)]
    fn act(&self, time: f64, car: &[f64; STATES], own: &[f64; OWN]) -> Action<OWN> {
        let [integral, angle] = *own;
        let (throttle, clutch, integral_rate) = self.pedals(time, car, integral);
        let [heading, turning, offset] = STEER_GAINS;
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
        if heading.abs() > LARGEST_HEADING {
            return Some(Outcome::Spun { sideslip: -heading });
        }
        let there = moment.state[POSITION] >= self.distance;
        let shifts = moment.time >= self.open_until && moment.state[ENGINE] >= self.shift_speed;
        (there || shifts).then_some(Outcome::Completed)
    }
}
