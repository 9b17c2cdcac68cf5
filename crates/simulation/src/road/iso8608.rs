//! Random roads after ISO 8608: two tracks with the spectrum of a class and a given coherence.
//!
//! One-sided displacement spectral density over spatial frequency n [cycles/m] (ISO 8608:2016, from
//! memory):
//!
//! ```text
//! G(n) = G(n0) (n/n0)^-2,   n0 = 0.1 cycles/m
//! G(n0) = 16, 64, 256, 1024 x 1e-6 m^3 (classes A to D, means)
//! ```
//!
//! The two tracks are `mean + difference/2` and `mean - difference/2` of two independent processes,
//! sums of sines with random phases (Shinozuka and Jan, J. Sound and Vibration 25, 1972). The band
//! is cut into narrow ones of equal ratio; each has one sine at a random place in it, with the
//! power of the whole narrow band, so that nothing repeats and the power of every band is met
//! exactly.
//!
//! The cross spectrum of the tracks over their common spectrum is real by symmetry. On an isotropic
//! surface it follows from the spectrum alone (Dodds and Robson, "The description of road surface
//! roughness", J. Sound and Vibration 31, 1973; from memory). A two-dimensional density falling
//! with the third power of the wave number gives `G ~ n^-2` along any line, and between lines a
//! distance B apart, by Basset's integral (DLMF 10.32.11), the coherency
//!
//! ```text
//! gamma(n) = x K_1(x),   x = 2 pi n B
//! ```
//!
//! Long waves lift both wheels alike, short ones each by itself. The mean has the density
//! `G (1 + gamma)/2`, half of the difference `G (1 - gamma)/2`.

use axletree_scalar::{Real, elementary, lone};
use std::f64::consts::TAU;

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde::{Deserialize, Serialize};

use super::line::RoadLine;
use super::tracks::Tracks;
use axletree_numerics::spline::UniformSpline;

/// Reference spatial frequency n0 `[cycles/m]`.
pub const REFERENCE: f64 = 0.1;
/// Sines per octave of each process.
const PER_OCTAVE: f64 = 24.0;
/// Points of the table per shortest wave; the spline then follows it to 0.1 %.
const POINTS_A_WAVE: f64 = 8.0;

/// Road classes; the means of the standard (from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum RoadClass {
    /// Very good: 16e-6 m^3.
    A,
    /// Good: 64e-6 m^3.
    B,
    /// Average: 256e-6 m^3.
    C,
    /// Poor: 1024e-6 m^3.
    D,
}

impl RoadClass {
    /// Displacement spectral density at the reference frequency `[m^3]`.
    pub fn density(self) -> f64 {
        1e-6 * match self {
            RoadClass::A => 16.0,
            RoadClass::B => 64.0,
            RoadClass::C => 256.0,
            RoadClass::D => 1024.0,
        }
    }
}

/// Coherence of the two tracks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Coherence {
    /// That of an isotropic surface.
    Isotropic,
    /// Both tracks are the same.
    Same,
    /// The tracks are independent.
    Independent,
}

/// A random road.
///
/// ```
/// use axletree_simulation::road::{RoadClass, RoughRoad};
///
/// let road = RoughRoad { class: RoadClass::B, ..RoughRoad::default() };
/// let [left, right] = road.profiles(50.0);
/// assert_eq!(left, road.profiles(50.0)[0]);
/// assert_ne!(left, right);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct RoughRoad {
    /// Class.
    pub class: RoadClass,
    /// Seed of the random numbers: equal seeds give equal roads, bit for bit.
    pub seed: u64,
    /// Coherence of the two tracks.
    pub coherence: Coherence,
    /// Distance of the tracks `[m]`.
    pub track: f64,
    /// Longest wave `[m]`.
    pub longest: f64,
    /// Shortest wave `[m]`.
    pub shortest: f64,
}

impl Default for RoughRoad {
    fn default() -> Self {
        RoughRoad {
            class: RoadClass::C,
            seed: 1,
            coherence: Coherence::Isotropic,
            // That of an ordinary car.
            track: 1.5,
            // The standard's band, 0.011 to 2.83 cycles/m (from memory).
            longest: 1.0 / 0.011,
            shortest: 1.0 / 2.83,
        }
    }
}

