//! What a driver's hands can do.
//!
//! Figures, recalled and not re-read (flag M of the validation cases): muscle lag 0.1 to 0.2 s of first
//! order (McRuer and Krendel, *Mathematical Models of Human Pilot Behavior*, AGARD-AG-188, 1974; Pick
//! and Cole, Vehicle System Dynamics, 2007-08); a soft cap of 600 to 800 deg/s on the peak
//! steering-wheel rate of a skilled driver in a slalom (common practice, weak: run studies at 500, 700
//! and 900).

use axletree_scalar::Real;
use serde::{Deserialize, Serialize};

/// Limits of the hands on the steering wheel.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct HandLimits {
    /// Time constant of arms and hands [s].
    pub lag: f64,
    /// Largest rate of the steering wheel [rad/s].
    pub rate: f64,
}

impl Default for HandLimits {
    fn default() -> Self {
        HandLimits {
            // The quick end of 0.1 to 0.2 s (M).
            lag: 0.1,
            // Middle of the range for a skilled driver (common practice, weak).
            rate: 700f64.to_radians(),
        }
    }
}

impl HandLimits {
    /// Rate of the steering-wheel angle when the driver wants `wanted` and has `angle` [rad/s]:
    /// a first-order lag whose rate saturates smoothly, `r tanh((wanted - angle)/(lag r))`.
    #[inline(always)]
    pub fn hand_rate<T: Real>(&self, wanted: T, angle: T) -> T {
        let reach = 1.0 / (self.lag * self.rate);
        (wanted - angle).scale(reach).tanh().scale(self.rate)
    }
}

/// The largest amplitude of a sine of the steering wheel within a rate limit [rad].
pub fn largest_sine(rate: f64, hertz: f64) -> f64 {
    rate / (std::f64::consts::TAU * hertz)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arithmetic of validation case D7: 68.209261 and 79.577472 deg, and 47.746483 deg.
    #[test]
    fn val_d7_sine_within_a_rate_limit() {
        for (rate, hertz, want) in [
            (300.0, 0.7, 68.209261),
            (300.0, 1.0, 47.746483),
            (500.0, 1.0, 79.577472),
            (700.0, 0.7, 159.15494),
        ] {
            assert!((largest_sine(rate, hertz) / want - 1.0f64).abs() < 1e-6);
        }
    }

    #[test]
    fn law_small_moves_lag_and_large_ones_saturate() {
        let hands = HandLimits::default();
        assert!((hands.hand_rate(1e-3, 0.0) / 1e-2 - 1.0).abs() < 1e-4);
        let fast = hands.hand_rate(20.0, 0.0);
        assert!(fast <= hands.rate && fast > 0.999 * hands.rate);
        assert!((hands.hand_rate(-20.0, 0.0) + fast).abs() < 1e-12);
    }
}
