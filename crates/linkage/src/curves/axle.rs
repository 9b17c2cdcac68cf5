//! Curves of a solid axle over heave and roll.

use crate::axle_linkage::{AxleLinkage, AxleRange};
use crate::curves::fit::{FitBound, FitError, SurfaceFit};
use crate::curves::fitted_quantity::{
    FitLimit, RateAt, ValueAt, check_error, pose_coordinate, pose_rate,
};
use crate::curves::polynomial::Surface;
use crate::elements::ForceElement;
use crate::error::LinkageError;
use crate::solve::{Position, Solver};

/// Spring, damper and bar of one side over heave and roll.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SideSurfaces {
    /// Compression of the spring `[m]`.
    pub spring: Option<Surface<f64>>,
    /// Compression of the damper `[m]`.
    pub damper: Option<Surface<f64>>,
    /// Travel of the bar's end `[m]`.
    pub bar: Option<Surface<f64>>,
}

/// Curves of an axle over heave and roll.
#[derive(Clone, Debug, PartialEq)]
pub struct AxleCurves {
    /// Center, forward `[m, b]`.
    pub x: Surface<f64>,
    /// Center, left `[m, b]`.
    pub y: Surface<f64>,
    /// Height of the center at static `[m, b]`.
    pub z: f64,
    /// Yaw, to the left positive `[rad]`.
    pub yaw: Surface<f64>,
    /// Pitch, pinion nose down positive `[rad]`.
    pub pitch: Surface<f64>,
    /// Half the distance between the wheel centers `[m]`.
    pub half_track: f64,
    /// Springs, dampers and bar ends: left, right.
    pub sides: [SideSurfaces; 2],
    /// Errors of the polynomials.
    pub errors: Vec<FitError>,
}

impl AxleLinkage {
    /// Curves fitted over heave and roll.
    ///
    /// # Errors
    /// [`LinkageError::Fit`] for a polynomial that is too far off, else the errors of the
    /// positions.
    pub fn curves(
        &self,
        solver: &Solver,
        range: AxleRange,
        bound: FitBound,
    ) -> Result<AxleCurves, LinkageError> {
        let positions = self.positions(solver, range)?;
        self.curves_through(solver, &positions, bound)
    }

    /// Curves fitted to exact positions.
    ///
    /// # Errors
    /// [`LinkageError::Fit`] for a polynomial that is too far off, else the errors of the bar.
    pub fn curves_through(
        &self,
        solver: &Solver,
        positions: &[Position],
        bound: FitBound,
    ) -> Result<AxleCurves, LinkageError> {
        let travel: Vec<(f64, f64)> = positions
            .iter()
            .map(|p| (p.travel.heave, p.travel.roll))
            .collect();
        let fitter = SurfaceFit::new(&travel);
        let start = &solver.start;
        let mut errors = Vec::new();
        let mut fit = |quantity: &'static str,
                       limit: FitLimit,
                       value: &ValueAt,
                       rate: &RateAt|
         -> Result<Surface<f64>, LinkageError> {
            let values = positions.iter().map(value).collect::<Result<Vec<_>, _>>()?;
            let slopes = [
                rate(start, &start.rates.heave)?,
                rate(start, &start.rates.roll)?,
            ];
            let (surface, error) = fitter.fit(&values, value(start)?, slopes);
            errors.push(check_error(quantity, error, limit)?);
            Ok(surface)
        };
        let mut pose = |name, limit, which| {
            let value = |p: &Position| Ok(pose_coordinate(&p.state.pose, which));
            fit(name, limit, &value, &|p, by| {
                Ok(pose_rate(&p.state.pose, by, which))
            })
        };
        let x = pose("x of the axle", bound.position_limit(), 0)?;
        let y = pose("y of the axle", bound.position_limit(), 1)?;
        let yaw = pose("roll steer", bound.angle_limit(), 2)?;
        let pitch = pose("pinion angle", bound.angle_limit(), 4)?;
        let mut sides = [SideSurfaces::default(); 2];
        for (out, side) in sides.iter_mut().zip(&self.sides) {
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
            out.spring = unit("a spring", &side.spring)?;
            out.damper = unit("a damper", &side.damper)?;
            if let Some(b) = &side.bar {
                out.bar = Some(fit(
                    "a bar's end",
                    bound.compression_limit(),
                    &|p| b.travel(solver, p),
                    &|p, by| b.motion_ratio(solver, p, by),
                )?);
            }
        }
        Ok(AxleCurves {
            x,
            y,
            z: self.center[2],
            yaw,
            pitch,
            half_track: self.half_track,
            sides,
            errors,
        })
    }
}
