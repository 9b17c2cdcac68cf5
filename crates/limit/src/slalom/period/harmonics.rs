//! Learned steering: a constant and odd harmonics of the position along the course.
//!
//! ```text
//! delta_command(X) = (d_0 + sum over k = 1, 3, ... of A_k cos(k pi X/S) + B_k sin(k pi X/S))/gain
//! ```
//!
//! X = 0 is a cone passed on its left, S the spacing. Amplitudes are mean road-wheel angles, so
//! that cars of different steering ratio compare. Odd harmonics alone change sign from cone to
//! cone; the constant is for cars that are not mirror-symmetric.

use std::f64::consts::PI;

use axletree_scalar::Real;

/// Steering as a function of the position along the course.
#[derive(Clone, Debug, PartialEq)]
pub struct HarmonicSteering {
    /// Constant `[rad, mean road-wheel angle, left positive]`.
    pub constant: f64,
    /// Cosine and sine amplitude of each odd harmonic `[rad, mean road-wheel angle]`.
    pub amplitudes: Vec<[f64; 2]>,
    /// Distance between neighboring cones `[m]`.
    pub spacing: f64,
    /// Mean road-wheel angle per steering-wheel angle `[-]`.
    pub gain: f64,
}

impl HarmonicSteering {
    /// Steering-wheel angle at a position `[rad, left positive]`; the first cone passed on its left
    /// is at zero.
    pub fn command(&self, x: f64) -> f64 {
        let mut sum = self.constant;
        for (i, [a, b]) in self.amplitudes.iter().enumerate() {
            let [c, s] = basis(i, x / self.spacing);
            sum += a * c + b * s;
        }
        sum / self.gain
    }
}

/// Cosine and sine of the `i`-th odd harmonic (from zero) at a position in spacings.
pub(crate) fn basis(i: usize, place: f64) -> [f64; 2] {
    let (s, c) = Real::sin_cos((2 * i + 1) as f64 * PI * place);
    [c, s]
}
