//! Two tabulated height profiles, one for the left wheels and one for the right.
//!
//! A profile is a uniform cubic B-spline with the table as coefficients
//! ([`axletree_numerics::spline`]).

use axletree_vehicle::model::{Patch, Road};

use super::line::RoadLine;
use super::shape::smooth_step;
use axletree_numerics::spline::UniformSpline;

/// A road with two tracks along a line, fading in from flat.
#[derive(Clone, Debug, PartialEq)]
pub struct Tracks {
    /// Line along which stations count.
    pub line: RoadLine,
    /// Station at which the profiles begin `[m]`.
    pub station: f64,
    /// Length over which they grow to their full height `[m]`.
    pub fade: f64,
    /// Profiles of the left and the right track.
    pub profiles: [UniformSpline; 2],
}

impl Tracks {
    /// Height `[m]` and slope `[-]` of the left (0) or right (1) track at a station `[m]`.
    #[inline(always)]
    pub fn height_and_slope(&self, side: usize, station: f64) -> [f64; 2] {
        let distance = station - self.station;
        let [height, slope] = self.profiles[side].value_and_slope(distance);
        let [share, growth] = smooth_step(distance / self.fade);
        [share * height, share * slope + growth / self.fade * height]
    }
}

impl Road<f64> for Tracks {
    #[inline(always)]
    fn under(&self, wheel: usize, position: [f64; 2], velocity: [f64; 2]) -> Patch<f64> {
        let [station, rate] = self.line.station(position, velocity);
        let [height, slope] = self.height_and_slope(wheel % 2, station);
        Patch {
            height,
            rise: slope * rate,
        }
    }
}
