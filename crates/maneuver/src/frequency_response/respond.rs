//! The frequency response by either method, and its metrics.

use std::f64::consts::FRAC_1_SQRT_2;

use axletree_numerics::interrupt::Interrupt;
use axletree_scalar::LANES;
use axletree_simulation::channels as ch;
use axletree_simulation::channels::Channel;
use axletree_simulation::drive::Validity;
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::{Ending, ManeuverError, Outcome, Trace, WheelLifts};
use axletree_vehicle::Model;
use axletree_vehicle::{OUTPUTS, linearize};
use nalgebra::Complex;

use super::chirp::Chirp;
use super::response::{RESPONSES, SteeringResponse};
use super::settings::{FrequencyMethod, FrequencyResponse, NAME};
use super::swept_sine;
use crate::initial_state;
use crate::maneuver::{Maneuver, Run, single};
use crate::measured_by::{MeasuredBy, measures, metrics};
use crate::side_by_side::{self, Integration};

/// Numbers of the outputs in [`RESPONSES`].
const YAW_RATE: usize = 0;
const LATERAL_ACCELERATION: usize = 1;
const ROLL: usize = 2;

/// Frequency at which phases and gain ratios are read `[Hz]`.
const READING: f64 = 1.0;

/// The metrics of a frequency response.
const METRICS: &[MeasuredBy<SteeringResponse>] = &[
    MeasuredBy(&m::YAW_RATE_GAIN_LOW, |r| r.low(YAW_RATE)),
    MeasuredBy(&m::YAW_RATE_PEAK_FREQUENCY, |r| {
        r.peak(&r.gains(YAW_RATE)).1
    }),
    MeasuredBy(&m::YAW_RATE_PEAK_GAIN_RATIO, |r| r.peak_ratio(YAW_RATE)),
    MeasuredBy(&m::YAW_RATE_BANDWIDTH, |r| r.bandwidth(YAW_RATE)),
    MeasuredBy(&m::YAW_RATE_PHASE, |r| r.phase(YAW_RATE)),
    MeasuredBy(&m::LATERAL_ACCELERATION_GAIN_LOW, |r| {
        r.low(LATERAL_ACCELERATION)
    }),
    MeasuredBy(&m::LATERAL_ACCELERATION_GAIN_RATIO, |r| {
        let gains = r.gains(LATERAL_ACCELERATION);
        r.read(&gains, READING) / gains[0]
    }),
    MeasuredBy(&m::LATERAL_ACCELERATION_BANDWIDTH, |r| {
        r.bandwidth(LATERAL_ACCELERATION)
    }),
    MeasuredBy(&m::LATERAL_ACCELERATION_PHASE, |r| {
        r.phase(LATERAL_ACCELERATION)
    }),
    MeasuredBy(&m::ROLL_ANGLE_GAIN_LOW, |r| r.low(ROLL)),
    MeasuredBy(&m::ROLL_ANGLE_PEAK_GAIN_RATIO, |r| r.peak_ratio(ROLL)),
    MeasuredBy(&m::ROLL_ANGLE_PHASE, |r| r.phase(ROLL)),
];

impl SteeringResponse {
    /// The response, if every gain and phase is a number.
    fn finite(self) -> Result<Self, Outcome> {
        let bad = |values: &Vec<Complex<f64>>| values.iter().any(|v| !(v.re + v.im).is_finite());
        match self.values.iter().position(bad) {
            Some(output) => Err(Outcome::NotFinite {
                group: RESPONSES[output],
            }),
            None => Ok(self),
        }
    }

    /// Gain of an output at the lowest frequency.
    fn low(&self, output: usize) -> f64 {
        self.gains(output)[0]
    }

    /// Largest gain of an output over that at the lowest frequency `[-]`.
    fn peak_ratio(&self, output: usize) -> f64 {
        let gains = self.gains(output);
        self.peak(&gains).0 / gains[0]
    }

    /// Frequency at which an output has half of its power at the lowest frequency `[Hz]`.
    fn bandwidth(&self, output: usize) -> f64 {
        let gains = self.gains(output);
        self.falls_to(&gains, FRAC_1_SQRT_2 * gains[0])
    }

    /// Phase of an output at [`READING`] `[rad]`.
    fn phase(&self, output: usize) -> f64 {
        self.read(&self.phases(output), READING)
    }
}

impl FrequencyResponse {
    /// The response of a car.
    ///
    /// # Errors
    /// The outcome of a car that has no equilibrium, or whose sweep does not complete.
    pub fn respond(
        &self,
        model: &Model,
        interrupt: Interrupt<'_>,
    ) -> Result<SteeringResponse, Outcome> {
        single(self.respond_all(&[model], interrupt))
    }

