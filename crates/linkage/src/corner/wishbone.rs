//! Double wishbone: each wishbone is hinged on the body at two points and carries the knuckle in a
//! ball joint; a tie rod from rack or body holds the toe.

use crate::bushing::Bushing;
use crate::parts::{Attachment, End, Frame, Joint, Link, Linkage, Member, Triple};

/// A wishbone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wishbone {
    /// What it is hinged on: body or subframe.
    pub on: Frame,
    /// Inner points: front, rear [m, b].
    pub inner: [Triple; 2],
    /// Their bushings, sleeves along the hinge.
    pub inner_bushings: [Bushing; 2],
    /// The ball joint on the knuckle [m, b].
    pub ball: Triple,
    /// How the ball joint yields.
    pub ball_bushing: Bushing,
}

impl Wishbone {
    /// As member number `index`, with its ball joint.
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
                [Frame::Member(0), Frame::Carrier],
                self.ball,
                self.ball_bushing,
                along,
            )],
        }
    }
}

/// A rod that holds the toe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TieRod {
    /// What its inner end is on: rack, body or subframe.
    pub on: Frame,
    /// Inner end [m, b].
    pub inner: Triple,
    /// Outer end, on the knuckle [m, b].
    pub outer: Triple,
    /// Its bushings: inner, outer.
    pub bushings: [Bushing; 2],
}

impl TieRod {
    /// As a link.
    pub fn link(&self, name: &str) -> Link {
        Link::new(
            name,
            End::new(
                Attachment {
                    on: self.on,
                    at: self.inner,
                },
                self.bushings[0],
            ),
            End::new(Attachment::carrier(self.outer), self.bushings[1]),
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
    /// The parts.
    pub fn parts(&self) -> Linkage {
        let mut parts = self
            .lower
            .parts("lower wishbone")
            .and(self.upper.parts("upper wishbone"));
        parts.links.push(self.tie_rod.link("tie rod"));
        parts
    }

    /// The steering axis: from the lower ball joint to the upper [m, b].
    pub fn steering_axis(&self) -> [Triple; 2] {
        [self.lower.ball, self.upper.ball]
    }
}
