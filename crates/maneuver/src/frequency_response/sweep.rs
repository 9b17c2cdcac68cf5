//! A swept sine of the steering wheel, driven, and the transforms of what it excites.
//!
//! The sweep begins and ends at rest. What it excites dies out before the record ends, so that the
//! quotient of the transforms over the whole record,
//!
//! ```text
//! H(f) = int y exp(-i 2 pi f t) dt / int u exp(-i 2 pi f t) dt
//! ```
//!
//! is a linear car's response without any window or leakage.

use axletree_scalar::{Real, elementary};
use std::f64::consts::TAU;

use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{Inputs, STATES};
use axletree_vehicle::trim::Trim;
use nalgebra::Complex;

use super::Response;
use crate::side_by_side::{Driven, Ready};
use axletree_simulation::channels as ch;
use axletree_simulation::drive::{Action, Controls, join};
use axletree_simulation::driver::speed_hold::SpeedHold;
use axletree_simulation::outcome::Outcome;
use axletree_simulation::road::shape::smooth_step;
use axletree_simulation::trace::Recorder;

/// How long the car runs on after the sweep [s]: e^-8 of a motion with 0.3 Hz damped by a fifth is left.
const DYING: f64 = 8.0;
/// Octaves by which the sweep reaches beyond the frequencies asked for, so that its ends, which fade,
/// lie outside.
const BEYOND: f64 = 0.7;

/// A sine whose frequency grows by equal ratios in equal times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chirp {
    /// Amplitude [rad].
    pub amplitude: f64,
    /// Frequency at the start [Hz].
    pub from: f64,
    /// Frequency at the end [Hz].
    pub to: f64,
    /// How long it lasts [s].
    pub duration: f64,
    /// How long it takes to grow at its start and to fade at its end [s].
    pub fade: f64,
}

impl Chirp {
    /// A sweep over a band of frequencies.
    pub fn over([low, high]: [f64; 2], duration: f64, amplitude: f64) -> Self {
        let beyond = elementary::pow(2f64, BEYOND);
        let (from, to) = (low / beyond, high * beyond);
        Chirp {
            amplitude,
            from,
            to,
            duration,
            // Grown before the lowest frequency asked for is reached.
            fade: duration * elementary::ln(beyond) / elementary::ln(to / from),
        }
    }

    /// Angle [rad] and its rate [rad/s].
    pub fn at(&self, t: f64) -> [f64; 2] {
        if t <= 0.0 || t >= self.duration {
            return [0.0; 2];
        }
        let growth = elementary::ln(self.to / self.from) / self.duration;
        let frequency = self.from * Real::exp(growth * t);
        let phase = TAU * (frequency - self.from) / growth;
        let [grown, growing] = smooth_step(t / self.fade);
        let [left, leaving] = smooth_step((self.duration - t) / self.fade);
        let (sin, cos) = Real::sin_cos(phase);
        [
            self.amplitude * grown * left * sin,
            self.amplitude
                * ((growing * left - grown * leaving) / self.fade * sin
                    + grown * left * TAU * frequency * cos),
        ]
    }
}

/// The sweep about straight running, the speed held.
pub(super) struct Sweeping {
    chirp: Chirp,
    straight: Inputs<f64>,
    hold: SpeedHold,
}

impl Controls<1> for Sweeping {
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

impl Chirp {
    /// The sweep of a car about straight running.
    pub(super) fn ready<'m>(
        &self,
        model: &'m Model,
        straight: &Trim,
        step: f64,
    ) -> Ready<'m, Sweeping, { STATES + 1 }> {
        Ready {
            model,
            road: None,
            controls: Sweeping {
                chirp: *self,
                straight: straight.inputs,
                hold: SpeedHold::new(
                    model,
                    straight.condition.speed,
                    straight.inputs.drive_torque,
                ),
            },
            start: join(&straight.state, &[0.0]),
            breaks: vec![0.0, self.duration + DYING],
            step,
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
}

/// Transforms what a sweep excited.
pub(super) fn transformed(
    driven: Driven<Sweeping, { STATES + 1 }>,
    frequencies: Vec<f64>,
) -> Result<Response, Outcome> {
    if !driven.drive.ending.outcome.is_completed() {
        return Err(driven.drive.ending.outcome);
    }
    let trace = driven.recorder.finish();
    let mut values = [const { Vec::new() }; 4];
    let columns: [&[f64]; 5] = std::array::from_fn(|i| trace.columns[i].as_slice());
    for &f in &frequencies {
        let [steer, answers @ ..] = transforms(&trace.time, &columns, f);
        for (value, answer) in values.iter_mut().zip(answers) {
            value.push(answer / steer);
        }
    }
    Ok(Response {
        frequencies,
        values,
    })
}

/// The Fourier integrals of the departures from the first values, by the trapezoidal rule on even samples:
/// exact for what is at rest at both ends and has no part near the sampling frequency.
fn transforms<const C: usize>(
    time: &[f64],
    columns: &[&[f64]; C],
    frequency: f64,
) -> [Complex<f64>; C] {
    let h = time[1] - time[0];
    let (s, c) = Real::sin_cos(-TAU * frequency * h);
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
