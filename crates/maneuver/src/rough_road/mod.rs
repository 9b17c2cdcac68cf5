//! Corners that are not flat: the car runs in equilibrium on a circle, the steering wheel is held, and
//! the road shakes it.
//!
//! - [`bump`]: a single bump under chosen wheels.
//! - [`rough`]: a random road.

pub mod bump;
pub mod rough;

use axletree_scalar::Real;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{Inputs, STATES};
use axletree_vehicle::model::{Evaluation, Road};
use axletree_vehicle::trim::Trim;

use crate::maneuver::{Maneuver, Run};
use crate::side_by_side::Ready;
use crate::{initial_state as begin, side_by_side as several};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels as ch;
use axletree_simulation::channels::Channel;
use axletree_simulation::drive::{Action, Controls, Validity, join};
use axletree_simulation::driver::speed_hold::SpeedHold;
use axletree_simulation::error::ManeuverError;
use axletree_simulation::metrics::Measures;
use axletree_simulation::outcome::{Ending, Outcome};
use axletree_simulation::road::{Line, Quick};
use axletree_simulation::trace::{Recorder, Trace};

/// What the measures need.
static CHANNELS: &[&Channel] = &[
    &ch::YAW_RATE,
    &ch::LATERAL_ACCELERATION,
    &ch::SIDESLIP,
    &ch::SPEED,
    &ch::X,
    &ch::Y,
    &ch::LOAD_FRONT_LEFT,
    &ch::LOAD_FRONT_RIGHT,
    &ch::LOAD_REAR_LEFT,
    &ch::LOAD_REAR_RIGHT,
    &ch::FORCE_Y_FRONT_LEFT,
    &ch::FORCE_Y_FRONT_RIGHT,
    &ch::FORCE_Y_REAR_LEFT,
    &ch::FORCE_Y_REAR_RIGHT,
    &ch::SLIP_ANGLE_FRONT_LEFT,
    &ch::SLIP_ANGLE_FRONT_RIGHT,
    &ch::SLIP_ANGLE_REAR_LEFT,
    &ch::SLIP_ANGLE_REAR_RIGHT,
];

/// Wheels' columns in [`CHANNELS`].
const LOADS: usize = 6;
const FORCES: usize = 10;
const SLIPS: usize = 14;

/// The steady corner before, the car's velocity along x.
struct Corner {
    trim: Trim,
    /// Signed radius of the path of O [m].
    radius: f64,
    speed: f64,
    yaw_rate: f64,
    sideslip: f64,
    lateral_acceleration: f64,
    /// What an evaluation finds there.
    evaluation: Evaluation<f64>,
}

impl Corner {
    /// At the speed that a lateral acceleration [m/s^2, left positive] needs on a radius [m].
    fn find(
        model: &Model,
        radius: f64,
        lateral_acceleration: f64,
        friction: f64,
    ) -> Result<Self, Outcome> {
        let speed = (lateral_acceleration.abs() * radius).sqrt();
        let mut trim = begin::corner(model, speed, lateral_acceleration, friction)?;
        let hold = SpeedHold::new(model, speed, trim.inputs.drive_torque);
        let missing = trim.inputs.drive_torque - hold.available(&trim.state);
        if missing > 0.0 {
            return Err(Outcome::NotEnoughPower {
                speed,
                missing_torque: missing,
            });
        }
        let seen = trim.observe(model);
        trim.state[axletree_vehicle::model::layout::ATTITUDE] = -seen.sideslip;
        Ok(Corner {
            radius: seen.speed / seen.yaw_rate,
            speed,
            yaw_rate: seen.yaw_rate,
            sideslip: seen.sideslip,
            lateral_acceleration: seen.lateral_acceleration,
            evaluation: trim.evaluate(model),
            trim,
        })
    }

    /// The circle as far as a station [m].
    fn line(&self, end: f64) -> Line {
        Line::curved(1.0 / self.radius, end)
    }

    /// Distance of O from the circle at a sample, outward positive [m].
    fn outward(&self, trace: &Trace, sample: usize) -> f64 {
        let at = |channel: &Channel| trace.get(channel.name).map_or(f64::NAN, |c| c[sample]);
        -self.radius.signum() * self.line(0.0).left_of([at(&ch::X), at(&ch::Y)])
    }

    /// Lateral force of an end (0 is the front) in equilibrium [N].
    fn force(&self, end: usize) -> f64 {
        let [a, b] = [0, 1].map(|i| self.evaluation.tire_forces[2 * end + i].fy);
        a + b
    }

    /// Mean slip angle of an end's wheels in equilibrium [rad].
    fn slip(&self, end: usize) -> f64 {
        let [a, b] = [0, 1].map(|i| ch::slip_angle(&self.evaluation, 2 * end + i));
        0.5 * (a + b)
    }

    /// Root mean square of the departures of an end's wheel loads from their means, over the mean load of
    /// its wheels in equilibrium [-].
    fn load_variation(&self, window: &Window<'_>, end: usize) -> f64 {
        let [a, b] = [0, 1].map(|k| {
            let mean = window.mean(|i| window.load(2 * end + k, i));
            window.mean(|i| Real::sq(window.load(2 * end + k, i) - mean))
        });
        let [left, right] = [0, 1].map(|k| self.evaluation.contacts[2 * end + k].load);
        (0.5 * (a + b)).sqrt() / (0.5 * (left + right))
    }

