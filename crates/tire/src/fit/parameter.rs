//! The inputs that a fit can free, the rows each needs, and the coordinate it is searched in.

use axletree_scalar::{Real, lone};

use crate::input::Input;
use crate::inputs::input;

/// The measured channel that determines an input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum FittedChannel {
    /// Longitudinal force.
    Longitudinal,
    /// Lateral force.
    Lateral,
    /// Aligning moment.
    Moment,
}

impl FittedChannel {
    /// Its place among (F_x, F_y, M_z).
    pub fn index(self) -> usize {
        match self {
            FittedChannel::Longitudinal => 0,
            FittedChannel::Lateral => 1,
            FittedChannel::Moment => 2,
        }
    }
}

/// How far along the force curve the rows reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum RowReach {
    /// Not yet known.
    Unknown,
    /// Largest slip along and across, 1 at the peak.
    Known([f64; 2]),
}

/// The coordinate in which an input is searched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Coordinate {
    /// The input itself.
    Linear,
    /// Its logarithm, so that a step is a factor.
    Log,
    /// Its inverse square, for a load in kilonewtons: a stiffness that just grows with load is near
    /// zero.
    InverseSquare,
    /// ln(1 - E), for a curvature E below 1.
    Curvature,
    /// The logit of its place between the limits.
    Logit,
}

/// Least lower limit of a logarithm, relative to the upper limit.
const LEAST_SHARE: f64 = 1e-6;

/// Largest logit: within a thousandth of the range, a limit counts as reached.
const LARGEST_LOGIT: f64 = 7.0;

/// An input that can be fitted.
#[derive(Debug)]
pub(crate) struct Parameter {
    /// The input.
    pub input: &'static Input,
    /// The channel that determines it.
    pub channel: FittedChannel,
    /// Number of different loads needed.
    pub loads: usize,
    /// Number of different pressures needed.
    pub pressures: usize,
    /// Whether inclination is needed.
    pub camber: bool,
    /// Slip that the rows must reach, 1 at the peak. `[-]`
    pub reach: f64,
    /// Whether the first pass, before the reach is known, fits it.
    pub first: bool,
    /// Its coordinate.
    pub coordinate: Coordinate,
}

impl Parameter {
    /// The limits of the input, those of its declaration. `[SI]`
    fn range(&self) -> [f64; 2] {
        let [low, high] = self.input.range_si();
        match self.coordinate {
            Coordinate::Log => [low.max(LEAST_SHARE * high), high],
            _ => [low, high],
        }
    }

    /// From a value of the input to its coordinate.
    pub fn to_coordinate(&self, value: f64) -> f64 {
        let [low, high] = self.range();
        let value = value.clamp(low, high);
        match self.coordinate {
            Coordinate::Linear => value,
            Coordinate::Log => lone::ln(value),
            Coordinate::InverseSquare => Real::sq(1e3 / value),
            Coordinate::Curvature => lone::ln(1.0 - value),
            Coordinate::Logit => {
                lone::ln((value - low) / (high - value)).clamp(-LARGEST_LOGIT, LARGEST_LOGIT)
            }
        }
    }

    /// From the coordinate to the input, which is in its range whatever the coordinate.
    pub fn value(&self, x: f64) -> f64 {
        let [low, high] = self.range();
        // At a limit it is the limit itself, without rounding.
        if self.coordinate != Coordinate::Logit
            && let Some(end) = [low, high]
                .into_iter()
                .find(|v| self.to_coordinate(*v).to_bits() == x.to_bits())
        {
            return end;
        }
        match self.coordinate {
            Coordinate::Linear => x,
            Coordinate::Log => Real::exp(x),
            Coordinate::InverseSquare => 1e3 / x.max(f64::MIN_POSITIVE).sqrt(),
            Coordinate::Curvature => 1.0 - Real::exp(x),
            Coordinate::Logit => low + (high - low) / (1.0 + Real::exp(-x)),
        }
        // Rounding near a limit must not leave the range.
        .clamp(low, high)
    }

    /// Least and largest coordinate.
    pub fn limits(&self) -> [f64; 2] {
        let [a, b] = self.range().map(|value| self.to_coordinate(value));
        [a.min(b), a.max(b)]
    }

    /// Whether a coordinate is at a limit.
    pub fn at_limit(&self, x: f64) -> bool {
        self.limits().contains(&x)
    }

    /// Change of the input with its coordinate.
    pub fn slope(&self, x: f64) -> f64 {
        match self.coordinate {
            Coordinate::Linear => 1.0,
            Coordinate::Log => Real::exp(x),
            Coordinate::InverseSquare => -500.0 * lone::pow(x, -1.5),
            Coordinate::Curvature => -Real::exp(x),
            Coordinate::Logit => {
                let [low, high] = self.range();
                let share = 1.0 / (1.0 + Real::exp(-x));
                (high - low) * share * (1.0 - share)
            }
        }
    }
}

