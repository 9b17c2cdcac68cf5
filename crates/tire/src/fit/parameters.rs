//! The inputs that can be fitted, what rows each needs, and the coordinate it is searched in.

use crate::spec::TireSpec;
use axletree_scalar::Real;
use axletree_scalar::elementary;

/// Which measured channel an input shows in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Part {
    /// Longitudinal force.
    Longitudinal,
    /// Lateral force.
    Lateral,
    /// Aligning moment.
    Moment,
}

impl Part {
    /// The channel's place among (F_x, F_y, M_z).
    pub fn channel(self) -> usize {
        match self {
            Part::Longitudinal => 0,
            Part::Lateral => 1,
            Part::Moment => 2,
        }
    }
}

/// How far along the curve the rows reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reach {
    /// Not yet known.
    Unknown,
    /// Largest slip along and across, 1 at the peak.
    Known([f64; 2]),
}

/// The coordinate of an input in the search. Each keeps the input in the range of
/// [`TireSpec::check`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scale {
    /// The input itself, between two limits.
    Between(f64, f64),
    /// Its logarithm: the input stays positive.
    Log,
    /// Its inverse square, for a load in kilonewtons: stiffness that just grows with load lies at
    /// the finite end, zero.
    InverseSquare,
    /// ln(1 - E): curvature stays below 1.
    Curvature,
    /// The logarithm of the distances to the limits: shape between 1.01 and 1.99.
    Shape,
}

/// The least coordinate of a load of largest stiffness: 10 MN.
const FARTHEST_LOAD: f64 = 1e-8;

impl Scale {
    /// From the input to its coordinate.
    pub fn coordinate(self, value: f64) -> f64 {
        match self {
            Scale::Between(..) => value,
            Scale::Log => elementary::ln(value),
            Scale::InverseSquare => Real::sq(1e3 / value),
            Scale::Curvature => elementary::ln(1.0 - value),
            Scale::Shape => {
                let c = value.clamp(1.011, 1.989);
                elementary::ln((c - 1.01) / (1.99 - c))
            }
        }
    }

    /// From the coordinate to the input.
    pub fn value(self, x: f64) -> f64 {
        match self {
            Scale::Between(low, high) => x.clamp(low, high),
            Scale::Log => Real::exp(x),
            Scale::InverseSquare => 1e3 / x.max(FARTHEST_LOAD).sqrt(),
            Scale::Curvature => 1.0 - Real::exp(x).clamp(0.01, 101.0),
            Scale::Shape => 1.01 + 0.98 / (1.0 + Real::exp(-x)),
        }
    }

    /// The coordinate held at its limits.
    pub fn held(self, x: f64) -> f64 {
        match self {
            Scale::Between(low, high) => x.clamp(low, high),
            Scale::Log => x,
            Scale::InverseSquare => x.max(FARTHEST_LOAD),
            Scale::Curvature => x.clamp(elementary::ln(0.01f64), elementary::ln(101f64)),
            // Within a thousandth of a limit is at the limit.
            Scale::Shape => x.clamp(-7.0, 7.0),
        }
    }

    /// Whether a coordinate is at a limit.
    pub fn at_limit(self, x: f64) -> bool {
        self.held(x - 1e-9) == x || self.held(x + 1e-9) == x
    }

    /// Change of the input with its coordinate.
    pub fn slope(self, x: f64) -> f64 {
        match self {
            Scale::Between(..) => 1.0,
            Scale::Log => Real::exp(x),
            Scale::InverseSquare => -500.0 * elementary::pow(x.max(FARTHEST_LOAD), -1.5),
            Scale::Curvature => -Real::exp(x),
            Scale::Shape => {
                let share = 1.0 / (1.0 + Real::exp(-x));
                0.98 * share * (1.0 - share)
            }
        }
    }
}

