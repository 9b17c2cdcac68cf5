//! A car driven along a given path by a driver who looks ahead.
//!
//! The preview gains come from the car's own linearization at the speed (see [`axletree_simulation::driver`]), so
//! that every car gets a driver who knows it. For comparing cars near their limit this is not enough: a
//! preview-tuned driver then measures his own stability; there the steering itself must be found for
//! each car.

use axletree_scalar::Real;
use axletree_vehicle::Model;
use axletree_vehicle::linearize;
use axletree_vehicle::model::layout::{ATTITUDE, Inputs, POSITION, RATE, STATES, VELOCITY};
use axletree_vehicle::trim::{self, Condition, Trim};
use serde::{Deserialize, Serialize};

use crate::maneuver::{DriveManeuver, Run};
use crate::side_by_side as several;
use crate::side_by_side::{Driven, Ready};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels::{Channel, Moment};
use axletree_simulation::drive::{Action, Controls, Validity, join};
use axletree_simulation::driver::hands::HandLimits;
use axletree_simulation::driver::lateral::LateralCar;
use axletree_simulation::driver::preview::{PreviewGains, lq_preview, macadam};
use axletree_simulation::driver::speed_hold::{SpeedHold, speed_of};
use axletree_simulation::error::{ManeuverError, within};
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::outcome::{Ending, Outcome};
use axletree_simulation::path::Path;
use axletree_simulation::trace::{Recorder, Trace};
use axletree_simulation::{FIXED_STEP, channels};

const NAME: &str = "follow_path";

/// What the measures need.
static CHANNELS: &[&Channel] = &[
    &channels::X,
    &channels::Y,
    &channels::STEERING_WHEEL_RATE,
    &channels::LATERAL_ACCELERATION,
];

/// The rule by which the driver looks ahead.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Preview {
    /// Optimal preview after MacAdam with so much sight [s].
    MacAdam {
        /// How far ahead [s].
        sight: f64,
    },
    /// Linear-quadratic preview after Sharp and Valtetsiotis.
    LinearQuadratic {
        /// Deviation from the path that weighs as much as `steer` [m].
        deviation: f64,
        /// Steering-wheel angle that weighs as much as `deviation` [rad].
        steer: f64,
        /// How far ahead [s].
        sight: f64,
    },
}

impl Default for Preview {
    fn default() -> Self {
        // A quarter of a meter weighs as much as half a turn: near the gains of validation case D3; sight
        // beyond which the weights are nothing.
        Preview::LinearQuadratic {
            deviation: 0.25,
            steer: 180f64.to_radians(),
            sight: 3.0,
        }
    }
}

/// Settings of path following.
#[derive(Clone, Debug, PartialEq)]
pub struct FollowPath {
    /// The path; the car starts on it, along it, in straight running.
    pub path: Path,
    /// Speed, held by the throttle [m/s].
    pub speed: f64,
    /// How the driver looks ahead.
    pub preview: Preview,
    /// What the hands can do.
    pub hands: HandLimits,
    /// The run ends where the car is farther than this from the path [m].
    pub widest: f64,
    /// Friction of the surface relative to the tires' reference [-].
    pub friction: f64,
    /// Longest step of the integration [s].
    pub step: f64,
}

impl FollowPath {
    /// A path at a speed, with an ordinary driver.
    pub fn new(path: Path, speed: f64) -> Self {
        FollowPath {
            path,
            speed,
            preview: Preview::default(),
            hands: HandLimits::default(),
            widest: 5.0,
            friction: 1.0,
            step: FIXED_STEP,
        }
    }
}

/// Step of the discrete preview [s]: short beside the hands' time constant of 0.1 s.
const PREVIEW_STEP: f64 = 0.04;

/// The driver on the path. Own states: steering-wheel angle, integral of the speed's error, station.
struct PathDriver<'a> {
    path: &'a Path,
    gains: PreviewGains,
    hands: HandLimits,
    hold: SpeedHold,
    straight: Inputs<f64>,
    widest: f64,
}