/// One entry of the list: channel, coordinate, key of the input, and the needs that differ from
/// none.
macro_rules! parameter {
    ($channel:ident, $coordinate:ident, $key:literal $(, $need:ident : $value:expr)*) => {
        Parameter {
            $($need: $value,)*
            ..Parameter {
                input: input($key),
                channel: FittedChannel::$channel,
                loads: 1,
                pressures: 1,
                camber: false,
                reach: 0.0,
                first: true,
                coordinate: Coordinate::$coordinate,
            }
        }
    };
}

/// Slip from which rows determine the largest force, 1 at the peak. `[-]`
const NEAR_PEAK: f64 = 0.6;
/// Slip from which rows determine the fall beyond the peak, 1 at the peak. `[-]`
const BEYOND_PEAK: f64 = 1.2;

/// All of them.
pub(crate) static PARAMETERS: [Parameter; 22] = [
    parameter!(Longitudinal, Log, "longitudinal.stiffness"),
    parameter!(Longitudinal, InverseSquare, "longitudinal.stiffness_peak_load", loads: 2),
    parameter!(Longitudinal, Log, "longitudinal.friction", reach: NEAR_PEAK),
    parameter!(Longitudinal, Linear, "longitudinal.friction_fall", loads: 2, reach: NEAR_PEAK),
    parameter!(Longitudinal, Curvature, "longitudinal.curvature", reach: NEAR_PEAK, first: false),
    parameter!(Longitudinal, Logit, "longitudinal.shape", reach: BEYOND_PEAK, first: false),
    parameter!(Longitudinal, Linear, "longitudinal.stiffness_pressure", pressures: 2),
    parameter!(Longitudinal, Linear, "longitudinal.peak_load_pressure", pressures: 2, loads: 2),
    parameter!(Lateral, Log, "lateral.stiffness"),
    parameter!(Lateral, InverseSquare, "lateral.stiffness_peak_load", loads: 2),
    parameter!(Lateral, Log, "lateral.friction", reach: NEAR_PEAK),
    parameter!(Lateral, Linear, "lateral.friction_fall", loads: 2, reach: NEAR_PEAK),
    parameter!(Lateral, Curvature, "lateral.curvature", reach: NEAR_PEAK, first: false),
    parameter!(Lateral, Logit, "lateral.shape", reach: BEYOND_PEAK, first: false),
    parameter!(Lateral, Linear, "lateral.stiffness_pressure", pressures: 2),
    parameter!(Lateral, Linear, "lateral.peak_load_pressure", pressures: 2, loads: 2),
    parameter!(Lateral, Linear, "camber_thrust", camber: true),
    parameter!(Lateral, Linear, "camber_grip_loss", camber: true, reach: NEAR_PEAK, first: false),
    parameter!(Lateral, Log, "grip_pressure", pressures: 3, reach: NEAR_PEAK, first: false),
    parameter!(Lateral, Linear, "grip_pressure_loss", pressures: 3, reach: NEAR_PEAK, first: false),
    parameter!(Moment, Log, "trail"),
    parameter!(Moment, Log, "trail_reach", reach: NEAR_PEAK, first: false),
];

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "limits are exact")]
mod tests {
    use super::*;

    /// Coordinates lead to the input and back, and to the ends of its range at their limits and
    /// beyond.
    #[test]
    fn law_coordinates_stay_in_the_range() {
        for p in &PARAMETERS {
            let [low, high] = p.range();
            let [a, b] = p.limits();
            assert!(a < b, "{}", p.input.key);
            for share in [0.01, 0.3, 0.5, 0.9] {
                let value = low + share * (high - low);
                let x = p.to_coordinate(value);
                assert!(a < x && x < b && !p.at_limit(x), "{}", p.input.key);
                assert!(
                    (p.value(x) - value).abs() < 1e-13 * (high - low),
                    "{}: {} against {value}",
                    p.input.key,
                    p.value(x)
                );
                let h = 1e-3 * (x - a).min(b - x);
                let slope = (p.value(x + h) - p.value(x - h)) / (2.0 * h);
                assert!((p.slope(x) / slope - 1.0).abs() < 1e-4, "{}", p.input.key);
            }
            for x in [a - 1.0, a, b, b + 1.0] {
                let value = p.value(x);
                assert!((low..=high).contains(&value), "{} {value}", p.input.key);
            }
            assert!(p.at_limit(a) && p.at_limit(b));
            if p.coordinate != Coordinate::Logit {
                let mut ends = [a, b].map(|x| p.value(x));
                ends.sort_by(f64::total_cmp);
                assert_eq!(ends, [low, high], "{}", p.input.key);
            }
        }
    }
}
