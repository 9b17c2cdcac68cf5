//! What a linkage is made of, as a person would list it.
//!
//! One body, the carrier (a solid axle or a knuckle), is held to the car's body by three kinds of
//! part. All points are given where they are at static, in axes fixed in the body: x forward, y left,
//! z up from the ground [m].
//!
//! - A [`Link`]: a rod with an end on each of two bodies; it keeps the distance of its ends.
//! - A [`Member`]: a part hinged on the body or on the carrier: a wishbone, a bell crank, a trailing
//!   arm. It adds one angle.
//! - A [`Joint`]: one body is guided by another in up to three directions at a point: a ball joint
//!   (three), a strut that slides along its axis (two), the mount of a torque arm that holds height
//!   only (one).

use crate::bushing::Bushing;

/// A point or a direction, forward, left, up.
pub type Triple = [f64; 3];

/// The body that a point is fixed to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Frame {
    /// The car's body.
    Body,
    /// A subframe on mounts of its own; for kinematics alone it is the body.
    Subframe,
    /// The steering rack, which moves sideways.
    Rack,
    /// The axle or the knuckle.
    Carrier,
    /// A hinged member, by its place in the list.
    Member(usize),
}

impl Frame {
    /// Whether it stands still when only the carrier moves.
    pub fn is_fixed(self) -> bool {
        matches!(self, Frame::Body | Frame::Subframe | Frame::Rack)
    }
}

/// A point fixed to one of the bodies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Attachment {
    /// Which body.
    pub on: Frame,
    /// Where it is at static [m, b].
    pub at: Triple,
}

impl Attachment {
    /// On the car's body.
    pub const fn body(at: Triple) -> Self {
        Attachment {
            on: Frame::Body,
            at,
        }
    }
    /// On the axle or the knuckle.
    pub const fn carrier(at: Triple) -> Self {
        Attachment {
            on: Frame::Carrier,
            at,
        }
    }
    /// On a hinged member.
    pub const fn member(index: usize, at: Triple) -> Self {
        Attachment {
            on: Frame::Member(index),
            at,
        }
    }
}

/// The end of a link.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct End {
    /// Where it is.
    pub point: Attachment,
    /// How it yields.
    pub bushing: Bushing,
    /// Direction of the sleeve at static; none: horizontal and square to the link [-, b].
    pub sleeve: Option<Triple>,
}

impl End {
    /// An end with its sleeve horizontal and square to the link.
    pub const fn new(point: Attachment, bushing: Bushing) -> Self {
        End {
            point,
            bushing,
            sleeve: None,
        }
    }
}

/// A rod.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// Its name, for people and errors.
    pub name: String,
    /// Its two ends.
    pub ends: [End; 2],
    /// Its length, when it is not the distance of the points given [m].
    pub length: Option<f64>,
}

impl Link {
    /// A rod as long as its points are apart.
    pub fn new(name: impl Into<String>, a: End, b: End) -> Self {
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
    /// Its name.
    pub name: String,
    /// What it is hinged on.
    pub on: Frame,
    /// Two points of the hinge at static [m, b].
    pub hinge: [Triple; 2],
    /// The bushing at each of them; the sleeves lie along the hinge.
    pub bushings: [Bushing; 2],
}

/// A guide of one body by another.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    /// Its name.
    pub name: String,
    /// The body that the directions turn with.
    pub guide: Frame,
    /// The body that is guided.
    pub guided: Frame,
    /// The point at which both bodies meet at static [m, b].
    pub at: Triple,
    /// Directions in which they may not part, square to each other and of unit length [-, b].
    pub blocked: Vec<Triple>,
    /// How it yields.
    pub bushing: Bushing,
    /// Direction of its sleeve at static [-, b].
    pub sleeve: Triple,
    /// Whether the bushing holds in the other directions too when it yields: true for the second
    /// pivot of an arm, false for a slide.
    pub all_round: bool,
}

impl Joint {
    /// A ball joint: three directions.
    pub fn ball(
        name: impl Into<String>,
        on: [Frame; 2],
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
        }
    }
}

/// All parts that hold one carrier.
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
    /// These parts and those of another list; members of the other are counted on.
    #[must_use]
    pub fn and(mut self, other: Linkage) -> Linkage {
        let shift = self.members.len();
        let moved = |frame: Frame| match frame {
            Frame::Member(i) => Frame::Member(i + shift),
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

    /// The mirror image in the car's center plane.
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
        }
        m
    }

    /// The same parts with every bushing replaced.
    #[must_use]
    pub fn with_bushings(&self, bushing: Bushing) -> Linkage {
        let mut m = self.clone();
        for link in &mut m.links {
            for end in &mut link.ends {
                end.bushing = bushing;
            }
        }
        for member in &mut m.members {
            member.bushings = [bushing; 2];
        }
        for joint in &mut m.joints {
            joint.bushing = bushing;
        }
        m
    }
}

/// The mirror image of a point.
pub fn mirror(p: Triple) -> Triple {
    [p[0], -p[1], p[2]]
}

fn flip(p: &mut Triple) {
    p[1] = -p[1];
}

impl Attachment {
    /// The mirror image.
    #[must_use]
    pub fn mirrored(self) -> Self {
        Attachment {
            on: self.on,
            at: mirror(self.at),
        }
    }
}
