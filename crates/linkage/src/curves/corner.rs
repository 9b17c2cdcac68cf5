//! Curves of a corner over its travel.
//!
//! The angles are those of the wheel, turned with the knuckle from its static alignment.
//! Angles have the order and the signs of the equations of motion (toe to the left, tilt to the
//! right, pitch nose down). The toe-in and the camber of the reports differ from them in sign from
//! side to side.

use crate::corner_linkage::{CornerLinkage, CornerRange};
use crate::curves::fit::{CurveFit, FitBound, FitError};
use crate::curves::fitted_quantity::{
    FitLimit, RateAt, ValueAt, check_error, pose_coordinate, pose_rate,
};
use crate::curves::polynomial::Curve;
use crate::elements::ForceElement;
use crate::error::LinkageError;
use crate::parts::{Triple, mirror};
use crate::solve::{Position, Solver};
use crate::steering::axis_in_knuckle;

/// Curves of a corner over its travel.
#[derive(Clone, Debug, PartialEq)]
pub struct CornerCurves {
    /// Wheel center, forward `[m, b]`.
    pub x: Curve<f64>,
    /// Wheel center, left `[m, b]`.
    pub y: Curve<f64>,
    /// Wheel center, up; its slope is one, as the travel is its rise `[m, b]`.
    pub z: Curve<f64>,
    /// First turn, about z, to the left positive `[rad]`.
    pub toe: Curve<f64>,
    /// Second turn, about the turned x, top to the right positive `[rad]`.
    pub tilt: Curve<f64>,
    /// Third turn, about the wheel axis, top forward positive `[rad]`.
    pub pitch: Curve<f64>,
    /// Compression of the spring `[m]`.
    pub spring: Option<Curve<f64>>,
    /// Compression of the damper `[m]`.
    pub damper: Option<Curve<f64>>,
    /// Travel of the bar's end `[m]`.
    pub bar: Option<Curve<f64>>,
    /// Unit vector up along the steering axis `[-, knuckle axes]`.
    pub steering_axis: Option<Triple>,
    /// From the wheel center to the point of the steering axis at its height `[m, knuckle axes]`.
    pub steering_arm: Option<Triple>,
    /// Errors of the polynomials.
    pub errors: Vec<FitError>,
}

impl CornerCurves {
    /// Curves of the other side of the car.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        CornerCurves {
            y: self.y.negated(),
            toe: self.toe.negated(),
            tilt: self.tilt.negated(),
            steering_axis: self.steering_axis.map(mirror),
            steering_arm: self.steering_arm.map(mirror),
            ..self.clone()
        }
    }
}

impl CornerLinkage {
    /// Curves fitted over the travel.
    ///
    /// # Errors
    /// [`LinkageError::Fit`] for a polynomial that is too far off, else the errors of the
    /// positions.
    pub fn curves(
        &self,
        solver: &Solver,
        range: CornerRange,
        bound: FitBound,
    ) -> Result<CornerCurves, LinkageError> {
        let positions = self.positions(solver, range)?;
        self.curves_through(solver, &positions, bound)
    }

    /// Curves fitted to exact positions.
    ///
    /// # Errors
    /// [`LinkageError::Fit`] for a polynomial that is too far off, else the errors of bar and
    /// steering axis.
    pub fn curves_through(
        &self,
        solver: &Solver,
        positions: &[Position],
        bound: FitBound,
    ) -> Result<CornerCurves, LinkageError> {
        let travel: Vec<f64> = positions.iter().map(|p| p.travel.heave).collect();
        let fitter = CurveFit::new(&travel);
        let start = &solver.start;
        let mut errors = Vec::new();
        let mut fit = |quantity: &'static str,
                       limit: FitLimit,
                       value: &ValueAt,
                       rate: &RateAt|
         -> Result<Curve<f64>, LinkageError> {
            let values = positions.iter().map(value).collect::<Result<Vec<_>, _>>()?;
            let (curve, error) =
                fitter.fit(&values, value(start)?, rate(start, &start.rates.heave)?);
            errors.push(check_error(quantity, error, limit)?);
            Ok(curve)
        };
        let mut pose = |name, limit, which| {
            let value = |p: &Position| Ok(pose_coordinate(&self.wheel(p), which));
            fit(name, limit, &value, &|p, by| {
                Ok(pose_rate(&self.wheel(p), by, which))
            })
        };
        let x = pose("x of the wheel center", bound.position_limit(), 0)?;
        let y = pose("y of the wheel center", bound.position_limit(), 1)?;
        let toe = pose("toe", bound.angle_limit(), 2)?;
        let tilt = pose("tilt", bound.angle_limit(), 3)?;
        let pitch = pose("pitch", bound.angle_limit(), 4)?;
        let mut unit = |name, u: &Option<ForceElement>| match u {
            Some(u) => fit(
                name,
                bound.compression_limit(),
                &|p| Ok(u.compression(solver, p)),
                &|p, by| Ok(u.motion_ratio(solver, p, by)),
            )
            .map(Some),
            None => Ok(None),
        };
        let spring = unit("the spring", &self.side.spring)?;
        let damper = unit("the damper", &self.side.damper)?;
        let bar = match &self.side.bar {
            Some(b) => Some(fit(
                "the bar's end",
                bound.compression_limit(),
                &|p| b.travel(solver, p),
                &|p, by| b.motion_ratio(solver, p, by),
            )?),
            None => None,
        };
        let steering = self
            .steering_points(solver)
            .map(|axis| axis_in_knuckle(axis, self.center))
            .transpose()?;
        Ok(CornerCurves {
            x,
            y,
            z: Curve {
                c: [self.center[2], 1.0, 0.0, 0.0, 0.0],
            },
            toe,
            tilt,
            pitch,
            spring,
            damper,
            bar,
            steering_axis: steering.map(|s| s.0),
            steering_arm: steering.map(|s| s.1),
            errors,
        })
    }
}
