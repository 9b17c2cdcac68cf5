//! Double wishbones: each wishbone is hinged on the body at two points and carries the knuckle in a
//! ball joint; a tie rod from rack or body fixes the toe.

use crate::bushing::Bushing;
use crate::parts::{Attachment, BodyId, Joint, Link, LinkEnd, Linkage, Member, Triple};

/// A wishbone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wishbone {
    /// The body it is hinged on: car's body or subframe.
    pub on: BodyId,
    /// Inner points: front, rear `[m, b]`.
    pub inner: [Triple; 2],
    /// Bushings of the inner points, sleeves along the hinge.
    pub inner_bushings: [Bushing; 2],
    /// Ball joint on the knuckle `[m, b]`.
    pub ball: Triple,
    /// Bushing of the ball joint.
    pub ball_bushing: Bushing,
}

impl Wishbone {
    /// The wishbone as member 0 with its ball joint.
    pub(crate) fn parts(&self, name: &str) -> Linkage {
        let along: Triple = std::array::from_fn(|i| self.inner[1][i] - self.inner[0][i]);
        Linkage {
            links: Vec::new(),
            members: vec![Member {
                name: name.to_owned(),
                on: self.on,
                hinge: self.inner,
                bushings: self.inner_bushings,
            }],
            joints: vec![Joint::ball(
                format!("{name} ball joint"),
                [BodyId::Member(0), BodyId::Carrier],
                self.ball,
                self.ball_bushing,
                along,
            )],
        }
    }
}

/// The rod that fixes the toe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TieRod {
    /// The body of its inner end: rack, car's body or subframe.
    pub on: BodyId,
    /// Inner end `[m, b]`.
    pub inner: Triple,
    /// Outer end, on the knuckle `[m, b]`.
    pub outer: Triple,
    /// Bushings: inner, outer.
    pub bushings: [Bushing; 2],
}

impl TieRod {
    /// The tie rod as a link.
    pub fn link(&self, name: &str) -> Link {
        Link::new(
            name,
            LinkEnd::new(
                Attachment {
                    on: self.on,
                    at: self.inner,
                },
                self.bushings[0],
            ),
            LinkEnd::new(Attachment::carrier(self.outer), self.bushings[1]),
        )
    }
}

/// Two wishbones and a tie rod. The lower wishbone is member 0, the upper member 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DoubleWishbone {
    /// Lower wishbone.
    pub lower: Wishbone,
    /// Upper wishbone.
    pub upper: Wishbone,
    /// Tie rod.
    pub tie_rod: TieRod,
}

impl DoubleWishbone {
    /// Wishbones and tie rod as parts.
    pub fn parts(&self) -> Linkage {
        let mut parts = self
            .lower
            .parts("lower wishbone")
            .and(self.upper.parts("upper wishbone"));
        parts.links.push(self.tie_rod.link("tie rod"));
        parts
    }

    /// Points of the steering axis: lower ball joint, upper ball joint `[m, b]`.
    pub fn steering_axis(&self) -> [Triple; 2] {
        [self.lower.ball, self.upper.ball]
    }
}
