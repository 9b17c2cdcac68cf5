//! A steady circle disturbed by the foot: braking and lifting off in a turn.
//!
//! The car runs in equilibrium on a circle, the steering wheel is held, and at time zero a pedal
//! moves. What the car then does is told against what it would do if it stayed on the circle while its
//! speed changes as it does.
//!
//! - [`braking`]: after ISO 7975.
//! - [`lift_off`]: after ISO 9816.

pub mod braking;
pub mod lift_off;

use axletree_scalar::Real;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{Inputs, STATES};
use axletree_vehicle::trim::Trim;

use crate::maneuver::{Maneuver, Run};
use crate::side_by_side::Ready;
use crate::{initial_state as begin, side_by_side as several};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels as ch;
use axletree_simulation::channels::Channel;
use axletree_simulation::drive::{Action, Controls, Validity, join};
use axletree_simulation::error::ManeuverError;
use axletree_simulation::metrics::{History, Measures, Metric, list as m};
use axletree_simulation::outcome::{Ending, Outcome};
use axletree_simulation::road::Line;
use axletree_simulation::trace::{Recorder, Trace};

/// How long the car runs on before the pedal moves [s].
const BEFORE: f64 = 0.5;
/// When the standards look [s].
const LOOK: f64 = 1.0;
/// How long a run lasts after the pedal moves [s].
const AFTER: f64 = 3.0;

/// Slip below which a wheel locks: half of the car's speed is gone from its rim (slip over rolling speed) [-].
const LOCKED: f64 = -1.0;

/// What the measures of both maneuvers need.
static CHANNELS: &[&Channel] = &[
    &ch::STEERING_WHEEL_ANGLE,
    &ch::YAW_RATE,
    &ch::LATERAL_ACCELERATION,
    &ch::SIDESLIP,
    &ch::SPEED,
    &ch::X,
    &ch::Y,
    &ch::YAW_ANGLE,
    &ch::SLIP_X_FRONT_LEFT,
    &ch::SLIP_X_FRONT_RIGHT,
    &ch::SLIP_X_REAR_LEFT,
    &ch::SLIP_X_REAR_RIGHT,
];

/// The metrics of both maneuvers.
fn metrics() -> Vec<&'static Metric> {
    vec![
        &m::MEAN_DECELERATION,
        &m::YAW_RATE_RATIO,
        &m::YAW_RATE_PEAK_RATIO,
        &m::LATERAL_ACCELERATION_RATIO,
        &m::SIDESLIP_CHANGE,
        &m::SIDESLIP_CHANGE_LARGEST,
        &m::YAW_DEVIATION,
        &m::INWARD_DEVIATION,
        &m::INWARD_DEVIATION_END,
        &m::FRONT_LOCK_TIME,
        &m::REAR_LOCK_TIME,
    ]
}

/// The steady circle before.
struct Circle {
    trim: Trim,
    /// Signed radius of the path of O [m].
    radius: f64,
}

impl Circle {
    /// In a gear, at the speed that the lateral acceleration needs on the radius.
    fn find(
        model: &Model,
        radius: f64,
        lateral_acceleration: f64,
        friction: f64,
        gear: Option<usize>,
    ) -> Result<Self, Outcome> {
        let speed = (lateral_acceleration.abs() * radius).sqrt();
        let trim = begin::corner(model, speed, lateral_acceleration, friction)?;
        // The centripetal acceleration differs from the lateral one by the cosine of the sideslip.
        let seen = trim.observe(model);
        Ok(Circle {
            radius: seen.speed / seen.yaw_rate,
            trim: begin::in_gear(model, &trim, gear)?,
        })
    }

