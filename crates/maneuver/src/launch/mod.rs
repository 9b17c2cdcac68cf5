//! Launch: from rest over a distance as fast as the rear tires let the car go.
//!
//! - [`foot`]: throttle, clutch and a hand that keeps the car straight.
//! - [`hop`]: how the driveline shakes.

pub mod foot;
pub mod hop;

use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ENGINE, POSITION, STATES, THROTTLE};
use serde::{Deserialize, Serialize};

pub use foot::LaunchMethod;
use foot::{Feet, OWN};

use crate::maneuver::{DriveManeuver, Run};
use crate::side_by_side::Ready;
use crate::{initial_state as begin, side_by_side as several};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels::Channel;
use axletree_simulation::drive::{Validity, join};
use axletree_simulation::driver::hands::HandLimits;
use axletree_simulation::error::{ManeuverError, within};
use axletree_simulation::metrics::{History, Measures, Metric, list as m};
use axletree_simulation::outcome::{Ending, Outcome};
use axletree_simulation::trace::{Recorder, Trace};
use axletree_simulation::{FIXED_STEP, channels as ch};

const NAME: &str = "launch";

/// Heading beyond which the launch has failed [rad].
const WIDEST_HEADING: f64 = 0.5;
/// From when on the driveline's shaking is looked at: the clutch has taken up the load [s].
const TAKEN_UP: f64 = 0.3;
/// Speed from which on a slip is told: a car that hardly moves has any [m/s].
const SLOW: f64 = 3.0;
/// A car that takes longer is not launched [s].
const LONGEST: f64 = 60.0;

/// Settings of the launch. Common practice, no standard.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Launch {
    /// Distance [m]. Default 60 ft, the first split of a drag strip.
    pub distance: f64,
    /// What the feet do.
    pub method: LaunchMethod,
    /// Engine speed at the start, the clutch open [rad/s].
    pub engine_speed: f64,
    /// Share of the highest engine speed at which the next gear is taken [-].
    pub shift_share: f64,
    /// Time without torque while a gear is changed [s].
    pub shift_time: f64,
    /// What the hands can do.
    pub hands: HandLimits,
    /// Friction of the surface relative to the tires' reference [-].
    pub friction: f64,
    /// Longest step of the integration [s].
    pub step: f64,
}

impl Default for Launch {
    fn default() -> Self {
        Launch {
            distance: 18.288,
            // A little short of the slip of the largest force of street tires; common practice.
            method: LaunchMethod::HeldSlip(0.1),
            // 4000 rpm: enough momentum for the clutch, short of a spin; common practice, no source.
            engine_speed: 4000.0 * std::f64::consts::PI / 30.0,
            shift_share: 0.96,
            // A quick hand; common practice, no source.
            shift_time: 0.25,
            hands: HandLimits::default(),
            friction: 1.0,
            step: 0.5 * FIXED_STEP,
        }
    }
}

/// What the measures need.
static CHANNELS: &[&Channel] = &[
    &ch::X,
    &ch::YAW_ANGLE,
    &ch::SPEED,
    &ch::LONGITUDINAL_ACCELERATION,
    &ch::RIM_SPEED_REAR_LEFT,
    &ch::RIM_SPEED_REAR_RIGHT,
    &ch::SHAFT_TORQUE_LEFT,
    &ch::SHAFT_TORQUE_RIGHT,
    &ch::LOAD_REAR_LEFT,
    &ch::LOAD_REAR_RIGHT,
];

/// States of car, foot and hands.
const JOINT: usize = STATES + OWN;

/// A car between two gears.
struct Under {
    car: usize,
    state: [f64; JOINT],
    time: f64,
    first_gear: f64,
    recorder: Recorder,
}

impl Launch {
    /// At rest, the engine turning with the clutch open.
    fn at_rest(&self, model: &Model) -> [f64; STATES] {
        let mut car = model.rolling_state(0.0);
        let engine = &model.numbers.chassis.driveline.engine;
        car[ENGINE] = self.engine_speed;
        let (closed, open) = (
            engine.drag_torque(self.engine_speed),
            engine.full_torque(self.engine_speed),
        );
        car[THROTTLE] = (-closed / (open - closed)).clamp(0.0, 1.0);
        car
    }

