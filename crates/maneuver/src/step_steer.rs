//! Step steer after ISO 7401: from straight running the steering wheel is turned at a given rate to an
//! angle and held.

use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{Inputs, STATES};
use axletree_vehicle::trim::{Condition, Equilibria, NewtonWork, Trim};
use serde::{Deserialize, Serialize};

use crate::maneuver::{DriveManeuver, Run};
use crate::side_by_side as several;
use crate::side_by_side::Ready;
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::drive::{
    Action, Controls, Drive, LONGEST_STEP, Validity, join, split, step_at,
};
use axletree_simulation::driver::speed_hold::SpeedHold;
use axletree_simulation::error::{ManeuverError, within};
use axletree_simulation::metrics::step_response::{
    StepResponse, Window, steer_times, step_response,
};
use axletree_simulation::metrics::{History, Measures, Metric, list as m};
use axletree_simulation::outcome::{Ending, Outcome};
use axletree_simulation::trace::{Recorder, Trace};

const NAME: &str = "step_steer";

/// Settings of the step steer.
///
/// The defaults are the standard's conditions (ISO 7401, recalled): 80 km/h (1988 edition; later ones
/// 100 km/h), a steady lateral acceleration of 4 m/s^2, a steering-wheel rate between 200 and 500
/// deg/s, the throttle held.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct StepSteer {
    /// Speed at the start [m/s].
    pub speed: f64,
    /// Steady lateral acceleration that the steering-wheel angle is chosen for, by the car's equilibrium
    /// in a corner at the speed of the start; positive to the left [m/s^2].
    pub lateral_acceleration: f64,
    /// Steering-wheel angle of the step instead [rad, left positive].
    pub steering_wheel_angle: Option<f64>,
    /// Rate at which the steering wheel is turned [rad/s].
    pub steering_rate: f64,
    /// Hold the speed with the throttle instead of holding the throttle.
    pub hold_speed: bool,
    /// Time from the start of steering to the window of the steady values [s].
    pub settle: f64,
    /// Length of that window [s].
    pub window: f64,
    /// Friction of the surface relative to the tires' reference [-].
    pub friction: f64,
    /// Longest step of the integration [s]; the car's driveline and its tires at the speed of the start may ask
    /// for shorter ones.
    pub step: f64,
}

impl Default for StepSteer {
    fn default() -> Self {
        StepSteer {
            speed: 80.0 / 3.6,
            lateral_acceleration: 4.0,
            steering_wheel_angle: None,
            // In the upper half of the standard's 200 to 500 deg/s: 10 to 90 % within the 0.15 s it asks
            // for up to 75 deg.
            steering_rate: 400f64.to_radians(),
            hold_speed: false,
            // A car with 1 Hz and a damping ratio of 0.35, slow and lively, is within 1 % by then.
            settle: 2.0,
            // About one period of the slowest motion, so that its waves cancel.
            window: 1.0,
            friction: 1.0,
            step: LONGEST_STEP,
        }
    }
}

/// The steering wheel and the throttle during the step.
#[derive(Clone, Copy, Debug)]
pub struct StepControls {
    /// Inputs before the step.
    before: Inputs<f64>,
    /// Change of the steering-wheel angle [rad].
    step: f64,
    /// How long the turning takes [s].
    rise: f64,
    hold: Option<SpeedHold>,
}

impl StepControls {
    /// Change of the steering-wheel angle [rad].
    pub fn change(&self) -> f64 {
        self.step
    }
}

impl Controls<1> for StepControls {
    fn act(&self, time: f64, car: &[f64; STATES], own: &[f64; 1]) -> Action<1> {
        let (share, rate) = if time < self.rise {
            (time / self.rise, self.step / self.rise)
        } else {
            (1.0, 0.0)
        };
        let (drive_torque, own_rate) = match &self.hold {
            Some(hold) => hold.act(car, own[0]),
            None => (self.before.drive_torque, 0.0),
        };
        Action {
            inputs: Inputs {
                steering_wheel: self.before.steering_wheel + self.step * share,
                steering_wheel_rate: rate,
                drive_torque,
                ..self.before
            },
            own_rate: [own_rate],
        }
    }
}

/// Everything that the equilibria decide before the car is driven.
#[derive(Clone, Debug)]
pub struct Prepared {
    /// State of car and controls at the start.
    pub start: [f64; STATES + 1],
    /// What is done.
    pub controls: StepControls,
    /// Start, end of the turning, start of the window, end [s].
    pub breaks: [f64; 4],
    /// Longest step that the car allows at this speed [s].
    pub step: f64,
    /// What the equilibria took.
    pub work: NewtonWork,
}

/// A car at the start and what was decided for it.
type Begun<'m> = (Prepared, Ready<'m, StepControls, { STATES + 1 }>);

