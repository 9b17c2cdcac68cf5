//! The driver's hands on the steering wheel: a first-order lag with a bounded rate.
//!
//! ```text
//! delta' = r tanh((c - delta)/(tau r))
//! ```
//!
//! delta is the steering-wheel angle, c the angle the driver wants, tau the lag of arms and hands
//! and r the largest rate; all angles are to the left positive. A small move is a lag of tau, a
//! large one saturates smoothly at r.
//!
//! Sources, from memory: muscle lag 0.1 to 0.2 s of first order (McRuer and Krendel, *Mathematical
//! Models of Human Pilot Behavior*, AGARD-AG-188, 1974; Pick and Cole, Vehicle System Dynamics,
//! 2007-08). Peak steering-wheel rate of a skilled driver in a slalom 600 to 800 deg/s: common
//! practice, no source; studies may be run at 500, 700 and 900 deg/s.

use axletree_scalar::Real;
use serde::{Deserialize, Serialize};

/// Rate of fast hands `[rad/s]`: 900 deg/s, the top of the range for drivers at the limit; common
/// practice, no source. Searches for a limit use it, so that the car and not the driver sets it.
pub const FAST_HAND_RATE: f64 = 900f64.to_radians();

/// Lag and largest rate of the hands.
///
/// ```
/// use axletree_simulation::driver::Hands;
///
/// let hands = Hands::default();
/// // A tenth of a radian is made up within the lag, a full turn only at the largest rate.
/// assert!((hands.hand_rate(0.1, 0.0) - 1.0).abs() < 0.01);
/// assert!(hands.hand_rate(6.28, 0.0) <= hands.rate);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Hands {
    /// Time constant of arms and hands `[s]`.
    pub lag: f64,
    /// Largest rate of the steering wheel `[rad/s]`.
    pub rate: f64,
}

impl Default for Hands {
    fn default() -> Self {
        Hands {
            // The quick end of 0.1 to 0.2 s (sources above).
            lag: 0.1,
            // Middle of the range for a skilled driver: common practice, no source.
            rate: 700f64.to_radians(),
        }
    }
}

impl Hands {
    /// Rate of the steering-wheel angle of a driver who wants the angle `wanted` and has `angle`
    /// `[rad/s]`.
    #[inline(always)]
    pub fn hand_rate<T: Real>(&self, wanted: T, angle: T) -> T {
        let reach = 1.0 / (self.lag * self.rate);
        (wanted - angle).scale(reach).tanh().scale(self.rate)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn law_small_moves_lag_and_large_ones_saturate() {
        let hands = Hands::default();
        assert!((hands.hand_rate(1e-3, 0.0) / 1e-2 - 1.0).abs() < 1e-4);
        let fast = hands.hand_rate(20.0, 0.0);
        assert!(fast <= hands.rate && fast > 0.999 * hands.rate);
        assert!((hands.hand_rate(-20.0, 0.0) + fast).abs() < 1e-12);
    }
}
