//! Descriptions of a whole corner or axle, and the curves that the equations of motion need.
//!
//! Angles follow the order and signs of the equations of motion (yaw or toe to the left, roll or tilt
//! to the right, pitch nose down). The toe-in and camber of the reports are for people and differ in
//! sign from side to side.

use crate::error::{LinkageError, Travel};
use crate::fit::{Curve, CurveFit, FitBound, FitError};
use crate::mechanism::{Carried, Mechanism, Row};
use crate::parts::{Linkage, Triple};
use crate::solve::{Position, Solver};
use crate::unit::Side;

/// A corner, given for the left side.
#[derive(Clone, Debug, PartialEq)]
pub struct CornerLinkage {
    /// What holds the knuckle.
    pub parts: Linkage,
    /// Wheel center at static [m, b].
    pub center: Triple,
    /// Spring, damper and bar.
    pub side: Side,
    /// Two points of the steering axis, lower and upper; none for a wheel that is not steered, and for
    /// one on a rack whose axis is to be found from its links [m, b].
    pub steering_axis: Option<[Triple; 2]>,
}

/// A solid axle.
#[derive(Clone, Debug, PartialEq)]
pub struct AxleLinkage {
    /// What holds the axle.
    pub parts: Linkage,
    /// Center at static [m, b].
    pub center: Triple,
    /// Half the distance between the wheel centers [m].
    pub half_track: f64,
    /// Left and right springs, dampers and bars.
    pub sides: [Side; 2],
}

/// Travel of a corner over which curves are fitted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CornerRange {
    /// Up from static [m].
    pub bump: f64,
    /// Down from static [m].
    pub droop: f64,
}

/// Travel of an axle over which curves are fitted: heave and roll to both sides. At full heave only
/// half the roll is covered, as the stops at the wheels leave no more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxleRange {
    /// Up and down from static [m].
    pub heave: f64,
    /// To both sides [rad].
    pub roll: f64,
}

impl Default for CornerRange {
    /// 70 mm each way: the travel of a road car between its stops.
    fn default() -> Self {
        CornerRange {
            bump: 0.07,
            droop: 0.07,
        }
    }
}

impl Default for AxleRange {
    /// 60 mm and 5 deg each way, some 90 mm at a wheel: the travel of a road car between its stops.
    fn default() -> Self {
        AxleRange {
            heave: 0.06,
            roll: 5f64.to_radians(),
        }
    }
}

/// Curves of a corner.
#[derive(Clone, Debug, PartialEq)]
pub struct CornerCurves {
    /// Wheel center [m, b].
    pub x: Curve,
    /// Wheel center [m, b].
    pub y: Curve,
    /// Wheel center; its slope is one, as travel is its rise [m, b].
    pub z: Curve,
    /// First turn, about z, to the left positive [rad].
    pub toe: Curve,
    /// Second turn, about the turned x, top to the right positive [rad].
    pub tilt: Curve,
    /// Third turn, about the wheel axis, top forward positive [rad].
    pub pitch: Curve,
    /// Compression of the spring [m].
    pub spring: Option<Curve>,
    /// Compression of the damper [m].
    pub damper: Option<Curve>,
    /// Travel of the bar's end [m].
    pub bar: Option<Curve>,
    /// Unit vector up along the steering axis [-, knuckle axes].
    pub steering_axis: Option<Triple>,
    /// From the wheel center to the point of the steering axis at its height [m, knuckle axes].
    pub steering_arm: Option<Triple>,
    /// Errors of the fit.
    pub errors: Vec<FitError>,
}

impl CornerCurves {
    /// The other side of the car.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let flip = crate::parts::mirror;
        CornerCurves {
            y: self.y.negated(),
            toe: self.toe.negated(),
            tilt: self.tilt.negated(),
            steering_axis: self.steering_axis.map(flip),
            steering_arm: self.steering_arm.map(flip),
            ..self.clone()
        }
    }
}

/// Points over a corner's travel, one of them static.
const CORNER_POINTS: i32 = 12;

/// A quantity's value and its rate with one travel.
pub(crate) type Quantity<'a> = dyn Fn(&Position) -> Result<f64, LinkageError> + 'a;
pub(crate) type QuantityRate<'a> = dyn Fn(&Position, &Row<f64>) -> Result<f64, LinkageError> + 'a;

/// What a quantity is measured in and how far off its polynomial may be.
#[derive(Clone, Copy)]
pub(crate) struct Kind {
    pub unit: &'static str,
    pub bound: f64,
}

