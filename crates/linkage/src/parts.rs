//! Parts of a linkage: rods, hinged members and joints.
//!
//! Three kinds of part connect the carrier (a solid axle or a knuckle) to the car's body. Points
//! are given at the static position, in axes fixed in the body: x forward, y left, z up from the
//! ground `[m]`.
//!
//! - A [`Link`] is a rod with its ends on two bodies; it keeps the distance of its ends.
//! - A [`Member`] is hinged on the body or on the carrier: a wishbone, a bell crank, a trailing
//!   arm. It adds one unknown, its angle.
//! - A [`Joint`] guides one body by another in up to three directions at a point: a ball joint
//!   (three), a strut that slides along its axis (two), the mount of a torque arm that holds only
//!   its height (one).

use crate::bushing::Bushing;

/// A point or a direction: forward, left, up.
pub type Triple = [f64; 3];

/// Identity of one body of a linkage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BodyId {
    /// The car's body.
    Body,
    /// A subframe on mounts; rigid with the body for kinematics.
    Subframe,
    /// The steering rack, which moves sideways.
    Rack,
    /// The axle or the knuckle.
    Carrier,
    /// A hinged member, by its index in the list.
    Member(usize),
}

impl BodyId {
    /// Whether it stays where it is while the carrier moves.
    pub fn is_fixed(self) -> bool {
        matches!(self, BodyId::Body | BodyId::Subframe | BodyId::Rack)
    }
}

/// A point fixed to one of the bodies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Attachment {
    /// The body.
    pub on: BodyId,
    /// Position at static `[m, b]`.
    pub at: Triple,
}

impl Attachment {
    /// A point of the car's body.
    pub const fn body(at: Triple) -> Self {
        Attachment {
            on: BodyId::Body,
            at,
        }
    }
    /// A point of the axle or the knuckle.
    pub const fn carrier(at: Triple) -> Self {
        Attachment {
            on: BodyId::Carrier,
            at,
        }
    }
    /// A point of a hinged member.
    pub const fn member(index: usize, at: Triple) -> Self {
        Attachment {
            on: BodyId::Member(index),
            at,
        }
    }
}

/// End of a link.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LinkEnd {
    /// Its point.
    pub point: Attachment,
    /// Its bushing.
    pub bushing: Bushing,
    /// Direction of the sleeve at static; horizontal and square to the link where none is given
    /// `[-, b]`.
    pub sleeve: Option<Triple>,
}

impl LinkEnd {
    /// An end whose sleeve is horizontal and square to the link.
    pub const fn new(point: Attachment, bushing: Bushing) -> Self {
        LinkEnd {
            point,
            bushing,
            sleeve: None,
        }
    }
}

/// A rod.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// Name, for people and errors.
    pub name: String,
    /// Its two ends.
    pub ends: [LinkEnd; 2],
    /// Length, where it is not the distance of the points given `[m]`.
    pub length: Option<f64>,
}

impl Link {
    /// A rod as long as the distance of its points.
    pub fn new(name: impl Into<String>, a: LinkEnd, b: LinkEnd) -> Self {
        Link {
            name: name.into(),
            ends: [a, b],
            length: None,
        }
    }
}

/// A part hinged on the body (or subframe) or on the carrier.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    /// Name.
    pub name: String,
    /// The body it is hinged on.
    pub on: BodyId,
    /// Two points of the hinge at static `[m, b]`.
    pub hinge: [Triple; 2],
    /// Bushing at each point, its sleeve along the hinge.
    pub bushings: [Bushing; 2],
}

/// A guide of one body by another.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    /// Name.
    pub name: String,
    /// The body that the directions turn with.
    pub guide: BodyId,
    /// The body that is guided.
    pub guided: BodyId,
    /// Point at which both bodies meet at static `[m, b]`.
    pub at: Triple,
    /// Directions without relative displacement, square to each other and of unit length `[-, b]`.
    pub blocked: Vec<Triple>,
    /// Its bushing.
    pub bushing: Bushing,
    /// Direction of its sleeve at static `[-, b]`.
    pub sleeve: Triple,
    /// Whether the bushing has stiffness in the free directions too: true for the second pivot of
    /// an arm, false for a slide.
    pub all_round: bool,
    /// Point of the carrier at static from which the guided part is drawn, such as the foot of a
    /// strut; none for the carrier's center `[m, b]`.
    pub foot: Option<Triple>,
}

