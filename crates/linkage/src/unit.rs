//! Springs, dampers and bars between real points.
//!
//! A spring or damper is compressed by as much as the distance of its two points has shrunk since
//! static. The end of an anti-roll bar swings about the bar's axis and is tied to the carrier or to a
//! member by a drop link of constant length; with the arm `e` from the bar's axis to the end at static,
//! the attachment p and the drop link's length l, the angle t follows from
//! `|h + e_t - p| = l`, which has the form `A cos t + B sin t = C`. The travel of the bar's end is the
//! arc `|e| t`, in the sense of bump.

use axletree_scalar::Real;
use axletree_scalar::Vec3;
use axletree_scalar::elementary;

use crate::check::direction;
use crate::error::{LinkageError, Travel};
use crate::mechanism::{Row, v3};
use crate::parts::{Attachment, Triple};
use crate::solve::{Position, Solver};

/// A spring or a damper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// Its end on the body.
    pub body: Attachment,
    /// Its end on the carrier or a member.
    pub moving: Attachment,
}

/// One end of an anti-roll bar.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// Its name.
    pub name: String,
    /// A point of the bar's axis, on the body [m, b].
    pub pivot: Triple,
    /// Direction of the bar's axis [-, b].
    pub axis: Triple,
    /// The end of the bar's arm [m, b].
    pub end: Triple,
    /// Where the drop link is tied to the carrier or a member.
    pub moving: Attachment,
}

/// What stands between body and wheel on one side; each part may be missing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Side {
    /// The spring.
    pub spring: Option<Unit>,
    /// The damper.
    pub damper: Option<Unit>,
    /// The bar.
    pub bar: Option<Bar>,
}

impl Side {
    /// The mirror image.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let unit = |u: Unit| Unit {
            body: u.body.mirrored(),
            moving: u.moving.mirrored(),
        };
        let flip = crate::parts::mirror;
        Side {
            spring: self.spring.map(unit),
            damper: self.damper.map(unit),
            bar: self.bar.as_ref().map(|b| Bar {
                name: b.name.clone(),
                pivot: flip(b.pivot),
                axis: flip(b.axis),
                end: flip(b.end),
                moving: b.moving.mirrored(),
            }),
        }
    }
}

impl Unit {
    fn apart(&self, solver: &Solver, p: &Position) -> Vec3<f64> {
        let m = &solver.mechanism;
        m.place(&p.state, p.travel.rack, self.moving) - m.place(&p.state, p.travel.rack, self.body)
    }

    /// Compression since static [m].
    pub fn compression(&self, solver: &Solver, p: &Position) -> f64 {
        self.apart(solver, &solver.start).norm() - self.apart(solver, p).norm()
    }

    /// Compression per unit of travel [-, or m/rad].
    pub fn rate(&self, solver: &Solver, p: &Position, by: &Row<f64>) -> f64 {
        let u = self.apart(solver, p).unit();
        -u.dot(
            solver
                .mechanism
                .velocity(&p.state, p.travel.rack, by, self.moving),
        )
    }
}

impl Bar {
    /// Arm from the axis, foot of the arm on the axis, and the axis.
    fn arm(&self) -> Result<[Vec3<f64>; 3], LinkageError> {
        let a = direction(self.axis).ok_or_else(|| LinkageError::Direction {
            name: self.name.clone(),
            reason: "the bar's axis has no length",
        })?;
        let out = v3(self.end) - v3(self.pivot);
        let foot = v3(self.pivot) + a.times(a.dot(out));
        let e = v3(self.end) - foot;
        if e.norm() < 1e-3 || e.norm().is_nan() {
            return Err(LinkageError::TooShort {
                name: self.name.clone(),
                length: e.norm(),
                least: 1e-3,
            });
        }
        Ok([e, foot, a])
    }

    fn drop_link(&self, solver: &Solver) -> f64 {
        let m = &solver.mechanism;
        (v3(self.end) - m.place(&solver.start.state, 0.0, self.moving)).norm()
    }

    /// Angle of the bar's arm since static about its axis [rad].
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
        let (mean, open) = (Real::atan2(y, x), elementary::acos(c / size));
        // Of the two assemblies, the one that static belongs to has the sign of its opening.
        let w0 = solver
            .mechanism
            .place(&solver.start.state, 0.0, self.moving)
            - foot;
        let side = if w0.dot(a.cross(e)) > 0.0 { -1.0 } else { 1.0 };
        let t = mean + side * open;
        Ok((t + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU) - std::f64::consts::PI)
    }

    /// Sense of bump: the sign of the end's travel as the wheel rises at static.
    fn sense(&self, solver: &Solver) -> Result<f64, LinkageError> {
        Ok(
            if self.turn_rate(solver, &solver.start, &solver.start.rates.heave)? < 0.0 {
                -1.0
            } else {
                1.0
            },
        )
    }

    /// Turn of the arm per unit of travel, unsigned by bump.
    fn turn_rate(&self, solver: &Solver, p: &Position, by: &Row<f64>) -> Result<f64, LinkageError> {
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

    /// Travel of the bar's end since static, in the sense of bump [m].
    pub fn travel(&self, solver: &Solver, p: &Position) -> Result<f64, LinkageError> {
        let [e, _, _] = self.arm()?;
        Ok(self.sense(solver)? * e.norm() * self.angle(solver, p)?)
    }

    /// The same per unit of travel [-, or m/rad].
    pub fn rate(&self, solver: &Solver, p: &Position, by: &Row<f64>) -> Result<f64, LinkageError> {
        let [e, _, _] = self.arm()?;
        Ok(self.sense(solver)? * e.norm() * self.turn_rate(solver, p, by)?)
    }
}
