//! Springs and dampers between two points.
//!
//! A spring or a damper is compressed by the decrease of the distance of its two points from
//! static.

use axletree_scalar::Vec3;

use crate::mechanism::PerUnknown;
use crate::parts::Attachment;
use crate::solve::{Position, Solver};

/// A spring or a damper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ForceElement {
    /// End on the car's body.
    pub body: Attachment,
    /// End on the carrier or a member.
    pub moving: Attachment,
}

impl ForceElement {
    /// Mirror image in the car's center plane.
    #[must_use]
    pub fn mirrored(self) -> Self {
        ForceElement {
            body: self.body.mirrored(),
            moving: self.moving.mirrored(),
        }
    }

    /// Vector from the end on the body to the other.
    fn apart(&self, solver: &Solver, p: &Position) -> Vec3<f64> {
        let m = &solver.mechanism;
        m.place(&p.state, p.travel.rack, self.moving) - m.place(&p.state, p.travel.rack, self.body)
    }

    /// Compression from static `[m]`.
    pub fn compression(&self, solver: &Solver, p: &Position) -> f64 {
        self.apart(solver, &solver.start).norm() - self.apart(solver, p).norm()
    }

    /// Compression per travel `[-]`, or per roll `[m/rad]`, for the rates `by` of the unknowns.
    pub fn motion_ratio(&self, solver: &Solver, p: &Position, by: &PerUnknown<f64>) -> f64 {
        let u = self.apart(solver, p).unit();
        -u.dot(
            solver
                .mechanism
                .velocity(&p.state, p.travel.rack, by, self.moving),
        )
    }
}