impl StepSteer {
    /// Finds the straight running and the steering-wheel angle; the outcome says why not.
    pub fn prepare(&self, model: &Model) -> Result<Prepared, Outcome> {
        let condition = Condition {
            friction: self.friction,
            ..Condition::straight(self.speed)
        };
        let mut equilibria = Equilibria::of(model);
        let mut solve = |condition: Condition| {
            let found = equilibria.solve(condition);
            found.map_err(|_| Outcome::NoSteadyState {
                speed: condition.speed,
                lateral_acceleration: condition.lateral_acceleration,
            })
        };
        let straight: Trim = solve(condition)?;
        let hold = SpeedHold::new(model, self.speed, straight.inputs.drive_torque);
        let missing = straight.inputs.drive_torque - hold.available(&straight.state);
        if missing > 0.0 {
            return Err(Outcome::NotEnoughPower {
                speed: self.speed,
                missing_torque: missing,
            });
        }
        let target = if let Some(angle) = self.steering_wheel_angle {
            angle
        } else {
            let corner = solve(Condition {
                lateral_acceleration: self.lateral_acceleration,
                ..condition
            })?;
            corner.inputs.steering_wheel
        };
        let work = equilibria.work();
        let step = target - straight.inputs.steering_wheel;
        let rise = step.abs() / self.steering_rate;
        Ok(Prepared {
            start: join(&straight.state, &[0.0]),
            controls: StepControls {
                before: straight.inputs,
                step,
                rise,
                hold: self.hold_speed.then_some(hold),
            },
            breaks: [0.0, rise, self.settle, self.settle + self.window],
            step: step_at(model, self.step, false, self.speed),
            work,
        })
    }

    /// A car at the start of its run, or why there is none.
    fn begin<'m>(
        &self,
        model: &'m Model,
        mut recorder: Recorder,
    ) -> Result<Result<Begun<'m>, Outcome>, ManeuverError> {
        let prepared = match self.prepare(model) {
            Ok(prepared) => prepared,
            Err(outcome) => return Ok(Err(outcome)),
        };
        let rise = prepared.controls.rise;
        if rise >= self.settle {
            return Err(ManeuverError::Order {
                maneuver: NAME,
                setting: "steering-wheel angle / steering_rate",
                value: rise,
                other: "settle",
                limit: self.settle,
                unit: "s",
            });
        }
        recorder.reserve(((self.settle + self.window) / prepared.step) as usize + 8);
        let ready = Ready {
            model,
            road: None,
            controls: prepared.controls,
            start: prepared.start,
            breaks: prepared.breaks.to_vec(),
            step: prepared.step,
            sample_every: 1,
            recorder,
        };
        Ok(Ok((prepared, ready)))
    }

    /// How a driven car's run ended.
    fn ending(controls: &StepControls, driven: &Drive<{ STATES + 1 }>) -> Ending {
        let mut ending = driven.ending;
        // A held speed that the driveline could not hold is no steady state.
        if let (true, Some(hold)) = (ending.outcome.is_completed(), &controls.hold) {
            let (car, own) = split::<1, { STATES + 1 }>(&driven.state);
            let (given, moving) = hold.act(car, own[0]);
            if given >= hold.available(car) && moving == 0.0 {
                let slow = hold.speed - axletree_simulation::driver::speed_hold::speed_of(car);
                ending.outcome = Outcome::NotEnoughPower {
                    speed: hold.speed,
                    missing_torque: hold.gain() * slow,
                };
            }
        }
        ending
    }

    /// Measures a recorded run.
    pub fn measured(&self, trace: &Trace, ending: Ending, step: f64) -> Measures {
        let mut measures = Measures::empty(NAME, ending, self.metrics());
        measures.set(&m::STEERING_WHEEL_ANGLE, step);
        let history = |name: &str| Some(History::new(&trace.time, trace.get(name)?));
        let window = Window {
            from: self.settle,
            to: self.settle + self.window,
        };
        // A run that ended early has no steady values.
        if trace.time.len() < 4 || trace.time[trace.time.len() - 1] < window.to - 1e-9 {
            return measures;
        }
        let Some((zero, rest)) = history("steering_wheel_angle").and_then(steer_times) else {
            return measures;
        };
        let respond = |name: &str, smallest: f64| {
            history(name).map_or(StepResponse::NOTHING, |h| {
                step_response(h, zero, rest, window, smallest)
            })
        };
        let mut set = |response: StepResponse, metrics: [&'static Metric; 5]| {
            let values = [
                response.steady,
                response.steady / step,
                response.response_time,
                response.peak_response_time,
                response.overshoot,
            ];
            for (metric, value) in metrics.into_iter().zip(values) {
                measures.set(metric, value);
            }
        };
        // Below these changes a response is not worth timing: 0.05 deg/s, 0.01 m/s^2, 0.005 deg.
        let yaw = respond("yaw_rate", 1e-3);
        let lateral = respond("lateral_acceleration", 1e-2);
        let sideslip = respond("sideslip", 1e-4);
        set(
            yaw,
            [
                &m::YAW_RATE_STEADY,
                &m::YAW_RATE_GAIN,
                &m::YAW_RATE_RESPONSE_TIME,
                &m::YAW_RATE_PEAK_RESPONSE_TIME,
                &m::YAW_RATE_OVERSHOOT,
            ],
        );
        set(
            lateral,
            [
                &m::LATERAL_ACCELERATION_STEADY,
                &m::LATERAL_ACCELERATION_GAIN,
                &m::LATERAL_ACCELERATION_RESPONSE_TIME,
                &m::LATERAL_ACCELERATION_PEAK_RESPONSE_TIME,
                &m::LATERAL_ACCELERATION_OVERSHOOT,
            ],
        );
        set(
            respond("roll_angle", 1e-4),
            [
                &m::ROLL_ANGLE_STEADY,
                &m::ROLL_ANGLE_GAIN,
                &m::ROLL_ANGLE_RESPONSE_TIME,
                &m::ROLL_ANGLE_PEAK_RESPONSE_TIME,
                &m::ROLL_ANGLE_OVERSHOOT,
            ],
        );
        set(
            sideslip,
            [
                &m::SIDESLIP_STEADY,
                &m::SIDESLIP_GAIN,
                &m::SIDESLIP_RESPONSE_TIME,
                &m::SIDESLIP_PEAK_RESPONSE_TIME,
                &m::SIDESLIP_OVERSHOOT,
            ],
        );
        measures.set(&m::YAW_RATE_DRIFT, yaw.drift);
        measures.set(&m::LATERAL_ACCELERATION_DRIFT, lateral.drift);
        measures.set(
            &m::TB_FACTOR,
            yaw.peak_response_time * sideslip.steady.abs(),
        );
        if let Some(speed) = trace.get("speed") {
            measures.set(&m::SPEED_LOSS, speed[0] - speed[speed.len() - 1]);
        }
        measures
    }
}

