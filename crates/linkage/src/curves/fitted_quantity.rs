//! Quantities that are fitted over the travel, with the limits of their errors.

use crate::curves::fit::{FitBound, FitError};
use crate::error::LinkageError;
use crate::mechanism::PerUnknown;
use crate::pose::Pose;
use crate::solve::{Position, Rates};

/// Value of a quantity at a position.
pub(crate) type ValueAt<'a> = dyn Fn(&Position) -> Result<f64, LinkageError> + 'a;
/// Derivative of a quantity at a position, for given rates of the unknowns.
pub(crate) type RateAt<'a> = dyn Fn(&Position, &PerUnknown<f64>) -> Result<f64, LinkageError> + 'a;

/// Unit of a quantity and largest error of its polynomial.
#[derive(Clone, Copy)]
pub(crate) struct FitLimit {
    pub unit: &'static str,
    pub bound: f64,
}

impl FitBound {
    /// Limit for positions of centers.
    pub(crate) const fn position_limit(self) -> FitLimit {
        FitLimit {
            unit: "m",
            bound: self.length,
        }
    }

    /// Limit for angles.
    pub(crate) const fn angle_limit(self) -> FitLimit {
        FitLimit {
            unit: "rad",
            bound: self.angle,
        }
    }

    /// Limit for compressions.
    pub(crate) const fn compression_limit(self) -> FitLimit {
        FitLimit {
            unit: "m",
            bound: self.compression,
        }
    }
}

/// The error of a fit, if it is within its limit.
pub(crate) fn check_error(
    quantity: &'static str,
    error: f64,
    limit: FitLimit,
) -> Result<FitError, LinkageError> {
    let FitLimit { unit, bound } = limit;
    if error <= bound {
        return Ok(FitError {
            quantity,
            error,
            unit,
        });
    }
    Err(LinkageError::Fit {
        quantity,
        error,
        bound,
        unit,
    })
}

/// Coordinate of a pose, in the order x, y, yaw, roll, pitch.
pub(crate) fn pose_coordinate(pose: &Pose<f64>, which: usize) -> f64 {
    let a = pose.angles();
    let c = pose.center;
    [c.x(), c.y(), a.yaw, a.roll, a.pitch][which]
}

/// Rate of a coordinate of a pose, for given rates of the unknowns.
pub(crate) fn pose_rate(pose: &Pose<f64>, by: &PerUnknown<f64>, which: usize) -> f64 {
    let (v, w) = Rates::twist(by);
    let a = pose.angle_rates(w);
    [v.x(), v.y(), a.yaw, a.roll, a.pitch][which]
}
