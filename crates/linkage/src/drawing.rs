//! Lines of a linkage at static, for pictures.

use crate::elements::Side;
use crate::parts::{Attachment, BodyId, Linkage, Triple, mirror};

/// Kind of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PieceKind {
    /// A rod.
    Link,
    /// Part of an arm or a bell crank, from its hinge to a point of a link or a joint.
    Arm,
    /// From the wheel or axle center to where a strut or a torque arm is guided.
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

fn piece(name: &str, kind: PieceKind, a: Attachment, b: Attachment) -> Piece {
    Piece {
        name: name.to_owned(),
        kind,
        points: [a.at, b.at],
        fixed: [a.on.is_fixed(), b.on.is_fixed()],
    }
}

impl Linkage {
    /// Lines of links, members and guides; guides start at the center of the wheel or the axle.
    pub fn pieces(&self, center: Triple) -> Vec<Piece> {
        let mut out: Vec<Piece> = self
            .links
            .iter()
            .map(|link| {
                let [a, b] = link.ends.map(|end| end.point);
                piece(&link.name, PieceKind::Link, a, b)
            })
            .collect();
        for (i, member) in self.members.iter().enumerate() {
            let points = self.points_on(BodyId::Member(i));
            for at in points {
                for hinge in member.hinge {
                    let from = Attachment {
                        on: member.on,
                        at: hinge,
                    };
                    let to = Attachment::member(i, at);
                    out.push(piece(&member.name, PieceKind::Arm, from, to));
                }
            }
        }
        for joint in &self.joints {
            let bodies = [joint.guide, joint.guided];
            if bodies.contains(&BodyId::Carrier) && bodies.iter().any(|on| on.is_fixed()) {
                let to = Attachment {
                    on: BodyId::Body,
                    at: joint.at,
                };
                out.push(piece(
                    &joint.name,
                    PieceKind::Guide,
                    Attachment::carrier(center),
                    to,
                ));
            }
        }
        out
    }

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

impl Side {
    /// Lines of spring, damper and bar, as far as they are given by points.
    pub fn pieces(&self) -> Vec<Piece> {
        let mut out = Vec::new();
        for (element, name, kind) in [
            (self.spring, "spring", PieceKind::Spring),
            (self.damper, "damper", PieceKind::Damper),
        ] {
            if let Some(element) = element {
                out.push(piece(name, kind, element.body, element.moving));
            }
        }
        if let Some(bar) = &self.bar {
            let (pivot, end) = (Attachment::body(bar.pivot), Attachment::body(bar.end));
            out.push(piece(&bar.name, PieceKind::Bar, pivot, end));
            out.push(piece(&bar.name, PieceKind::Bar, end, bar.moving));
        }
        out
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
    use crate::material::Material;

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
        let pieces = parts.pieces([0.0, 0.0, 0.3]);
        assert_eq!(pieces.len(), 5);
        for piece in &pieces {
            assert_eq!(piece.kind, PieceKind::Link);
            assert_ne!(piece.fixed[0], piece.fixed[1], "{}", piece.name);
        }
        let sum = pieces[0].mirrored().points[0][1] + pieces[0].points[0][1];
        assert!(pieces[0].points[0][1] > 0.1 && sum.abs() < 1e-300);
    }
}