    /// The responses of several cars, in their order.
    fn respond_all(
        &self,
        models: &[&Model],
        interrupt: Interrupt<'_>,
    ) -> Vec<Result<SteeringResponse, Outcome>> {
        let responses = match self.method {
            FrequencyMethod::Linearization => models
                .iter()
                .map(|model| self.linear_response(model, interrupt))
                .collect(),
            FrequencyMethod::SweptSine {
                lateral_acceleration,
                duration,
            } => side_by_side::perform(
                models,
                |model| {
                    let speed = self.speed;
                    let straight = initial_state::straight(model, speed, self.friction)?;
                    let corner =
                        initial_state::corner(model, speed, lateral_acceleration, self.friction)?;
                    let amplitude = corner.inputs.steering_wheel - straight.inputs.steering_wheel;
                    let chirp = Chirp::over(self.frequencies, duration, amplitude);
                    let integration = Integration {
                        step: self.step,
                        integrator: self.integrator,
                    };
                    Ok(((), swept_sine::start(chirp, model, &straight, integration)))
                },
                |(), driven| swept_sine::transformed(driven, self.grid(), interrupt),
                Err,
                &Validity::default(),
                interrupt,
            ),
        };
        responses
            .into_iter()
            .map(|response| response.and_then(SteeringResponse::finite))
            .collect()
    }

    /// The response of a car's linearization about straight running.
    fn linear_response(
        &self,
        model: &Model,
        interrupt: Interrupt<'_>,
    ) -> Result<SteeringResponse, Outcome> {
        let straight = initial_state::straight(model, self.speed, self.friction)?;
        let linearization = linearize(model, &straight);
        let rows = RESPONSES.map(|name| {
            OUTPUTS
                .iter()
                .position(|o| o.0 == name)
                .unwrap_or(usize::MAX)
        });
        let mut values = [const { Vec::new() }; 4];
        let frequencies = self.grid();
        for &f in &frequencies {
            if interrupt.stopped() {
                return Err(Outcome::Interrupted);
            }
            let outputs = linearization.steering_response(f);
            for (column, row) in values.iter_mut().zip(rows) {
                column.push(outputs[row]);
            }
        }
        Ok(SteeringResponse {
            frequencies,
            values,
            lifts: WheelLifts::default(),
        })
    }
}

/// Metrics of a response, or none.
fn measured(response: &Result<SteeringResponse, Outcome>) -> Measures {
    let ending = match response {
        Ok(response) => Ending {
            lifts: response.lifts,
            ..Ending::completed(0.0)
        },
        Err(outcome) => Ending::at(*outcome, 0.0),
    };
    measures(METRICS, NAME, ending, response.as_ref().ok())
}

/// Gains and phases over frequency; the time column counts the points.
fn traced(response: &SteeringResponse) -> Trace {
    const PAIRS: [[&Channel; 2]; 4] = [
        [&ch::YAW_RATE_RESPONSE_GAIN, &ch::YAW_RATE_RESPONSE_PHASE],
        [
            &ch::LATERAL_ACCELERATION_RESPONSE_GAIN,
            &ch::LATERAL_ACCELERATION_RESPONSE_PHASE,
        ],
        [
            &ch::ROLL_ANGLE_RESPONSE_GAIN,
            &ch::ROLL_ANGLE_RESPONSE_PHASE,
        ],
        [&ch::SIDESLIP_RESPONSE_GAIN, &ch::SIDESLIP_RESPONSE_PHASE],
    ];
    let mut trace = Trace {
        time: (0..response.frequencies.len()).map(|i| i as f64).collect(),
        ..Trace::default()
    };
    trace.add(&ch::FREQUENCY, response.frequencies.clone());
    for (i, [gain, phase]) in PAIRS.into_iter().enumerate() {
        trace.add(gain, response.gains(i));
        trace.add(phase, response.phases(i));
    }
    trace
}

impl Maneuver for FrequencyResponse {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        metrics(METRICS)
    }

    fn check(&self) -> Result<(), ManeuverError> {
        self.checked()
    }

    fn measure_all(&self, models: &[&Model], interrupt: Interrupt<'_>) -> Vec<Measures> {
        let responses = self.respond_all(models, interrupt);
        responses.iter().map(measured).collect()
    }

    fn record(&self, model: &Model, interrupt: Interrupt<'_>) -> Run {
        let response = self.respond(model, interrupt);
        Run {
            measures: measured(&response),
            trace: response.as_ref().map_or_else(|_| Trace::default(), traced),
        }
    }

    fn side_by_side(&self) -> usize {
        match self.method {
            FrequencyMethod::Linearization => 1,
            // A minute each: as many as there are lanes.
            FrequencyMethod::SweptSine { .. } => LANES,
        }
    }
}
