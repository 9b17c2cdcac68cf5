//! The solved links of an end.

use axletree_linkage::{
    AxleLinkage, AxleRange, AxleReport, AxleSolution, CornerLinkage, CornerRange, CornerReport,
    CornerSolution, Longitudinal, Subframe,
};

use crate::assemble::roll_steer::RollSteer;

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
    /// Points, links and bushings, x from the axle line, z from the road `[m]`.
    pub linkage: AxleLinkage,
    /// Travel that the curves cover.
    pub range: AxleRange,
    /// Curves, figures, compliance, binding.
    pub solution: AxleSolution,
}

/// A pair of corners on their links.
#[derive(Clone, Debug)]
pub struct CornerLinks {
    /// Points, links and bushings of the left corner, x from the axle line, z from the road `[m]`.
    pub linkage: CornerLinkage,
    /// Travel that the curves cover.
    pub range: CornerRange,
    /// The subframe's mounts, where it has such.
    pub subframe: Option<Subframe>,
    /// Curves, figures, compliance, binding.
    pub solution: CornerSolution,
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

    /// Torque about the wheels' axis per turn of the part that carries the differential on its
    /// links or mounts; nothing where that part does not turn `[N*m/rad]`.
    pub fn windup_stiffness(&self) -> Option<f64> {
        match self {
            Links::Axle(links) => &links.solution.compliance,
            Links::Corners(links) => &links.solution.compliance,
        }
        .windup_stiffness()
    }

    /// Steer of the axle by its roll; none for corners.
    pub(crate) fn roll_steer(&self) -> RollSteer {
        self.axle().map_or_else(RollSteer::default, |axle| {
            let c = axle.solution.curves.yaw.c;
            RollSteer([c[2], c[5], c[9]])
        })
    }

    /// With the figures of a car's height, wheelbase and brake share.
    pub(crate) fn of_car(&self, car: Longitudinal) -> Links {
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