impl Controls<3> for PathDriver<'_> {
    fn act(&self, _: f64, car: &[f64; STATES], own: &[f64; 3]) -> Action<3> {
        let [angle, integral, station] = *own;
        let speed = speed_of(car);
        let (foot, left) = self
            .path
            .nearest([car[POSITION], car[POSITION + 1]], station);
        let (sin, cos) = Real::sin_cos(car[ATTITUDE]);
        let offset = |ahead: f64| {
            let p = self.path.at(foot + speed * ahead).position;
            cos * (p[1] - car[POSITION + 1]) - sin * (p[0] - car[POSITION])
        };
        let wanted = self.straight.steering_wheel
            + self.gains.steer(offset, car[VELOCITY + 1], car[RATE + 2]);
        let rate = self.hands.hand_rate(wanted, angle);
        let (drive_torque, slow) = self.hold.act(car, integral);
        // The station follows the foot of the normal closely; it only has to start the next search.
        let p = self.path.at(foot);
        let turn = car[ATTITUDE] - p.heading;
        let onward = (car[VELOCITY] * Real::cos(turn) - car[VELOCITY + 1] * Real::sin(turn))
            / (1.0 - p.curvature * left).max(0.2);
        Action {
            inputs: Inputs {
                steering_wheel: angle,
                steering_wheel_rate: rate,
                drive_torque,
                ..self.straight
            },
            own_rate: [rate, slow, onward + (foot - station) / PREVIEW_STEP],
        }
    }

    fn judge(&self, moment: &Moment<'_>, own: &[f64; 3]) -> Option<Outcome> {
        let position = [moment.state[POSITION], moment.state[POSITION + 1]];
        let (foot, left) = self.path.nearest(position, own[2]);
        if left.abs() > self.widest {
            return Some(Outcome::LeftPath { deviation: left });
        }
        (foot >= self.path.length()).then_some(Outcome::Completed)
    }
}

impl FollowPath {
    /// Straight running at the speed.
    fn straight(&self, model: &Model) -> Result<Trim, Outcome> {
        let condition = Condition {
            friction: self.friction,
            ..Condition::straight(self.speed)
        };
        trim::solve(model, condition).map_err(|_| Outcome::NoSteadyState {
            speed: self.speed,
            lateral_acceleration: 0.0,
        })
    }

    /// The driver's gains for a car, by steering-wheel angle.
    pub fn gains(&self, model: &Model) -> Result<PreviewGains, Outcome> {
        self.gains_at(model, &self.straight(model)?)
    }

    fn gains_at(&self, model: &Model, straight: &Trim) -> Result<PreviewGains, Outcome> {
        let failed = Outcome::NotConverged {
            passes: 0,
            residual: f64::NAN,
        };
        let car = LateralCar::of(&linearize(model, straight)).ok_or(failed)?;
        match self.preview {
            Preview::MacAdam { sight } => {
                let intervals = 2 * (0.5 * sight / PREVIEW_STEP).ceil() as usize;
                Ok(macadam(&car, sight, intervals))
            }
            Preview::LinearQuadratic {
                deviation,
                steer,
                sight,
            } => {
                let steps = (sight / PREVIEW_STEP).ceil() as usize;
                let effort = Real::sq(deviation / steer);
                lq_preview(&car, effort, PREVIEW_STEP, steps).map_err(|_| failed)
            }
        }
    }

