//! The steering-wheel angle of a sine with dwell.

use axletree_scalar::Real;
use std::f64::consts::TAU;

/// One sine, held for a while at its second peak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DwellSine {
    /// Amplitude, first to the left positive [rad].
    pub amplitude: f64,
    /// Frequency [Hz].
    pub frequency: f64,
    /// Pause at the second peak [s].
    pub dwell: f64,
}

impl DwellSine {
    /// Time of the second peak [s].
    pub fn second_peak(&self) -> f64 {
        0.75 / self.frequency
    }

    /// End of steering [s].
    pub fn end(&self) -> f64 {
        1.0 / self.frequency + self.dwell
    }

    /// Times at which the rate has a kink or a jump: the ends of the dwell and of the sine [s].
    pub fn kinks(&self) -> [f64; 3] {
        let peak = self.second_peak();
        [peak, peak + self.dwell, self.end()]
    }

    /// Angle [rad] and its rate [rad/s] at a time from the beginning of steering.
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
        let (sin, cos) = Real::sin_cos(turn * on);
        [self.amplitude * sin, self.amplitude * turn * cos]
    }
}