impl DriveManeuver for StepSteer {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        vec![
            &m::STEERING_WHEEL_ANGLE,
            &m::YAW_RATE_STEADY,
            &m::YAW_RATE_GAIN,
            &m::YAW_RATE_RESPONSE_TIME,
            &m::YAW_RATE_PEAK_RESPONSE_TIME,
            &m::YAW_RATE_OVERSHOOT,
            &m::YAW_RATE_DRIFT,
            &m::LATERAL_ACCELERATION_STEADY,
            &m::LATERAL_ACCELERATION_GAIN,
            &m::LATERAL_ACCELERATION_RESPONSE_TIME,
            &m::LATERAL_ACCELERATION_PEAK_RESPONSE_TIME,
            &m::LATERAL_ACCELERATION_OVERSHOOT,
            &m::LATERAL_ACCELERATION_DRIFT,
            &m::ROLL_ANGLE_STEADY,
            &m::ROLL_ANGLE_GAIN,
            &m::ROLL_ANGLE_RESPONSE_TIME,
            &m::ROLL_ANGLE_PEAK_RESPONSE_TIME,
            &m::ROLL_ANGLE_OVERSHOOT,
            &m::SIDESLIP_STEADY,
            &m::SIDESLIP_GAIN,
            &m::SIDESLIP_RESPONSE_TIME,
            &m::SIDESLIP_PEAK_RESPONSE_TIME,
            &m::SIDESLIP_OVERSHOOT,
            &m::TB_FACTOR,
            &m::SPEED_LOSS,
        ]
    }

    fn check(&self) -> Result<(), ManeuverError> {
        within(NAME, "speed", self.speed, (2.0, 100.0), "m/s")?;
        within(
            NAME,
            "lateral_acceleration",
            self.lateral_acceleration,
            (-30.0, 30.0),
            "m/s^2",
        )?;
        within(
            NAME,
            "lateral_acceleration magnitude",
            self.lateral_acceleration.abs(),
            (0.02, 30.0),
            "m/s^2",
        )?;
        if let Some(angle) = self.steering_wheel_angle {
            within(NAME, "steering_wheel_angle", angle, (-20.0, 20.0), "rad")?;
        }
        within(
            NAME,
            "steering_rate",
            self.steering_rate,
            (0.1, 50.0),
            "rad/s",
        )?;
        within(NAME, "settle", self.settle, (0.2, 60.0), "s")?;
        within(NAME, "window", self.window, (0.05, 60.0), "s")?;
        within(NAME, "friction", self.friction, (0.01, 5.0), "-")?;
        within(NAME, "step", self.step, (1e-5, 0.02), "s")
    }

    fn recorder(&self) -> Recorder {
        Recorder::metrics()
    }

    fn perform(
        &self,
        models: &[&Model],
        recorder: &dyn Fn() -> Recorder,
        interrupt: Interrupt<'_>,
    ) -> Vec<Result<Run, ManeuverError>> {
        several::perform(
            self,
            models,
            |model| self.begin(model, recorder()),
            |prepared, driven| {
                let trace = driven.recorder.finish();
                let ending = Self::ending(&prepared.controls, &driven.drive);
                let measures = self.measured(&trace, ending, prepared.controls.step);
                Run { measures, trace }
            },
            &Validity::default(),
            interrupt,
        )
    }
}
