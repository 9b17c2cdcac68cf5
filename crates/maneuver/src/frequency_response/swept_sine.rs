//! The drive of a swept sine of the steering wheel, and the transforms of the response.
//!
//! The sweep begins and ends at rest. The excited motion dies out before the record ends, so that
//! the quotient of the transforms over the whole record,
//!
//! ```text
//! H(f) = int y exp(-i 2 pi f t) dt / int u exp(-i 2 pi f t) dt
//! ```
//!
//! is a linear car's response without any window or leakage.

use std::f64::consts::TAU;

use axletree_scalar::lone;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{Inputs, STATES};
use axletree_vehicle::trim::Trim;
use nalgebra::Complex;

use super::chirp::Chirp;
use super::response::SteeringResponse;
use crate::side_by_side::{DrivenCar, Integration, PreparedCar};
use axletree_simulation::channels as ch;
use axletree_simulation::drive::{Action, Controls, join_states};
use axletree_simulation::driver::SpeedHold;
use axletree_simulation::{Outcome, Recorder};

/// Time that the car runs on after the sweep `[s]`: e^-3 of a motion with 0.3 Hz and a damping
/// ratio of a fifth is left.
const DECAY_TIME: f64 = 8.0;
/// The sweep about straight running with the speed held.
pub(super) struct SweptSineControls {
    chirp: Chirp,
    straight: Inputs<f64>,
    hold: SpeedHold,
}

impl Controls<1> for SweptSineControls {
    #[inline(always)]
    fn act(&self, time: f64, car: &[f64; STATES], own: &[f64; 1]) -> Action<1> {
        let [angle, rate] = self.chirp.at(time);
        let (drive_torque, slow) = self.hold.act(car, own[0]);
        Action {
            inputs: Inputs {
                steering_wheel: self.straight.steering_wheel + angle,
                steering_wheel_rate: rate,
                drive_torque,
                ..self.straight
            },
            own_rate: [slow],
        }
    }
}

/// A car that runs straight, at the start of the sweep.
pub(super) fn start<'m>(
    chirp: Chirp,
    model: &'m Model,
    straight: &Trim,
    integration: Integration,
) -> PreparedCar<'m, SweptSineControls, { STATES + 1 }> {
    PreparedCar {
        model,
        road: None,
        controls: SweptSineControls {
            chirp,
            straight: straight.inputs,
            hold: SpeedHold::new(
                model,
                straight.condition.speed,
                straight.inputs.drive_torque,
            ),
        },
        start: join_states(&straight.state, &[0.0]),
        breaks: vec![0.0, chirp.duration + DECAY_TIME],
        integration,
        sample_every: 1,
        recorder: Recorder::of(&[
            &ch::STEERING_WHEEL_ANGLE,
            &ch::YAW_RATE,
            &ch::LATERAL_ACCELERATION,
            &ch::ROLL_ANGLE,
            &ch::SIDESLIP,
        ]),
    }
}

/// The response that a driven sweep shows.
pub(super) fn transformed(
    driven: DrivenCar<SweptSineControls, { STATES + 1 }>,
    frequencies: Vec<f64>,
) -> Result<SteeringResponse, Outcome> {
    if !driven.drive.ending.outcome.is_completed() {
        return Err(driven.drive.ending.outcome);
    }
    let lifts = driven.drive.ending.lifts;
    let trace = driven.recorder.finish();
    let mut values = [const { Vec::new() }; 4];
    let columns: [&[f64]; 5] = std::array::from_fn(|i| trace.columns[i].as_slice());
    for &f in &frequencies {
        let [steer, answers @ ..] = transforms(&trace.time, &columns, f);
        for (value, answer) in values.iter_mut().zip(answers) {
            value.push(answer / steer);
        }
    }
    Ok(SteeringResponse {
        frequencies,
        values,
        lifts,
    })
}

/// The Fourier integrals of the departures from the first values, by the trapezoidal rule on even
/// samples: exact for a motion at rest at both ends that has no component near the sampling
/// frequency.
fn transforms<const C: usize>(
    time: &[f64],
    columns: &[&[f64]; C],
    frequency: f64,
) -> [Complex<f64>; C] {
    let h = time[1] - time[0];
    let (s, c) = lone::sin_cos(-TAU * frequency * h);
    let turn = Complex::new(c, s);
    let mut pointer = Complex::new(1.0, 0.0);
    let mut sums = [Complex::new(0.0, 0.0); C];
    for i in 0..time.len() {
        for (sum, column) in sums.iter_mut().zip(columns) {
            *sum += pointer * (column[i] - column[0]);
        }
        pointer *= turn;
    }
    sums.map(|sum| sum * h)
}