impl FitBound {
    pub(crate) const fn place(self) -> Kind {
        Kind {
            unit: "m",
            bound: self.length,
        }
    }
    pub(crate) const fn turn(self) -> Kind {
        Kind {
            unit: "rad",
            bound: self.angle,
        }
    }
    pub(crate) const fn unit(self) -> Kind {
        Kind {
            unit: "m",
            bound: self.compression,
        }
    }
}

pub(crate) fn check_fit(
    quantity: &'static str,
    error: f64,
    kind: Kind,
) -> Result<FitError, LinkageError> {
    let Kind { unit, bound } = kind;
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

pub(crate) fn check_range(
    what: &'static str,
    value: f64,
    unit: &'static str,
    high: f64,
) -> Result<(), LinkageError> {
    if (1e-3..=high).contains(&value) {
        return Ok(());
    }
    Err(LinkageError::Range {
        what,
        value,
        unit,
        low: 1e-3,
        high,
    })
}

/// Pose quantities in the order x, y, yaw, roll, pitch with their rates.
pub(crate) fn pose_value(p: &Position, which: usize) -> f64 {
    let a = p.state.pose.angles();
    let c = p.state.pose.center;
    [c.x(), c.y(), a.yaw, a.roll, a.pitch][which]
}

pub(crate) fn pose_rate(p: &Position, by: &Row<f64>, which: usize) -> f64 {
    let (v, w) = crate::solve::Rates::twist(by);
    let a = p.state.pose.angle_rates(w);
    [v.x(), v.y(), a.yaw, a.roll, a.pitch][which]
}

impl CornerLinkage {
    /// The equations at static.
    pub fn solver(&self) -> Result<Solver, LinkageError> {
        Solver::new(Mechanism::new(
            self.parts.clone(),
            Carried::Wheel,
            self.center,
        )?)
    }

    /// The mirror image.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let flip = crate::parts::mirror;
        CornerLinkage {
            parts: self.parts.mirrored(),
            center: flip(self.center),
            side: self.side.mirrored(),
            steering_axis: self.steering_axis.map(|a| a.map(flip)),
        }
    }

    /// Exact positions over the travel, lowest first, static among them.
    pub fn positions(
        &self,
        solver: &Solver,
        range: CornerRange,
    ) -> Result<Vec<Position>, LinkageError> {
        check_range("bump travel", range.bump, "m", 0.5)?;
        check_range("droop travel", range.droop, "m", 0.5)?;
        let mut down = Vec::new();
        let mut up = vec![solver.start];
        for (end, list) in [(-range.droop, &mut down), (range.bump, &mut up)] {
            let mut here = solver.start;
            for i in 1..=CORNER_POINTS {
                here = solver.follow(
                    &here,
                    Travel {
                        heave: end * f64::from(i) / f64::from(CORNER_POINTS),
                        roll: 0.0,
                        rack: 0.0,
                    },
                )?;
                list.push(here);
            }
        }
        down.reverse();
        down.extend(up);
        Ok(down)
    }

    /// Curves over the travel.
    pub fn curves(
        &self,
        solver: &Solver,
        range: CornerRange,
        bound: FitBound,
    ) -> Result<CornerCurves, LinkageError> {
        let positions = self.positions(solver, range)?;
        self.curves_through(solver, &positions, bound)
    }

    /// Curves through exact positions.
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
                       kind: Kind,
                       value: &Quantity,
                       rate: &QuantityRate|
         -> Result<Curve, LinkageError> {
            let values = positions.iter().map(value).collect::<Result<Vec<_>, _>>()?;
            let (curve, error) =
                fitter.fit(&values, value(start)?, rate(start, &start.rates.heave)?);
            errors.push(check_fit(quantity, error, kind)?);
            Ok(curve)
        };
        let mut pose = |name, kind, which| {
            fit(name, kind, &|p| Ok(pose_value(p, which)), &|p, by| {
                Ok(pose_rate(p, by, which))
            })
        };
        let x = pose("x of the wheel center", bound.place(), 0)?;
        let y = pose("y of the wheel center", bound.place(), 1)?;
        let toe = pose("toe", bound.turn(), 2)?;
        let tilt = pose("tilt", bound.turn(), 3)?;
        let pitch = pose("pitch", bound.turn(), 4)?;
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
        let spring = unit("the spring", &self.side.spring)?;
        let damper = unit("the damper", &self.side.damper)?;
        let bar = match &self.side.bar {
            Some(b) => Some(fit(
                "the bar's end",
                bound.unit(),
                &|p| b.travel(solver, p),
                &|p, by| b.rate(solver, p, by),
            )?),
            None => None,
        };
        let steering = self
            .steering_points(solver)
            .map(|axis| crate::steering::in_knuckle(axis, self.center))
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
