//! Description of a corner: links, spring, damper, bar and steering axis.

use crate::elements::Side;
use crate::error::LinkageError;
use crate::mechanism::{Carried, Mechanism};
use crate::parts::{Linkage, Triple, mirror};
use crate::range::check_range;
use crate::solve::{Position, Solver};
use crate::travel::Travel;

/// A corner, described on the left side.
///
/// ```
/// use axletree_linkage::corner::SemiTrailing;
/// use axletree_linkage::{BodyId, CornerLinkage, CornerRange, FitBound, Longitudinal};
/// use axletree_linkage::{Material, Side};
///
/// let corner = CornerLinkage {
///     parts: SemiTrailing {
///         on: BodyId::Body,
///         hinge: [[0.26, 0.18, 0.27], [0.42, 0.62, 0.26]],
///         bushings: [Material::Rubber.bushing(); 2],
///     }
///     .parts(),
///     center: [0.0, 0.74, 0.31],
///     side: Side::default(),
///     steering_axis: None,
/// };
/// let car = Longitudinal { height: 0.5, wheelbase: 2.7, brake_share: 0.35 };
/// let solved = corner.solve(CornerRange::default(), FitBound::default(), car, None)?;
/// assert!(solved.report.camber_gain < 0.0, "the top leans inward in bump");
/// # Ok::<(), axletree_linkage::LinkageError>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct CornerLinkage {
    /// Parts that locate the knuckle.
    pub parts: Linkage,
    /// Wheel center at static `[m, b]`.
    pub center: Triple,
    /// Spring, damper and bar end.
    pub side: Side,
    /// Two points of the steering axis, lower and upper `[m, b]`. None for a wheel that does not
    /// steer, and for one on a rack whose axis is to be found from its links.
    pub steering_axis: Option<[Triple; 2]>,
}

/// Travel of a corner over which its curves are fitted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CornerRange {
    /// Up from static `[m]`.
    pub bump: f64,
    /// Down from static `[m]`.
    pub droop: f64,
}

impl Default for CornerRange {
    /// 70 mm each way: the travel of a road car between its stops (common practice, no source).
    fn default() -> Self {
        CornerRange {
            bump: 0.07,
            droop: 0.07,
        }
    }
}

/// Points on each side of static.
const CORNER_POINTS: i32 = 12;

impl CornerLinkage {
    /// Assembles the corner at static.
    ///
    /// # Errors
    /// Errors of [`Mechanism::new`] and [`Solver::new`].
    pub fn solver(&self) -> Result<Solver, LinkageError> {
        Solver::new(Mechanism::new(
            self.parts.clone(),
            Carried::Wheel,
            self.center,
        )?)
    }

    /// Point of the knuckle at the contact patch, straight below the wheel center `[m, b]`.
    pub fn patch(&self) -> Triple {
        [self.center[0], self.center[1], 0.0]
    }

    /// Mirror image in the car's center plane.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        CornerLinkage {
            parts: self.parts.mirrored(),
            center: mirror(self.center),
            side: self.side.mirrored(),
            steering_axis: self.steering_axis.map(|a| a.map(mirror)),
        }
    }

    /// Exact positions over the travel, from droop to bump, with static among them.
    ///
    /// # Errors
    /// [`LinkageError::Range`] for a travel out of range, else the errors of [`Solver::follow`].
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
                    Travel::heave(end * f64::from(i) / f64::from(CORNER_POINTS)),
                )?;
                list.push(here);
            }
        }
        down.reverse();
        down.extend(up);
        Ok(down)
    }
}
