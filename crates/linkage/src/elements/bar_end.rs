//! The end of an anti-roll bar with its drop link.
//!
//! The end swings about the bar's axis and is connected to the carrier or to a member by a drop
//! link of constant length. With the arm `e` from the bar's axis to the end at static, the foot `h`
//! of the arm, the attachment p and the length l of the drop link, the angle t of the arm follows
//! from `|h + e_t - p| = l`, which has the form `A cos t + B sin t = C`. The travel of the bar's
//! end is the arc `|e| t`, bump positive.

use axletree_scalar::{Real, Vec3, lone};

use crate::error::LinkageError;
use crate::mechanism::{PerUnknown, axis_direction};
use crate::parts::{Attachment, Triple, mirror};
use crate::solve::{Position, Solver};
use crate::travel::Travel;

/// Shortest arm `[m]`.
const MIN_ARM: f64 = 1e-3;

/// One end of an anti-roll bar.
#[derive(Clone, Debug, PartialEq)]
pub struct BarEnd {
    /// Name.
    pub name: String,
    /// A point of the bar's axis, on the body `[m, b]`.
    pub pivot: Triple,
    /// Direction of the bar's axis `[-, b]`.
    pub axis: Triple,
    /// End of the bar's arm `[m, b]`.
    pub end: Triple,
    /// Point of the drop link on the carrier or a member.
    pub moving: Attachment,
}

impl BarEnd {
    /// Mirror image in the car's center plane.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        BarEnd {
            name: self.name.clone(),
            pivot: mirror(self.pivot),
            axis: mirror(self.axis),
            end: mirror(self.end),
            moving: self.moving.mirrored(),
        }
    }

    /// Arm from the axis to the end, foot of the arm on the axis, and unit vector along the axis.
    fn arm(&self) -> Result<[Vec3<f64>; 3], LinkageError> {
        let a = axis_direction(&self.name, self.axis, "the bar's axis has no length")?;
        let out = Vec3(self.end) - Vec3(self.pivot);
        let foot = Vec3(self.pivot) + a.times(a.dot(out));
        let e = Vec3(self.end) - foot;
        if e.norm() < MIN_ARM || e.norm().is_nan() {
            return Err(LinkageError::TooShort {
                name: self.name.clone(),
                length: e.norm(),
                least: MIN_ARM,
            });
        }
        Ok([e, foot, a])
    }

    /// Length of the drop link `[m]`.
    fn drop_link(&self, solver: &Solver) -> f64 {
        let m = &solver.mechanism;
        (Vec3(self.end) - m.place(&solver.start.state, 0.0, self.moving)).norm()
    }

    /// Angle of the bar's arm about its axis from static `[rad]`.
    fn angle(&self, solver: &Solver, p: &Position) -> Result<f64, LinkageError> {
        let [e, foot, a] = self.arm()?;
        let l = self.drop_link(solver);
        let at = solver.mechanism.place(&p.state, p.travel.rack, self.moving);
        let w = at - foot;
        let (x, y) = (w.dot(e), w.dot(a.cross(e)));
        let c = 0.5 * (e.dot(e) + w.dot(w) - l * l);
        let size = Real::hypot(x, y);
        let missing = |travel: Travel| LinkageError::DropLink {
            name: self.name.clone(),
            travel,
        };
        if size <= c.abs() {
            return Err(missing(p.travel));
        }
        let (mean, open) = (Real::atan2(y, x), lone::acos(c / size));
        // There are two solutions; the sign at static selects the one assembled.
        let w0 = solver
            .mechanism
            .place(&solver.start.state, 0.0, self.moving)
            - foot;
        let side = if w0.dot(a.cross(e)) > 0.0 { -1.0 } else { 1.0 };
        let t = mean + side * open;
        Ok((t + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU) - std::f64::consts::PI)
    }

    /// Present place of the arm's end `[m, b]`.
    ///
    /// # Errors
    /// As [`BarEnd::travel`].
    pub fn end_at(&self, solver: &Solver, p: &Position) -> Result<Triple, LinkageError> {
        let [e, foot, a] = self.arm()?;
        let t = self.angle(solver, p)?;
        Ok((foot + e.times(Real::cos(t)) + a.cross(e).times(Real::sin(t))).0)
    }

    /// Sign of the arm's angle as the wheel rises from static.
    fn sense(&self, solver: &Solver) -> Result<f64, LinkageError> {
        Ok(
            if self.turn_rate(solver, &solver.start, &solver.start.rates.heave)? < 0.0 {
                -1.0
            } else {
                1.0
            },
        )
    }

    /// Angle of the arm per travel, about its own axis.
    fn turn_rate(
        &self,
        solver: &Solver,
        p: &Position,
        by: &PerUnknown<f64>,
    ) -> Result<f64, LinkageError> {
        let [e, foot, a] = self.arm()?;
        let t = self.angle(solver, p)?;
        let end = e.times(Real::cos(t)) + a.cross(e).times(Real::sin(t));
        let m = &solver.mechanism;
        let at = m.place(&p.state, p.travel.rack, self.moving);
        let v = m.velocity(&p.state, p.travel.rack, by, self.moving);
        let link = foot + end - at;
        let across = link.dot(a.cross(end));
        if across.abs() < 1e-9 {
            return Err(LinkageError::DropLink {
                name: self.name.clone(),
                travel: p.travel,
            });
        }
        Ok(link.dot(v) / across)
    }

    /// Travel of the bar's end from static, bump positive `[m]`.
    ///
    /// # Errors
    /// Errors of a bar without arm or axis; [`LinkageError::DropLink`] where the link is too short.
    pub fn travel(&self, solver: &Solver, p: &Position) -> Result<f64, LinkageError> {
        let [e, _, _] = self.arm()?;
        Ok(self.sense(solver)? * e.norm() * self.angle(solver, p)?)
    }

    /// Travel of the bar's end per travel `[-]`, or per roll `[m/rad]`, for the rates `by` of the
    /// unknowns.
    ///
    /// # Errors
    /// As [`BarEnd::travel`].
    pub fn motion_ratio(
        &self,
        solver: &Solver,
        p: &Position,
        by: &PerUnknown<f64>,
    ) -> Result<f64, LinkageError> {
        let [e, _, _] = self.arm()?;
        Ok(self.sense(solver)? * e.norm() * self.turn_rate(solver, p, by)?)
    }
}
