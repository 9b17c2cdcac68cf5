//! The steering wheel of a sine with dwell: its angle over time, and the controls that turn it.

use std::f64::consts::TAU;

use axletree_scalar::lone;
use axletree_simulation::drive::{Action, Controls};
use axletree_vehicle::model::layout::{Inputs, STATES};

/// One sine, held for a while at its second peak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DwellSine {
    /// Amplitude, positive where the first turn is to the left `[rad]`.
    pub amplitude: f64,
    /// Frequency `[Hz]`.
    pub frequency: f64,
    /// Pause at the second peak `[s]`.
    pub dwell: f64,
}

impl DwellSine {
    /// Time of the second peak `[s]`.
    pub fn second_peak(&self) -> f64 {
        0.75 / self.frequency
    }

    /// End of steering `[s]`.
    pub fn end(&self) -> f64 {
        1.0 / self.frequency + self.dwell
    }

    /// Times at which the rate has a kink or a jump: start and end of the dwell, end of the sine
    /// `[s]`.
    pub fn kinks(&self) -> [f64; 3] {
        let peak = self.second_peak();
        [peak, peak + self.dwell, self.end()]
    }

    /// Angle `[rad]` and its rate `[rad/s]` at a time from the beginning of steering `[s]`.
    pub fn at(&self, t: f64) -> [f64; 2] {
        let peak = self.second_peak();
        let on = if t <= 0.0 || t >= self.end() {
            return [0.0; 2];
        } else if t < peak {
            t
        } else if t < peak + self.dwell {
            return [-self.amplitude, 0.0];
        } else {
            t - self.dwell
        };
        let turn = TAU * self.frequency;
        let (sin, cos) = lone::sin_cos(turn * on);
        [self.amplitude * sin, self.amplitude * turn * cos]
    }
}

/// The sine about straight running, the throttle closed.
pub(super) struct DwellControls {
    pub straight: Inputs<f64>,
    pub sine: DwellSine,
}

impl Controls<0> for DwellControls {
    #[inline(always)]
    fn act(&self, time: f64, _: &[f64; STATES], _: &[f64; 0]) -> Action<0> {
        let [angle, rate] = self.sine.at(time);
        Action {
            inputs: Inputs {
                steering_wheel: self.straight.steering_wheel + angle,
                steering_wheel_rate: rate,
                throttle: 0.0,
                ..self.straight
            },
            own_rate: [],
        }
    }
}
