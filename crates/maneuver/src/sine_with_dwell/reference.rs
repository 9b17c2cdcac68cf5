//! The slow steer that gives the unit of the amplitudes.
//!
//! At the speed of the test, held, the steering wheel is turned at 13.5 deg/s (49 CFR 571.126,
//! S7.6, from memory). A line of least squares through steering-wheel angle over lateral
//! acceleration between 0.1 and 0.375 g gives the angle at 0.3 g.

use std::cell::Cell;

use axletree_scalar::Real;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{Inputs, STATES};
use axletree_vehicle::trim::Trim;

use crate::maneuver::single;
use crate::side_by_side::{self, DrivenCar, Integration, PreparedCar};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels as ch;
use axletree_simulation::channels::Moment;
use axletree_simulation::drive::{Action, Controls, Integrator, Validity, join_states};
use axletree_simulation::driver::SpeedHold;
use axletree_simulation::{Outcome, Recorder};

/// Standard acceleration of free fall `[m/s^2]`.
const G: f64 = 9.80665;
/// Rate of the steering wheel `[rad/s]`.
const RATE: f64 = 13.5 * std::f64::consts::PI / 180.0;
/// Lateral accelerations between which the line is fitted `[g]`.
const RANGE: [f64; 2] = [0.1, 0.375];
/// Lateral acceleration at which the line is read `[g]`.
const LEVEL: f64 = 0.3;
/// Least angle that is a unit of amplitudes `[rad]`.
const LEAST_ANGLE: f64 = 1e-4;
/// Time after which the slow steer is given up `[s]`.
const LONGEST: f64 = 40.0;

/// The steering wheel turned at a constant rate, the speed held.
struct SlowSteer {
    straight: Inputs<f64>,
    hold: SpeedHold,
    reached: Cell<bool>,
}

impl Controls<1> for SlowSteer {
    #[inline(always)]
    fn act(&self, time: f64, car: &[f64; STATES], own: &[f64; 1]) -> Action<1> {
        let (drive_torque, slow) = self.hold.act(car, own[0]);
        Action {
            inputs: Inputs {
                steering_wheel: self.straight.steering_wheel + RATE * time,
                steering_wheel_rate: RATE,
                drive_torque,
                ..self.straight
            },
            own_rate: [slow],
        }
    }

    fn judge(&self, moment: &Moment<'_>, _: &[f64; 1]) -> Option<Outcome> {
        let there = moment.acceleration()[1] > RANGE[1] * G;
        self.reached.set(there);
        there.then_some(Outcome::Completed)
    }
}

/// Steering-wheel angle at 0.3 g, from straight running at a speed, with fixed steps `[rad]`.
///
/// # Errors
/// The outcome of a car that does not reach 0.375 g.
pub fn reference_angle(
    model: &Model,
    straight: &Trim,
    step: f64,
    interrupt: Interrupt<'_>,
) -> Result<f64, Outcome> {
    let fixed = Integration {
        step,
        integrator: Integrator::Fixed,
    };
    let all = reference_angles(&[(model, straight)], fixed, interrupt);
    single(all)
}

/// Reference angles of several cars, each with its straight running, in their order.
pub(super) fn reference_angles(
    cars: &[(&Model, &Trim)],
    integration: Integration,
    interrupt: Interrupt<'_>,
) -> Vec<Result<f64, Outcome>> {
    let ready = cars.iter().map(|(model, straight)| PreparedCar {
        model,
        road: None,
        controls: SlowSteer {
            straight: straight.inputs,
            hold: SpeedHold::new(
                model,
                straight.condition.speed,
                straight.inputs.drive_torque,
            ),
            reached: Cell::new(false),
        },
        start: join_states(&straight.state, &[0.0]),
        breaks: vec![0.0, LONGEST],
        integration,
        sample_every: 2,
        recorder: Recorder::of(&[&ch::STEERING_WHEEL_ANGLE, &ch::LATERAL_ACCELERATION]),
    });
    let driven = side_by_side::drive_all(ready.collect(), &Validity::default(), interrupt);
    let pairs = driven.into_iter().zip(cars);
    pairs.map(|(d, (_, straight))| angle(d, straight)).collect()
}

/// The angle of a driven car, by a line of least squares through its records.
fn angle(driven: DrivenCar<SlowSteer, { STATES + 1 }>, straight: &Trim) -> Result<f64, Outcome> {
    if !driven.drive.ending.outcome.is_completed() {
        return Err(driven.drive.ending.outcome);
    }
    if !driven.controls.reached.get() {
        return Err(Outcome::NoSteadyState {
            speed: straight.condition.speed,
            lateral_acceleration: RANGE[1] * G,
        });
    }
    let trace = driven.recorder.finish();
    let angle = trace.columns[0]
        .iter()
        .map(|a| a - straight.inputs.steering_wheel);
    let points: Vec<(f64, f64)> = trace.columns[1]
        .iter()
        .zip(angle)
        .map(|(a, d)| (a / G, d))
        .filter(|(a, _)| (RANGE[0]..=RANGE[1]).contains(a))
        .collect();
    let n = points.len() as f64;
    let mean = |read: fn(&(f64, f64)) -> f64| points.iter().map(read).sum::<f64>() / n;
    let (ma, md) = (mean(|p| p.0), mean(|p| p.1));
    let above: f64 = points.iter().map(|p| (p.0 - ma) * (p.1 - md)).sum();
    let below: f64 = points.iter().map(|p| Real::sq(p.0 - ma)).sum();
    let angle = md + above / below * (LEVEL - ma);
    // A steering so quick, or turned around, gives no series.
    if angle > LEAST_ANGLE {
        Ok(angle)
    } else {
        Err(Outcome::NoSteadyState {
            speed: straight.condition.speed,
            lateral_acceleration: LEVEL * G,
        })
    }
}