impl Joint {
    /// A ball joint: it blocks three directions.
    pub fn ball(
        name: impl Into<String>,
        on: [BodyId; 2],
        at: Triple,
        bushing: Bushing,
        sleeve: Triple,
    ) -> Self {
        Joint {
            name: name.into(),
            guide: on[0],
            guided: on[1],
            at,
            blocked: vec![[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
            bushing,
            sleeve,
            all_round: true,
            foot: None,
        }
    }

    /// A slide: a line of the knuckle through `point` always passes through `top`, a point of the
    /// body. Points that coincide give no direction, which the check of the parts reports.
    pub fn slide(name: impl Into<String>, point: Triple, top: Triple, bushing: Bushing) -> Joint {
        let along: [f64; 3] = std::array::from_fn(|i| top[i] - point[i]);
        let n = along.iter().map(|x| x * x).sum::<f64>().sqrt();
        let u = along.map(|x| x / n);
        // Two directions square to the axis, the first of them level with the ground or nearly so.
        let seed = if u[0].abs() < 0.9 {
            [1.0, 0.0, 0.0]
        } else {
            [0.0, 1.0, 0.0]
        };
        let dot = seed[0] * u[0] + seed[1] * u[1] + seed[2] * u[2];
        let first: [f64; 3] = std::array::from_fn(|i| seed[i] - dot * u[i]);
        let n = first.iter().map(|x| x * x).sum::<f64>().sqrt();
        let first = first.map(|x| x / n);
        let second = [
            u[1] * first[2] - u[2] * first[1],
            u[2] * first[0] - u[0] * first[2],
            u[0] * first[1] - u[1] * first[0],
        ];
        Joint {
            name: name.into(),
            guide: BodyId::Carrier,
            guided: BodyId::Body,
            at: top,
            blocked: vec![first, second],
            bushing,
            sleeve: along,
            all_round: false,
            foot: None,
        }
    }
}

/// All parts that locate one carrier.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Linkage {
    /// Rods.
    pub links: Vec<Link>,
    /// Hinged parts.
    pub members: Vec<Member>,
    /// Guides.
    pub joints: Vec<Joint>,
}

impl Linkage {
    /// These parts followed by those of another list, whose members are renumbered.
    #[must_use]
    pub fn and(mut self, other: Linkage) -> Linkage {
        let shift = self.members.len();
        let moved = |body: BodyId| match body {
            BodyId::Member(i) => BodyId::Member(i + shift),
            still => still,
        };
        for mut link in other.links {
            for end in &mut link.ends {
                end.point.on = moved(end.point.on);
            }
            self.links.push(link);
        }
        for mut joint in other.joints {
            joint.guide = moved(joint.guide);
            joint.guided = moved(joint.guided);
            self.joints.push(joint);
        }
        self.members.extend(other.members);
        self
    }

    /// Mirror image in the car's center plane.
    #[must_use]
    pub fn mirrored(&self) -> Linkage {
        let mut m = self.clone();
        for link in &mut m.links {
            for end in &mut link.ends {
                flip(&mut end.point.at);
                if let Some(sleeve) = &mut end.sleeve {
                    flip(sleeve);
                }
            }
        }
        for member in &mut m.members {
            member.hinge.iter_mut().for_each(flip);
        }
        for joint in &mut m.joints {
            flip(&mut joint.at);
            flip(&mut joint.sleeve);
            joint.blocked.iter_mut().for_each(flip);
            joint.foot.iter_mut().for_each(flip);
        }
        m
    }
}

/// One mount of a subframe.
#[derive(Clone, Debug, PartialEq)]
pub struct Mount {
    /// Name.
    pub name: String,
    /// Position `[m, b]`.
    pub at: Triple,
    /// Its bushing.
    pub bushing: Bushing,
    /// Direction of its sleeve `[-, b]`.
    pub sleeve: Triple,
}

/// A subframe that carries both corners of an end.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Subframe {
    /// Mounts on the body, of both sides.
    pub mounts: Vec<Mount>,
}

/// Mirror image of a point in the car's center plane.
pub fn mirror(p: Triple) -> Triple {
    [p[0], -p[1], p[2]]
}

fn flip(p: &mut Triple) {
    p[1] = -p[1];
}

impl Attachment {
    /// Mirror image in the car's center plane.
    #[must_use]
    pub fn mirrored(self) -> Self {
        Attachment {
            on: self.on,
            at: mirror(self.at),
        }
    }
}