    /// The wheel held and the pedals moved; the recorder has [`CHANNELS`] at least.
    fn ready<'m>(
        &self,
        model: &'m Model,
        pedals: Pedals,
        step: f64,
        recorder: Recorder,
    ) -> Ready<'m, Pedals, STATES> {
        let mut breaks = vec![-BEFORE, 0.0];
        if pedals.rise > 0.0 {
            breaks.push(pedals.rise);
        }
        breaks.extend([LOOK, AFTER]);
        breaks.sort_by(f64::total_cmp);
        Ready {
            model,
            road: None,
            controls: pedals,
            start: join::<0, STATES>(&self.trim.state, &[]),
            breaks,
            step,
            sample_every: 1,
            recorder,
        }
    }

    /// Measures a recorded run.
    fn measured(&self, name: &'static str, trace: &Trace, ending: Ending) -> Measures {
        let mut measures = Measures::empty(name, ending, metrics());
        let column = |channel: &Channel| trace.get(channel.name).unwrap_or(&[]);
        let time = &trace.time;
        let Some(&end) = time.last().filter(|_| time.len() >= 4) else {
            return measures;
        };
        let at = |channel: &Channel, t: f64| {
            if t > end + 1e-9 {
                f64::NAN
            } else {
                History::new(time, column(channel)).at(t)
            }
        };
        let side = self.radius.signum();
        let first = time.partition_point(|t| *t < 0.0);
        let yaw_rate = at(&ch::YAW_RATE, -BEFORE);
        let sideslip = at(&ch::SIDESLIP, -BEFORE);
        let largest = |values: &[f64], from: f64, sign: f64| {
            values[first..]
                .iter()
                .fold(0.0, |a: f64, v| a.max(sign * (v - from)))
        };
        let speed = at(&ch::SPEED, LOOK);
        measures.set(&m::MEAN_DECELERATION, (at(&ch::SPEED, 0.0) - speed) / LOOK);
        measures.set(
            &m::YAW_RATE_RATIO,
            at(&ch::YAW_RATE, LOOK) * self.radius / speed,
        );
        measures.set(
            &m::YAW_RATE_PEAK_RATIO,
            1.0 + largest(column(&ch::YAW_RATE), yaw_rate, side) / yaw_rate.abs(),
        );
        measures.set(
            &m::LATERAL_ACCELERATION_RATIO,
            at(&ch::LATERAL_ACCELERATION, LOOK) * self.radius / (speed * speed),
        );
        // Outward for a rear end that steps out.
        measures.set(
            &m::SIDESLIP_CHANGE,
            -side * (at(&ch::SIDESLIP, LOOK) - sideslip),
        );
        measures.set(
            &m::SIDESLIP_CHANGE_LARGEST,
            largest(column(&ch::SIDESLIP), sideslip, -side),
        );
        // The circle as it was entered: the car's heading lies off its path by the sideslip.
        let inward = |t: f64| {
            let (x, y) = (at(&ch::X, t), at(&ch::Y, t));
            let (sin, cos) = Real::sin_cos(sideslip);
            let (x0, y0) = (at(&ch::X, -BEFORE), at(&ch::Y, -BEFORE));
            let (dx, dy) = (x - x0, y - y0);
            side * Line::curved(1.0 / self.radius, 0.0)
                .left_of([cos * dx + sin * dy, cos * dy - sin * dx])
        };
        measures.set(&m::INWARD_DEVIATION, inward(LOOK));
        measures.set(&m::INWARD_DEVIATION_END, inward(AFTER));
        let locked = |wheels: [&Channel; 2]| -> f64 {
            let [a, b] = wheels.map(column);
            (first + 1..time.len())
                .map(|i| {
                    let count = [a[i], b[i]].iter().filter(|s| **s < LOCKED).count();
                    count as f64 * (time[i] - time[i - 1])
                })
                .sum()
        };
        measures.set(
            &m::FRONT_LOCK_TIME,
            locked([&ch::SLIP_X_FRONT_LEFT, &ch::SLIP_X_FRONT_RIGHT]),
        );
        measures.set(
            &m::REAR_LOCK_TIME,
            locked([&ch::SLIP_X_REAR_LEFT, &ch::SLIP_X_REAR_RIGHT]),
        );
        let travelled: f64 = time[first..]
            .windows(2)
            .zip(column(&ch::SPEED)[first..].windows(2))
            .filter(|(t, _)| t[1] <= LOOK + 1e-9)
            .map(|(t, v)| 0.5 * (t[1] - t[0]) * (v[0] + v[1]))
            .sum();
        let turned = at(&ch::YAW_ANGLE, LOOK) - at(&ch::YAW_ANGLE, 0.0);
        measures.set(&m::YAW_DEVIATION, side * (turned - travelled / self.radius));
        measures
    }
}

/// Carries one of the maneuvers out with several cars: `circle` finds where each starts, `pedals` what is done
/// then.
fn perform(
    maneuver: &dyn Maneuver,
    models: &[&Model],
    circle: impl Fn(&Model) -> Result<Circle, Outcome>,
    pedals: impl Fn(&Model, &Circle) -> Pedals,
    step: f64,
    recorder: &dyn Fn() -> Recorder,
    interrupt: Interrupt<'_>,
) -> Vec<Result<Run, ManeuverError>> {
    several::perform(
        maneuver,
        models,
        |model| {
            Ok(circle(model).map(|circle| {
                let pedals = pedals(model, &circle);
                let ready = circle.ready(model, pedals, step, recorder());
                (circle, ready)
            }))
        },
        |circle, driven| {
            let trace = driven.recorder.finish();
            let measures = circle.measured(maneuver.name(), &trace, driven.drive.ending);
            Run { measures, trace }
        },
        &Validity::default(),
        interrupt,
    )
}

/// The wheel held, the pedals moved at time zero.
struct Pedals {
    before: Inputs<f64>,
    /// Throttle after [-].
    throttle: f64,
    /// Clutch after [-].
    clutch: f64,
    /// Brake torque after [N m].
    brake_torque: f64,
    /// How long it takes to build up [s].
    rise: f64,
}

impl Controls<0> for Pedals {
    #[inline(always)]
    fn act(&self, time: f64, _: &[f64; STATES], _: &[f64; 0]) -> Action<0> {
        let mut inputs = self.before;
        if time >= 0.0 {
            let share = if time < self.rise {
                time / self.rise
            } else {
                1.0
            };
            inputs.throttle = self.throttle;
            inputs.clutch = self.clutch;
            inputs.brake_torque = self.brake_torque * share;
        }
        Action {
            inputs,
            own_rate: [],
        }
    }
}