    /// Drives every car, gear after gear; also tells when the first gear was left [s].
    fn drive(
        &self,
        models: &[&Model],
        recorder: &dyn Fn() -> Recorder,
        interrupt: Interrupt<'_>,
    ) -> Vec<(Ending, f64, Trace)> {
        let validity = Validity {
            sideslip: f64::INFINITY,
            speed: -1.0,
            lift: 0.25,
            ..Validity::default()
        };
        let mut all: Vec<Option<(Ending, f64, Trace)>> = models.iter().map(|_| None).collect();
        let mut under: Vec<Under> = (0..)
            .zip(models)
            .map(|(car, model)| Under {
                car,
                state: join(&self.at_rest(model), &[0.0; OWN]),
                time: 0.0,
                first_gear: f64::NAN,
                recorder: recorder(),
            })
            .collect();
        let mut gear = 1;
        while !under.is_empty() {
            let ready = under
                .iter_mut()
                .map(|one| self.ready(models[one.car], one, gear))
                .collect();
            let driven = several::drive_all(ready, &validity, interrupt);
            let mut onward = Vec::new();
            for (mut one, driven) in under.into_iter().zip(driven) {
                one.state = driven.drive.state;
                one.recorder = driven.recorder;
                let mut ending = driven.drive.ending;
                one.time = ending.time;
                if one.first_gear.is_nan() {
                    one.first_gear = one.time;
                }
                if ending.outcome.is_completed() && one.state[POSITION] < self.distance {
                    if one.time < LONGEST {
                        onward.push(one);
                        continue;
                    }
                    let car = axletree_simulation::drive::split::<OWN, JOINT>(&one.state).0;
                    ending.outcome = Outcome::Stopped {
                        speed: axletree_simulation::driver::speed_hold::speed_of(car),
                    };
                }
                all[one.car] = Some((ending, one.first_gear, one.recorder.finish()));
            }
            under = onward;
            gear += 1;
        }
        all.into_iter().flatten().collect()
    }

    /// The next gear (counted from 1) of a car under way.
    fn ready<'m>(
        &self,
        model: &'m Model,
        one: &mut Under,
        gear: usize,
    ) -> Ready<'m, Feet<'m>, JOINT> {
        let time = one.time;
        let open_until = if gear == 1 {
            0.0
        } else {
            time + self.shift_time
        };
        Ready {
            model,
            road: None,
            controls: Feet::new(model, self, gear, open_until, open_until),
            start: one.state,
            breaks: vec![time, time.max(open_until), time.max(LONGEST) + 1.0],
            step: self.step,
            sample_every: 1,
            recorder: std::mem::replace(&mut one.recorder, Recorder::of(&[])),
        }
    }

    fn measured(&self, trace: &Trace, ending: Ending, first_gear: f64) -> Measures {
        let mut measures = Measures::empty(NAME, ending, self.metrics());
        let column = |channel: &Channel| trace.get(channel.name).unwrap_or(&[]);
        let time = &trace.time;
        let torque: Vec<f64> = column(&ch::SHAFT_TORQUE_LEFT)
            .iter()
            .zip(column(&ch::SHAFT_TORQUE_RIGHT))
            .map(|(a, b)| a + b)
            .collect();
        let shaken = hop::hop(time, &torque, TAKEN_UP, first_gear);
        measures.set(&m::HOP_INTENSITY, shaken.intensity);
        measures.set(&m::HOP_FREQUENCY, shaken.frequency);
        let load: Vec<f64> = column(&ch::LOAD_REAR_LEFT)
            .iter()
            .zip(column(&ch::LOAD_REAR_RIGHT))
            .map(|(a, b)| a + b)
            .collect();
        let shaken = hop::hop(time, &load, TAKEN_UP, first_gear);
        measures.set(&m::HOP_LOAD, shaken.intensity);
        let rims = column(&ch::RIM_SPEED_REAR_LEFT)
            .iter()
            .zip(column(&ch::RIM_SPEED_REAR_RIGHT));
        let slip = rims
            .zip(column(&ch::SPEED))
            .filter(|(_, v)| **v > SLOW)
            .map(|((a, b), v)| a.max(*b) / v - 1.0)
            .fold(f64::NAN, f64::max);
        measures.set(&m::WHEEL_SLIP_LARGEST, slip);
        let pull = column(&ch::LONGITUDINAL_ACCELERATION);
        measures.set(
            &m::ACCELERATION_LARGEST,
            pull.iter().copied().fold(f64::NAN, f64::max),
        );
        let heading = column(&ch::YAW_ANGLE);
        measures.set(
            &m::HEADING_LARGEST,
            heading.iter().fold(0.0, |a: f64, v| a.max(v.abs())),
        );
        if ending.outcome.is_completed()
            && time.len() >= 4
            && let Some(there) =
                History::new(time, column(&ch::X)).first_reach(self.distance, 1.0, 0.0)
        {
            measures.set(&m::DISTANCE_TIME, there);
            measures.set(
                &m::SPEED_AT_DISTANCE,
                History::new(time, column(&ch::SPEED)).at(there),
            );
            measures.set(&m::ACCELERATION_MEAN, 2.0 * self.distance / (there * there));
        }
        measures
    }
}

