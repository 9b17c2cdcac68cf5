//! Ends whose curves, compliance and binding come from the points of their links.
//!
//! Points are given at ride height: x ahead of the end's own axle line, y left of the center plane, z
//! above the road. The wheel centers are where the car stands on its tires, which settles the heights
//! of the axle's or the corners' centers (of a pair under unequal loads, their mean). A solved end is
//! kept with the description it was solved from, so that an edit of another entry costs a comparison.

mod axle;
mod corner;
mod ends;
mod faults;

use std::sync::Arc;

use axletree_linkage::{
    AxleLinkage, AxleRange, AxleReport, AxleSolution, CornerLinkage, CornerRange, CornerReport,
    CornerSolution, FitBound, Longitudinal, Subframe,
};

use super::End;
use super::weigh::Standing;
use crate::car::Car;
use crate::error::Fault;

/// One end's links, solved.
#[derive(Clone, Debug)]
pub enum Links {
    /// A solid axle.
    Axle(Box<AxleLinks>),
    /// Two wheels sprung on their own.
    Corners(Box<CornerLinks>),
}

/// A solid axle on its links.
#[derive(Clone, Debug)]
pub struct AxleLinks {
    /// Points, links and bushings, x from the axle line, z from the road.
    pub linkage: AxleLinkage,
    /// Travel that the curves cover.
    pub range: AxleRange,
    /// Curves, figures, compliance, binding.
    pub solution: AxleSolution,
}

/// A pair of corners on their links.
#[derive(Clone, Debug)]
pub struct CornerLinks {
    /// Points, links and bushings of the left corner, x from the axle line, z from the road.
    pub linkage: CornerLinkage,
    /// Travel that the curves cover.
    pub range: CornerRange,
    /// The subframe's mounts, where it has such.
    pub subframe: Option<Subframe>,
    /// Curves, figures, compliance, binding.
    pub solution: CornerSolution,
}

/// Figures are solved for a car of unit height, wheelbase and brake share; the anti effects are
/// proportional to wheelbase over height.
const UNIT: Longitudinal = Longitudinal {
    height: 1.0,
    wheelbase: 1.0,
    brake_share: 1.0,
};

/// A place to the nanometer. Everything in a car moves the wheel centers a little, by the loads; what moves
/// them less than this does not ask for the links to be solved again.
fn settled(place: f64) -> f64 {
    (place * 1e9).round() / 1e9
}

/// The links of an end as the car stands; nothing for an end given by coefficients. What is known
/// already is taken if it was solved from the same description.
pub(super) fn solve(
    end: End<'_>,
    standing: &Standing,
    known: Option<&Arc<Links>>,
) -> Result<Option<Arc<Links>>, Box<Fault>> {
    let Some(kind) = end.car.text(&end.path("links.type")) else {
        return Ok(None);
    };
    let fault = |error| Box::new(faults::of(end, error));
    let solved = if end.name == "rear" && end.car.has_solid_rear() {
        let (linkage, range) = axle::describe(end, kind, standing);
        if let Some(Links::Axle(links)) = known.map(AsRef::as_ref)
            && (&links.linkage, links.range) == (&linkage, range)
        {
            return Ok(known.cloned());
        }
        let solution = linkage
            .solve(range, FitBound::default(), UNIT)
            .map_err(fault)?;
        Links::Axle(Box::new(AxleLinks {
            linkage,
            range,
            solution,
        }))
    } else {
        let (linkage, range, subframe) = corner::describe(end, kind, standing);
        if let Some(Links::Corners(links)) = known.map(AsRef::as_ref)
            && (&links.linkage, links.range, &links.subframe) == (&linkage, range, &subframe)
        {
            return Ok(known.cloned());
        }
        let solution = linkage
            .solve(range, FitBound::default(), UNIT, subframe.as_ref())
            .map_err(fault)?;
        Links::Corners(Box::new(CornerLinks {
            linkage,
            range,
            subframe,
            solution,
        }))
    };
    Ok(Some(Arc::new(solved)))
}

impl Links {
    /// The axle's part.
    pub fn axle(&self) -> Option<&AxleLinks> {
        match self {
            Links::Axle(links) => Some(links),
            Links::Corners(_) => None,
        }
    }

    /// The corners' part.
    pub fn corners(&self) -> Option<&CornerLinks> {
        match self {
            Links::Axle(_) => None,
            Links::Corners(links) => Some(links),
        }
    }

    /// Torque about the wheels' axis per turn of what carries the differential on its links or mounts;
    /// nothing where it does not turn so [N m/rad].
    pub fn windup_stiffness(&self) -> Option<f64> {
        match self {
            Links::Axle(links) => &links.solution.compliance,
            Links::Corners(links) => &links.solution.compliance,
        }
        .windup_stiffness()
    }

    /// With the figures of a car's height, wheelbase and brake share.
    fn of_car(&self, car: Longitudinal) -> Links {
        let anti = car.wheelbase / car.height;
        let mut links = self.clone();
        match &mut links {
            Links::Axle(links) => {
                let report: &mut AxleReport = &mut links.solution.report;
                report.anti_squat *= anti;
                report.anti_lift *= anti * car.brake_share;
            }
            Links::Corners(links) => {
                let report: &mut CornerReport = &mut links.solution.report;
                report.anti_squat *= anti;
                report.anti_lift *= anti * car.brake_share;
                report.anti_dive *= anti * car.brake_share;
            }
        }
        links
    }
}

impl Car {
    /// The links of one end, `"front"` or `"rear"`, as solved from their points: curves, figures,
    /// compliance, binding, and the links themselves for drawing. Nothing for an end given by
    /// coefficients, or of another name.
    pub fn linkage(&self, end: &str) -> Option<Links> {
        let index = ["front", "rear"].iter().position(|name| *name == end)?;
        let links = self.solved[index].as_ref()?;
        let front_share = self.of("brakes.front_share");
        let standing = super::weigh::stand_of(self);
        Some(links.of_car(Longitudinal {
            height: standing.center[2],
            wheelbase: self.of("wheelbase"),
            brake_share: if index == 0 {
                front_share
            } else {
                1.0 - front_share
            },
        }))
    }
}
