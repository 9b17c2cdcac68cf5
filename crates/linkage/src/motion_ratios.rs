//! Motion ratios of springs, dampers and bar ends.

use crate::elements::Side;
use crate::error::LinkageError;
use crate::mechanism::PerUnknown;
use crate::solve::{Position, Solver};

/// Dimensions of the car on which the anti effects depend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Longitudinal {
    /// Height of the car's center of mass `[m]`.
    pub height: f64,
    /// Wheelbase `[m]`.
    pub wheelbase: f64,
    /// Share of the brake force at this end `[-]`.
    pub brake_share: f64,
}

/// Compression per wheel travel, both wheels up, of the elements given by points.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MotionRatios {
    /// Spring `[-]`.
    pub spring: Option<f64>,
    /// Damper `[-]`.
    pub damper: Option<f64>,
    /// Bar end `[-]`.
    pub bar: Option<f64>,
}

/// Motion ratios of one side, for given rates of the unknowns.
pub(crate) fn motion_ratios(
    side: &Side,
    solver: &Solver,
    p: &Position,
    by: &PerUnknown<f64>,
) -> Result<MotionRatios, LinkageError> {
    Ok(MotionRatios {
        spring: side.spring.map(|u| u.motion_ratio(solver, p, by)),
        damper: side.damper.map(|u| u.motion_ratio(solver, p, by)),
        bar: side
            .bar
            .as_ref()
            .map(|b| b.motion_ratio(solver, p, by))
            .transpose()?,
    })
}
