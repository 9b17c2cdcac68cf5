//! Lines of a linkage at a position, for pictures.

use crate::elements::{ForceElement, Side};
use crate::error::LinkageError;
use crate::parts::{Attachment, BodyId, Joint, Linkage, Triple, mirror};
use crate::solve::{Position, Solver};

/// Kind of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PieceKind {
    /// A rod.
    Link,
    /// Part of an arm or a bell crank, from its hinge to a point of a link or a joint.
    Arm,
    /// A strut from its foot to its top mount; an arm that is one piece with the axle or the
    /// knuckle, from the center to its mount.
    Guide,
    /// A spring.
    Spring,
    /// A damper.
    Damper,
    /// An anti-roll bar's arm and drop link.
    Bar,
}

impl PieceKind {
    /// Name, as Python shows it.
    pub const fn name(self) -> &'static str {
        match self {
            PieceKind::Link => "link",
            PieceKind::Arm => "arm",
            PieceKind::Guide => "guide",
            PieceKind::Spring => "spring",
            PieceKind::Damper => "damper",
            PieceKind::Bar => "bar",
        }
    }
}

/// One line of a picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Name of the part.
    pub name: String,
    /// Kind of the line.
    pub kind: PieceKind,
    /// Its two ends `[m, b]`.
    pub points: [Triple; 2],
    /// Whether each end is on the body (or subframe, or rack).
    pub fixed: [bool; 2],
}

/// Places of the parts of one side at a position.
#[derive(Clone, Copy)]
pub(crate) struct Sketch<'a> {
    pub solver: &'a Solver,
    pub position: &'a Position,
}

impl Sketch<'_> {
    /// Present place of a point of a part.
    fn place(&self, point: Attachment) -> Triple {
        let (m, p) = (&self.solver.mechanism, self.position);
        m.place(&p.state, p.travel.rack, point).0
    }

    fn piece(&self, name: &str, kind: PieceKind, ends: [Attachment; 2]) -> Piece {
        Piece {
            name: name.to_owned(),
            kind,
            points: ends.map(|end| self.place(end)),
            fixed: ends.map(|end| end.on.is_fixed()),
        }
    }

    /// Lines of links, members and guides.
    pub fn linkage(&self) -> Vec<Piece> {
        let parts = &self.solver.mechanism.parts;
        let mut out: Vec<Piece> = parts
            .links
            .iter()
            .map(|link| self.piece(&link.name, PieceKind::Link, link.ends.map(|end| end.point)))
            .collect();
        for (i, member) in parts.members.iter().enumerate() {
            for at in parts.points_on(BodyId::Member(i)) {
                for hinge in member.hinge {
                    let from = Attachment {
                        on: member.on,
                        at: hinge,
                    };
                    let ends = [from, Attachment::member(i, at)];
                    out.push(self.piece(&member.name, PieceKind::Arm, ends));
                }
            }
        }
        out.extend(parts.joints.iter().filter_map(|joint| self.guide(joint)));
        out
    }

    /// Line of a part that a joint guides: from the foot of a strut, else from the center of the
    /// carrier, to where it is guided.
    fn guide(&self, joint: &Joint) -> Option<Piece> {
        let bodies = [joint.guide, joint.guided];
        if !bodies.contains(&BodyId::Carrier) || !bodies.iter().any(|on| on.is_fixed()) {
            return None;
        }
        let foot = joint.foot.unwrap_or(self.solver.mechanism.center.0);
        let guided = Attachment {
            on: joint.guided,
            at: joint.at,
        };
        Some(Piece {
            // Guided by the body, whichever of both holds the point.
            fixed: [false, true],
            ..self.piece(
                &joint.name,
                PieceKind::Guide,
                [Attachment::carrier(foot), guided],
            )
        })
    }

    /// Lines of spring, damper and bar, as far as they are given by points.
    ///
    /// # Errors
    /// Errors of the bar end.
    pub fn side(&self, side: &Side) -> Result<Vec<Piece>, LinkageError> {
        let mut out = Vec::new();
        for (element, name, kind) in [
            (side.spring, "spring", PieceKind::Spring),
            (side.damper, "damper", PieceKind::Damper),
        ] {
            if let Some(ForceElement { body, moving }) = element {
                out.push(self.piece(name, kind, [body, moving]));
            }
        }
        if let Some(bar) = &side.bar {
            let end = bar.end_at(self.solver, self.position)?;
            let arm = [bar.pivot, end].map(Attachment::body);
            out.push(self.piece(&bar.name, PieceKind::Bar, arm));
            let link = [Attachment::body(end), bar.moving];
            out.push(self.piece(&bar.name, PieceKind::Bar, link));
        }
        Ok(out)
    }
}