/// An input that can be fitted.
#[derive(Debug)]
pub struct Parameter {
    /// Path in the description.
    pub name: &'static str,
    /// The channel it shows in.
    pub part: Part,
    /// Loads that must differ.
    pub loads: usize,
    /// Pressures that must differ.
    pub pressures: usize,
    /// Whether inclined rows are needed.
    pub camber: bool,
    /// Slip the rows must reach, 1 at the peak. [-]
    pub reach: f64,
    /// Whether the first pass, which does not know the reach, fits it.
    pub first: bool,
    /// Its coordinate.
    pub scale: Scale,
    /// Reads it.
    pub get: fn(&TireSpec) -> f64,
    /// Writes it.
    pub set: fn(&mut TireSpec, f64),
}

/// One entry of the list.
macro_rules! parameter {
    ($part:ident, $scale:expr, $($path:ident).+ $(, $need:ident : $value:expr)*) => {
        Parameter {
            $($need: $value,)*
            ..Parameter {
                name: parameter!(@name $($path).+),
                part: Part::$part,
                loads: 1,
                pressures: 1,
                camber: false,
                reach: 0.0,
                first: true,
                scale: $scale,
                get: |s| s.$($path).+,
                set: |s, v| s.$($path).+ = v,
            }
        }
    };
    (@name $a:ident) => { stringify!($a) };
    (@name $a:ident . $b:ident) => { concat!(stringify!($a), ".", stringify!($b)) };
}

/// Slip from which the largest force shows.
const BENT: f64 = 0.6;
/// Slip from which the fall beyond the peak shows.
const BEYOND: f64 = 1.2;

/// Limits as [`TireSpec::check`] has them.
const FALL: Scale = Scale::Between(-0.5, 0.9);
const CHANGE: Scale = Scale::Between(-5.0, 5.0);
const THRUST: Scale = Scale::Between(-2.0, 5.0);
const CAMBER_LOSS: Scale = Scale::Between(0.0, 100.0);
const PRESSURE_LOSS: Scale = Scale::Between(0.0, 10.0);

/// All of them.
pub static PARAMETERS: [Parameter; 22] = [
    parameter!(Longitudinal, Scale::Log, longitudinal.stiffness),
    parameter!(Longitudinal, Scale::InverseSquare, longitudinal.stiffness_peak_load, loads: 2),
    parameter!(Longitudinal, Scale::Log, longitudinal.friction, reach: BENT),
    parameter!(Longitudinal, FALL, longitudinal.friction_fall, loads: 2, reach: BENT),
    parameter!(Longitudinal, Scale::Curvature, longitudinal.curvature, reach: BENT, first: false),
    parameter!(Longitudinal, Scale::Shape, longitudinal.shape, reach: BEYOND, first: false),
    parameter!(Longitudinal, CHANGE, longitudinal.stiffness_pressure, pressures: 2),
    parameter!(Longitudinal, CHANGE, longitudinal.peak_load_pressure, pressures: 2, loads: 2),
    parameter!(Lateral, Scale::Log, lateral.stiffness),
    parameter!(Lateral, Scale::InverseSquare, lateral.stiffness_peak_load, loads: 2),
    parameter!(Lateral, Scale::Log, lateral.friction, reach: BENT),
    parameter!(Lateral, FALL, lateral.friction_fall, loads: 2, reach: BENT),
    parameter!(Lateral, Scale::Curvature, lateral.curvature, reach: BENT, first: false),
    parameter!(Lateral, Scale::Shape, lateral.shape, reach: BEYOND, first: false),
    parameter!(Lateral, CHANGE, lateral.stiffness_pressure, pressures: 2),
    parameter!(Lateral, CHANGE, lateral.peak_load_pressure, pressures: 2, loads: 2),
    parameter!(Lateral, THRUST, camber_thrust, camber: true),
    parameter!(Lateral, CAMBER_LOSS, camber_grip_loss, camber: true, reach: BENT, first: false),
    parameter!(Lateral, Scale::Log, grip_pressure, pressures: 3, reach: BENT, first: false),
    parameter!(Lateral, PRESSURE_LOSS, grip_pressure_loss, pressures: 3, reach: BENT, first: false),
    parameter!(Moment, Scale::Log, trail),
    parameter!(Moment, Scale::Log, trail_reach, reach: BENT, first: false),
];
