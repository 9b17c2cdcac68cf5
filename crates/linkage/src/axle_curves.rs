//! The curves of a solid axle over heave and roll.

use crate::curves::{
    AxleLinkage, AxleRange, Kind, Quantity, QuantityRate, check_fit, check_range, pose_rate,
    pose_value,
};
use crate::error::{LinkageError, Travel};
use crate::fit::{FitBound, FitError, Surface, SurfaceFit};
use crate::mechanism::{Carried, Mechanism};
use crate::solve::{Position, Solver};

/// Curves of one side's spring, damper and bar.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SideSurfaces {
    /// Compression of the spring [m].
    pub spring: Option<Surface>,
    /// Compression of the damper [m].
    pub damper: Option<Surface>,
    /// Travel of the bar's end [m].
    pub bar: Option<Surface>,
}

/// Curves of an axle.
#[derive(Clone, Debug, PartialEq)]
pub struct AxleCurves {
    /// Center [m, b].
    pub x: Surface,
    /// Center [m, b].
    pub y: Surface,
    /// Height of the center at static [m, b].
    pub z: f64,
    /// Yaw, to the left positive [rad].
    pub yaw: Surface,
    /// Pitch, pinion nose down positive [rad].
    pub pitch: Surface,
    /// Half the distance between the wheel centers [m].
    pub half_track: f64,
    /// Left and right.
    pub sides: [SideSurfaces; 2],
    /// Errors of the fit.
    pub errors: Vec<FitError>,
}

/// Points over an axle's heave and roll, to each side of static.
const AXLE_POINTS: i32 = 5;

impl AxleLinkage {
    /// The equations at static.
    pub fn solver(&self) -> Result<Solver, LinkageError> {
        Solver::new(Mechanism::new(
            self.parts.clone(),
            Carried::Axle,
            self.center,
        )?)
    }

    /// Exact positions on a grid of heave and roll, static in its middle.
    pub fn positions(
        &self,
        solver: &Solver,
        range: AxleRange,
    ) -> Result<Vec<Position>, LinkageError> {
        check_range("heave", range.heave, "m", 0.5)?;
        check_range("roll", range.roll, "rad", 0.5)?;
        let mut all = Vec::new();
        let mut column = |row: &Position| -> Result<(), LinkageError> {
            all.push(*row);
            let most = range.roll * (1.0 - 0.5 * (row.travel.heave / range.heave).abs());
            for sign in [-1.0, 1.0] {
                let mut here = *row;
                for j in 1..=AXLE_POINTS {
                    let roll = sign * most * f64::from(j) / f64::from(AXLE_POINTS);
                    here = solver.follow(&here, Travel { roll, ..row.travel })?;
                    all.push(here);
                }
            }
            Ok(())
        };
        column(&solver.start)?;
        for sign in [-1.0, 1.0] {
            let mut here = solver.start;
            for i in 1..=AXLE_POINTS {
                let heave = sign * range.heave * f64::from(i) / f64::from(AXLE_POINTS);
                here = solver.follow(
                    &here,
                    Travel {
                        heave,
                        roll: 0.0,
                        rack: 0.0,
                    },
                )?;
                column(&here)?;
            }
        }
        Ok(all)
    }

    /// Curves over the travel.
    pub fn curves(
        &self,
        solver: &Solver,
        range: AxleRange,
        bound: FitBound,
    ) -> Result<AxleCurves, LinkageError> {
        let positions = self.positions(solver, range)?;
        self.curves_through(solver, &positions, bound)
    }

    /// Curves through exact positions.
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
                       kind: Kind,
                       value: &Quantity,
                       rate: &QuantityRate|
         -> Result<Surface, LinkageError> {
            let values = positions.iter().map(value).collect::<Result<Vec<_>, _>>()?;
            let slopes = [
                rate(start, &start.rates.heave)?,
                rate(start, &start.rates.roll)?,
            ];
            let (surface, error) = fitter.fit(&values, value(start)?, slopes);
            errors.push(check_fit(quantity, error, kind)?);
            Ok(surface)
        };
        let mut pose = |name, kind, which| {
            fit(name, kind, &|p| Ok(pose_value(p, which)), &|p, by| {
                Ok(pose_rate(p, by, which))
            })
        };
        let x = pose("x of the axle", bound.place(), 0)?;
        let y = pose("y of the axle", bound.place(), 1)?;
        let yaw = pose("roll steer", bound.turn(), 2)?;
        let pitch = pose("pinion angle", bound.turn(), 4)?;
        let mut sides = [SideSurfaces::default(); 2];
        for (out, side) in sides.iter_mut().zip(&self.sides) {
            let mut unit = |name, u: &Option<crate::unit::Unit>| match u {
                Some(u) => fit(
                    name,
                    bound.unit(),
                    &|p| Ok(u.compression(solver, p)),
                    &|p, by| Ok(u.rate(solver, p, by)),
                )
                .map(Some),
                None => Ok(None),
            };
            out.spring = unit("a spring", &side.spring)?;
            out.damper = unit("a damper", &side.damper)?;
            if let Some(b) = &side.bar {
                out.bar = Some(fit(
                    "a bar's end",
                    bound.unit(),
                    &|p| b.travel(solver, p),
                    &|p, by| b.rate(solver, p, by),
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