impl Linkage {
    /// Points of links and joints on a member.
    fn points_on(&self, on: BodyId) -> Vec<Triple> {
        let links = self.links.iter().flat_map(|link| link.ends);
        let by_links = links.filter(|end| end.point.on == on).map(|e| e.point.at);
        let by_joints = self
            .joints
            .iter()
            .filter(|joint| joint.guide == on || joint.guided == on)
            .map(|joint| joint.at);
        by_links.chain(by_joints).collect()
    }
}

impl Piece {
    /// Mirror image in the car's center plane.
    #[must_use]
    pub fn mirrored(&self) -> Piece {
        Piece {
            points: self.points.map(mirror),
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::axle::{FourLink, Panhard, Rod};
    use crate::corner::{MacPherson, TieRod, Wishbone};
    use crate::material::Material;
    use crate::mechanism::{Carried, Mechanism};
    use crate::travel::Travel;
    use axletree_scalar::Real;

    fn solver(parts: Linkage, carried: Carried, center: Triple) -> Solver {
        Solver::new(Mechanism::new(parts, carried, center).unwrap()).unwrap()
    }

    #[test]
    fn every_link_is_a_line_from_body_to_axle() {
        let rubber = Material::Rubber.bushing();
        let rod = |y: f64, z: f64| Rod::new([0.5, y, z], [0.0, y, z], rubber);
        let parts = FourLink {
            lower: rod(0.5, 0.2),
            upper: rod(0.2, 0.45),
        }
        .parts()
        .and(
            Panhard {
                rod: Rod::new([-0.1, 0.5, 0.3], [-0.1, -0.5, 0.3], rubber),
            }
            .parts(),
        );
        let solver = solver(parts, Carried::Axle, [0.0, 0.0, 0.3]);
        let at_rest = Sketch {
            solver: &solver,
            position: &solver.start,
        };
        let pieces = at_rest.linkage();
        assert_eq!(pieces.len(), 5);
        for piece in &pieces {
            assert_eq!(piece.kind, PieceKind::Link);
            assert_ne!(piece.fixed[0], piece.fixed[1], "{}", piece.name);
        }
        let sum = pieces[0].mirrored().points[0][1] + pieces[0].points[0][1];
        assert!(pieces[0].points[0][1] > 0.1 && sum.abs() < 1e-300);
    }

    /// A strut runs from its foot to its top mount; links keep their length over the travel, and
    /// the foot and the mount stay on the strut's axis while their distance changes.
    #[test]
    fn a_strut_runs_from_its_foot_to_its_mount_at_any_travel() {
        let rubber = Material::Rubber.bushing();
        let (foot, top) = ([-0.005, 0.655, 0.3], [-0.035, 0.575, 0.83]);
        let parts = MacPherson {
            lower: Wishbone {
                on: BodyId::Body,
                inner: [[0.15, 0.35, 0.205], [-0.2, 0.36, 0.215]],
                inner_bushings: [rubber; 2],
                ball: [0.005, 0.715, 0.19],
                ball_bushing: rubber,
            },
            top,
            axis_point: foot,
            top_bushing: rubber,
            tie_rod: TieRod {
                on: BodyId::Body,
                inner: [-0.14, 0.34, 0.235],
                outer: [-0.14, 0.69, 0.225],
                bushings: [rubber; 2],
            },
        }
        .parts();
        let solver = solver(parts, Carried::Wheel, [0.0, 0.75, 0.31]);
        let lengths = |travel: f64| {
            let position = solver.at(Travel::heave(travel)).unwrap();
            let sketch = Sketch {
                solver: &solver,
                position: &position,
            };
            let pieces = sketch.linkage();
            let strut = pieces.iter().find(|piece| piece.name == "strut").unwrap();
            let length = |piece: &Piece| {
                let [a, b] = piece.points;
                let square: f64 = (0..3).map(|k| Real::sq(a[k] - b[k])).sum();
                square.sqrt()
            };
            let rod = pieces.iter().find(|piece| piece.name == "tie rod").unwrap();
            (strut.points, length(strut), length(rod))
        };
        let (points, at_rest, rod) = lengths(0.0);
        for k in 0..3 {
            assert!((points[0][k] - foot[k]).abs() < 1e-12);
            assert!((points[1][k] - top[k]).abs() < 1e-12);
        }
        let (moved, in_bump, rod_in_bump) = lengths(0.05);
        assert!((0..3).all(|k| (moved[1][k] - top[k]).abs() < 1e-12));
        assert!(at_rest - in_bump > 0.045, "{at_rest} {in_bump}");
        assert!((rod - rod_in_bump).abs() < 1e-9);
    }
}
