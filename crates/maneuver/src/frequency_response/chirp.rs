//! A sine whose frequency grows by equal ratios in equal times.
//!
//! ```text
//! u(t) = A g(t) sin(phi(t)),   f(t) = f_0 (f_1/f_0)^(t/T),   phi = 2 pi int f dt
//! ```
//!
//! with the amplitude A, the fade g that grows from 0 to 1 and falls back, the duration T.

use std::f64::consts::TAU;

use axletree_scalar::lone;
use axletree_simulation::road::smooth_step;

/// Octaves by which the sweep reaches beyond the frequencies of the response, so that its ends,
/// which fade, lie outside `[-]`.
const OCTAVES_BEYOND: f64 = 0.7;

/// A sine whose frequency grows by equal ratios in equal times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Chirp {
    /// Amplitude `[rad]`.
    pub amplitude: f64,
    /// Frequency at the start `[Hz]`.
    pub from: f64,
    /// Frequency at the end `[Hz]`.
    pub to: f64,
    /// Duration `[s]`.
    pub duration: f64,
    /// Time in which it grows at its start and fades at its end `[s]`.
    pub fade: f64,
}

impl Chirp {
    /// A sweep over a band of frequencies.
    pub fn over([low, high]: [f64; 2], duration: f64, amplitude: f64) -> Self {
        let beyond = lone::pow(2f64, OCTAVES_BEYOND);
        let (from, to) = (low / beyond, high * beyond);
        Chirp {
            amplitude,
            from,
            to,
            duration,
            // Grown before the lowest frequency of the response is reached.
            fade: duration * lone::ln(beyond) / lone::ln(to / from),
        }
    }

    /// Angle `[rad]` and its rate `[rad/s]` at a time from the start.
    pub fn at(&self, t: f64) -> [f64; 2] {
        if t <= 0.0 || t >= self.duration {
            return [0.0; 2];
        }
        let growth = lone::ln(self.to / self.from) / self.duration;
        let frequency = self.from * lone::exp(growth * t);
        let phase = TAU * (frequency - self.from) / growth;
        let [grown, growing] = smooth_step(t / self.fade);
        let [left, leaving] = smooth_step((self.duration - t) / self.fade);
        let (sin, cos) = lone::sin_cos(phase);
        [
            self.amplitude * grown * left * sin,
            self.amplitude
                * ((growing * left - grown * leaving) / self.fade * sin
                    + grown * left * TAU * frequency * cos),
        ]
    }
}