impl DriveManeuver for Launch {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        vec![
            &m::DISTANCE_TIME,
            &m::SPEED_AT_DISTANCE,
            &m::ACCELERATION_MEAN,
            &m::ACCELERATION_LARGEST,
            &m::WHEEL_SLIP_LARGEST,
            &m::HEADING_LARGEST,
            &m::HOP_INTENSITY,
            &m::HOP_FREQUENCY,
            &m::HOP_LOAD,
        ]
    }

    fn check(&self) -> Result<(), ManeuverError> {
        within(NAME, "distance", self.distance, (1.0, 2000.0), "m")?;
        match self.method {
            LaunchMethod::HeldSlip(slip) => {
                within(NAME, "method.held_slip", slip, (0.0, 3.0), "-")?;
            }
            LaunchMethod::DumpedClutch(time) => {
                within(NAME, "method.dumped_clutch", time, (0.01, 10.0), "s")?;
            }
        }
        within(
            NAME,
            "engine_speed",
            self.engine_speed,
            (20.0, 3000.0),
            "rad/s",
        )?;
        within(NAME, "shift_share", self.shift_share, (0.3, 0.98), "-")?;
        within(NAME, "shift_time", self.shift_time, (0.01, 3.0), "s")?;
        within(NAME, "hands.lag", self.hands.lag, (0.005, 2.0), "s")?;
        within(NAME, "hands.rate", self.hands.rate, (0.1, 100.0), "rad/s")?;
        within(NAME, "friction", self.friction, (0.02, 5.0), "-")?;
        within(NAME, "step", self.step, (1e-5, 0.01), "s")
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
        if let Err(fault) = self.check() {
            return models.iter().map(|_| Err(fault.clone())).collect();
        }
        let can = |model: &&Model| {
            let engine = &model.numbers.chassis.driveline.engine;
            (engine.idle..engine.limit).contains(&self.engine_speed)
        };
        let able: Vec<&Model> = models.iter().copied().filter(can).collect();
        let mut driven = self.drive(&able, recorder, interrupt).into_iter();
        let one = |model: &&Model| {
            let Some((ending, first_gear, trace)) = can(model).then(|| driven.next()).flatten()
            else {
                let outcome = Outcome::WrongGear {
                    gear: 1,
                    engine_speed: self.engine_speed,
                };
                return Ok(begin::not_begun(NAME, outcome, self.metrics()));
            };
            let measures = self.measured(&trace, ending, first_gear);
            Ok(Run { measures, trace })
        };
        models.iter().map(one).collect()
    }
}