    /// The driver and where he starts.
    fn ready<'m>(
        &'m self,
        model: &'m Model,
        recorder: Recorder,
    ) -> Result<Ready<'m, PathDriver<'m>, { STATES + 3 }>, Outcome> {
        let straight = self.straight(model)?;
        let driver = PathDriver {
            path: &self.path,
            gains: self.gains_at(model, &straight)?,
            hands: self.hands,
            hold: SpeedHold::new(model, self.speed, straight.inputs.drive_torque),
            straight: straight.inputs,
            widest: self.widest,
        };
        let first = self.path.at(0.0);
        let mut car = straight.state;
        car[POSITION] = first.position[0];
        car[POSITION + 1] = first.position[1];
        car[ATTITUDE] = first.heading;
        Ok(Ready {
            model,
            road: None,
            controls: driver,
            start: join(&car, &[straight.inputs.steering_wheel, 0.0, 0.0]),
            breaks: vec![0.0, self.longest()],
            step: self.step,
            sample_every: 2,
            recorder,
        })
    }

    /// Twice the time at the set speed is more than a car that holds it needs [s].
    fn longest(&self) -> f64 {
        2.0 * self.path.length() / self.speed + 1.0
    }

    /// Adds the distance from the path to a trace that has x and y.
    fn add_deviation(&self, trace: &mut Trace) {
        let (Some(x), Some(y)) = (trace.get("x"), trace.get("y")) else {
            return;
        };
        let mut station = 0.0;
        let deviation = x
            .iter()
            .zip(y)
            .map(|(x, y)| {
                let (foot, left) = self.path.nearest([*x, *y], station);
                station = foot;
                left
            })
            .collect();
        trace.add(&channels::PATH_DEVIATION, deviation);
    }

    fn measured(&self, trace: &Trace, ending: Ending) -> Measures {
        let mut measures = Measures::empty(NAME, ending, self.metrics());
        let largest = |name: &str| {
            trace
                .get(name)
                .map_or(f64::NAN, |c| c.iter().fold(0.0, |a: f64, v| a.max(v.abs())))
        };
        measures.set(&m::PATH_DEVIATION_LARGEST, largest("path_deviation"));
        measures.set(&m::STEERING_RATE_LARGEST, largest("steering_wheel_rate"));
        measures.set(
            &m::LATERAL_ACCELERATION_LARGEST,
            largest("lateral_acceleration"),
        );
        if let Some(deviation) = trace.get("path_deviation") {
            let square: f64 = deviation.iter().map(|d| d * d).sum();
            measures.set(
                &m::PATH_DEVIATION_RMS,
                (square / deviation.len().max(1) as f64).sqrt(),
            );
        }
        if ending.outcome.is_completed() {
            measures.set(&m::PATH_TIME, ending.time);
        }
        measures
    }
}

impl DriveManeuver for FollowPath {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        vec![
            &m::PATH_DEVIATION_LARGEST,
            &m::PATH_DEVIATION_RMS,
            &m::LATERAL_ACCELERATION_LARGEST,
            &m::STEERING_RATE_LARGEST,
            &m::PATH_TIME,
        ]
    }

    fn check(&self) -> Result<(), ManeuverError> {
        within(NAME, "speed", self.speed, (2.0, 100.0), "m/s")?;
        within(NAME, "hands.lag", self.hands.lag, (0.005, 2.0), "s")?;
        within(NAME, "hands.rate", self.hands.rate, (0.1, 100.0), "rad/s")?;
        within(NAME, "widest", self.widest, (0.1, 1000.0), "m")?;
        within(NAME, "friction", self.friction, (0.01, 5.0), "-")?;
        within(NAME, "step", self.step, (1e-5, 0.02), "s")?;
        match self.preview {
            Preview::MacAdam { sight } => within(NAME, "sight", sight, (0.1, 10.0), "s"),
            Preview::LinearQuadratic {
                deviation,
                steer,
                sight,
            } => {
                within(NAME, "sight", sight, (0.1, 10.0), "s")?;
                within(NAME, "deviation", deviation, (1e-4, 1e3), "m")?;
                within(NAME, "steer", steer, (1e-4, 1e3), "rad")
            }
        }
    }

    fn recorder(&self) -> Recorder {
        Recorder::of(CHANNELS)
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
            |model| Ok(self.ready(model, recorder()).map(|ready| ((), ready))),
            |(), driven: Driven<PathDriver<'_>, { STATES + 3 }>| {
                let mut ending = driven.drive.ending;
                if ending.outcome.is_completed() && ending.time >= self.longest() {
                    let car =
                        axletree_simulation::drive::split::<3, { STATES + 3 }>(&driven.drive.state)
                            .0;
                    ending.outcome = Outcome::Stopped {
                        speed: speed_of(car),
                    };
                }
                let mut trace = driven.recorder.finish();
                self.add_deviation(&mut trace);
                let measures = self.measured(&trace, ending);
                Run { measures, trace }
            },
            &Validity::default(),
            interrupt,
        )
    }
}