    /// On a road with the wheel held; the speed is held where `hold_speed`, else the torque.
    fn ready<'m>(
        &self,
        model: &'m Model,
        road: impl Road<f64> + 'static,
        breaks: &[f64],
        hold_speed: bool,
        step: f64,
        recorder: Recorder,
    ) -> Ready<'m, Held, { STATES + 1 }> {
        let torque = self.trim.inputs.drive_torque;
        Ready {
            model,
            road: Some(Box::new(Quick(road))),
            controls: Held {
                inputs: self.trim.inputs,
                hold: hold_speed.then(|| SpeedHold::new(model, self.speed, torque)),
            },
            start: join(&self.trim.state, &[0.0]),
            breaks: breaks.to_vec(),
            step,
            sample_every: 1,
            recorder,
        }
    }
}

/// Carries one of the maneuvers out with several cars.
fn perform<'m>(
    maneuver: &dyn Maneuver,
    models: &[&'m Model],
    corner: impl Fn(&Model) -> Result<Corner, Outcome>,
    ready: impl Fn(&'m Model, &Corner) -> Ready<'m, Held, { STATES + 1 }>,
    measured: impl Fn(&Corner, &Trace, Ending) -> Measures,
    interrupt: Interrupt<'_>,
) -> Vec<Result<Run, ManeuverError>> {
    let validity = Validity {
        lift: 0.25,
        ..Validity::default()
    };
    several::perform(
        maneuver,
        models,
        |model| {
            Ok(corner(model).map(|corner| {
                let ready = ready(model, &corner);
                (corner, ready)
            }))
        },
        |corner, driven| {
            let trace = driven.recorder.finish();
            let measures = measured(&corner, &trace, driven.drive.ending);
            Run { measures, trace }
        },
        &validity,
        interrupt,
    )
}

/// The steering wheel held, and either the drive torque or the speed.
struct Held {
    inputs: Inputs<f64>,
    hold: Option<SpeedHold>,
}

impl Controls<1> for Held {
    #[inline(always)]
    fn act(&self, _: f64, car: &[f64; STATES], own: &[f64; 1]) -> Action<1> {
        let (drive_torque, slow) = match &self.hold {
            Some(hold) => hold.act(car, own[0]),
            None => (self.inputs.drive_torque, 0.0),
        };
        Action {
            inputs: Inputs {
                drive_torque,
                ..self.inputs
            },
            own_rate: [slow],
        }
    }
}

/// Columns of the samples from one time to another, with the time that each sample stands for.
struct Window<'a> {
    trace: &'a Trace,
    weights: Vec<(usize, f64)>,
}

impl<'a> Window<'a> {
    fn new(trace: &'a Trace, from: f64, to: f64) -> Self {
        let t = &trace.time;
        let inside: Vec<usize> = (0..t.len())
            .filter(|&i| t[i] >= from - 1e-9 && t[i] <= to + 1e-9)
            .collect();
        let weights = inside
            .iter()
            .enumerate()
            .map(|(k, &i)| {
                let before = if k > 0 { t[i] - t[inside[k - 1]] } else { 0.0 };
                let after = inside.get(k + 1).map_or(0.0, |&j| t[j] - t[i]);
                (i, 0.5 * (before + after))
            })
            .collect();
        Window { trace, weights }
    }

    /// How long it is [s].
    fn length(&self) -> f64 {
        self.weights.iter().map(|w| w.1).sum()
    }

    /// Mean over time of a quantity of the samples.
    fn mean(&self, read: impl Fn(usize) -> f64) -> f64 {
        self.weights.iter().map(|&(i, w)| w * read(i)).sum::<f64>() / self.length()
    }

    /// Largest of a quantity of the samples.
    fn largest(&self, read: impl Fn(usize) -> f64) -> f64 {
        self.weights
            .iter()
            .map(|&(i, _)| read(i))
            .fold(f64::NAN, f64::max)
    }

    /// A channel's value at a sample.
    fn at(&self, channel: &Channel, sample: usize) -> f64 {
        self.trace.get(channel.name).map_or(f64::NAN, |c| c[sample])
    }

    /// Load of a wheel at a sample [N].
    fn load(&self, wheel: usize, sample: usize) -> f64 {
        self.at(CHANNELS[LOADS + wheel], sample)
    }

    /// Lateral force of an end at a sample [N].
    fn force(&self, end: usize, sample: usize) -> f64 {
        let [a, b] = [0, 1].map(|i| self.at(CHANNELS[FORCES + 2 * end + i], sample));
        a + b
    }

    /// Mean slip angle of an end's wheels at a sample [rad].
    fn slip(&self, end: usize, sample: usize) -> f64 {
        let [a, b] = [0, 1].map(|i| self.at(CHANNELS[SLIPS + 2 * end + i], sample));
        0.5 * (a + b)
    }
}