/// Modified Bessel function of the second kind of order one, `int_0^inf exp(-x cosh t) cosh t dt`
/// (DLMF 10.32.9), by the trapezoidal rule, which converges exponentially here.
fn bessel_k1(x: f64) -> f64 {
    let h = 0.05;
    let mut sum = 0.5 * lone::exp(-x);
    for i in 1..2000 {
        let e = lone::exp(h * f64::from(i));
        let c = 0.5 * (e + 1.0 / e);
        let term = lone::exp(-x * c) * c;
        sum += term;
        if term < 1e-17 * sum {
            break;
        }
    }
    h * sum
}

impl RoughRoad {
    /// Displacement spectral density of either track `[m^3]` at a spatial frequency `[cycles/m]`.
    pub fn density(&self, n: f64) -> f64 {
        self.class.density() * elementary::powi(n / REFERENCE, -2)
    }

    /// Coherency gamma, the cross spectrum of the tracks over the spectrum of either `[-]`, at a
    /// spatial frequency `[cycles/m]`.
    pub fn coherency(&self, n: f64) -> f64 {
        match self.coherence {
            Coherence::Same => 1.0,
            Coherence::Independent => 0.0,
            Coherence::Isotropic => {
                let x = TAU * n * self.track;
                if x > 40.0 { 0.0 } else { x * bessel_k1(x) }
            }
        }
    }

    /// Root mean square of the height of either track between two spatial frequencies `[m]`.
    pub fn rms(&self, from: f64, to: f64) -> f64 {
        (self.class.density() * REFERENCE * REFERENCE * (1.0 / from - 1.0 / to)).sqrt()
    }

    /// The left and the right profile over a length `[m]`.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count: whole, small, not negative"
    )]
    pub fn profiles(&self, length: f64) -> [UniformSpline; 2] {
        let spacing = self.shortest / POINTS_A_WAVE;
        let count = (length / spacing).ceil() as usize + 4;
        let (low, high) = (1.0 / self.longest, 1.0 / self.shortest);
        let bands = (PER_OCTAVE * (lone::ln(high / low) / std::f64::consts::LN_2))
            .ceil()
            .max(1.0);
        let ratio = lone::pow(high / low, 1.0 / bands);
        let mut random = ChaCha8Rng::seed_from_u64(self.seed);
        let mut process = |share: &dyn Fn(f64) -> f64| {
            let mut heights = vec![0.0; count];
            for band in 0..bands as i32 {
                let from = low * elementary::powi(ratio, band);
                let to = from * ratio;
                let n = from * lone::pow(ratio, random.random::<f64>());
                let phase = TAU * random.random::<f64>();
                let power = Real::sq(self.rms(from, to)) * share(self.coherency(n));
                // The spline's values at its points are weighted means of three coefficients.
                let turn = TAU * n * spacing;
                let amplitude = (2.0 * power).sqrt() * 6.0 / (4.0 + 2.0 * lone::cos(turn));
                add_sine(&mut heights, amplitude, turn, phase);
            }
            heights
        };
        let mean = process(&|gamma| 0.5 * (1.0 + gamma));
        let half_difference = process(&|gamma| 0.5 * (1.0 - gamma));
        [1.0, -1.0].map(|side| {
            let heights = mean.iter().zip(&half_difference);
            UniformSpline::new(heights.map(|(m, d)| m + side * d).collect(), spacing)
        })
    }

    /// The road along a line from a station on, over a length, growing from flat over `fade` `[m]`.
    pub fn along(&self, line: RoadLine, station: f64, length: f64, fade: f64) -> Tracks {
        Tracks {
            line,
            station,
            fade,
            profiles: self.profiles(length),
        }
    }
}

/// Adds a sine to equally spaced values, by the rotation of a pointer, computed anew for every
/// block so that rounding does not accumulate.
fn add_sine(values: &mut [f64], amplitude: f64, turn: f64, phase: f64) {
    const BLOCK: usize = 256;
    let (sin, cos) = lone::sin_cos(turn);
    for (block, chunk) in values.chunks_mut(BLOCK).enumerate() {
        let start = phase + turn * (block * BLOCK) as f64;
        let (mut y, mut x) = lone::sin_cos(start);
        for value in chunk {
            *value += amplitude * y;
            (y, x) = (y * cos + x * sin, x * cos - y * sin);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Abramowitz and Stegun, table 9.8 (from memory): K_1(1) = 0.6019072302, K_1(0.1) =
    /// 9.8538447809, K_1(5) = 0.0040446134.
    #[test]
    fn val_bessel() {
        for (x, want) in [
            (1.0, 0.601_907_230_2),
            (0.1, 9.853_844_780_9),
            (5.0, 0.004_044_613_4),
        ] {
            assert!((bessel_k1(x) / want - 1.0f64).abs() < 1e-7, "{x}");
        }
    }
}
