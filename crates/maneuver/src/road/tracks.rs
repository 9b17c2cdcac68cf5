//! Two height profiles by table, one for the left wheels and one for the right.
//!
//! Between the points of the table a profile is a uniform cubic B-spline: twice continuously
//! differentiable, four coefficients a look (de Boor, *A Practical Guide to Splines*, 1978).

use axletree_vehicle::model::{Patch, Road};

use super::line::Line;
use super::shape::smooth_step;

/// One profile.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// Spline coefficients; the first one belongs to the station one spacing before zero.
    coefficients: Vec<f64>,
    /// Distance of the table's points [m].
    spacing: f64,
}

impl Profile {
    /// From spline coefficients.
    ///
    /// # Panics
    /// With fewer than four.
    pub fn new(coefficients: Vec<f64>, spacing: f64) -> Self {
        assert!(coefficients.len() >= 4, "a cubic needs four coefficients");
        Profile {
            coefficients,
            spacing,
        }
    }

    /// Length of the table [m].
    pub fn length(&self) -> f64 {
        self.spacing * (self.coefficients.len() - 3) as f64
    }

    /// Height [m] and slope [-] at a station; outside the table those of its ends.
    #[inline]
    pub fn height_and_slope(&self, station: f64) -> [f64; 2] {
        let last = self.coefficients.len() - 4;
        let place = (station / self.spacing).clamp(0.0, (last + 1) as f64);
        let i = (place as usize).min(last);
        let u = place - i as f64;
        let c = &self.coefficients[i..i + 4];
        let v = 1.0 - u;
        let value = v * v * v * c[0]
            + (4.0 + u * u * (3.0 * u - 6.0)) * c[1]
            + (4.0 + v * v * (3.0 * v - 6.0)) * c[2]
            + u * u * u * c[3];
        let slope =
            -v * v * c[0] + u * (3.0 * u - 4.0) * c[1] - v * (3.0 * v - 4.0) * c[2] + u * u * c[3];
        [value / 6.0, 0.5 * slope / self.spacing]
    }
}

/// A road with two tracks along a line, fading in from flat.
#[derive(Clone, Debug, PartialEq)]
pub struct Tracks {
    /// Along what stations are counted.
    pub line: Line,
    /// Where the profiles begin [m].
    pub station: f64,
    /// Length over which they grow to their full height [m].
    pub fade: f64,
    /// Left and right.
    pub profiles: [Profile; 2],
}

impl Tracks {
    /// Height [m] and slope [-] of the left (0) or right (1) track at a station.
    #[inline]
    pub fn height_and_slope(&self, side: usize, station: f64) -> [f64; 2] {
        let distance = station - self.station;
        let [height, slope] = self.profiles[side].height_and_slope(distance);
        let [share, growth] = smooth_step(distance / self.fade);
        [share * height, share * slope + growth / self.fade * height]
    }
}

impl Road<f64> for Tracks {
    #[inline]
    fn under(&self, wheel: usize, position: [f64; 2], velocity: [f64; 2]) -> Patch<f64> {
        let [station, rate] = self.line.station(position, velocity);
        let [height, slope] = self.height_and_slope(wheel % 2, station);
        Patch {
            height,
            rise: slope * rate,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A spline whose coefficients lie on a line is that line, and its slope is the derivative where they
    /// do not.
    #[test]
    fn law_spline() {
        let line = Profile::new((-1..9).map(|i| 2.0 + 0.3 * f64::from(i)).collect(), 0.5);
        for s in [0.0, 0.2, 1.7, 3.5] {
            let [v, d] = line.height_and_slope(s);
            assert!((v - (2.0 + 0.6 * s)).abs() < 1e-14 && (d - 0.6).abs() < 1e-14);
        }
        assert!((line.length() - 3.5).abs() < 1e-15);
        let wave = Profile::new((0..40).map(|i| f64::from(i).sin()).collect(), 0.5);
        for i in 1..1800 {
            let s = 0.01 * f64::from(i);
            let h = 1e-5;
            let [_, d] = wave.height_and_slope(s);
            let by_difference =
                (wave.height_and_slope(s + h)[0] - wave.height_and_slope(s - h)[0]) / (2.0 * h);
            assert!((d - by_difference).abs() < 1e-8);
        }
    }
}
