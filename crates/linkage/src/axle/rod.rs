//! Rods between body and axle, singly and in mirrored pairs.

use crate::bushing::Bushing;
use crate::parts::{Attachment, BodyId, Link, LinkEnd, Linkage, Triple, mirror};

/// A rod between the car's body and the axle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rod {
    /// End on the car's body.
    pub body: LinkEnd,
    /// End on the axle.
    pub axle: LinkEnd,
}

impl Rod {
    /// A rod between two points, with the same bushing at both ends.
    pub const fn new(body: Triple, axle: Triple, bushing: Bushing) -> Self {
        Rod {
            body: LinkEnd::new(Attachment::body(body), bushing),
            axle: LinkEnd::new(Attachment::carrier(axle), bushing),
        }
    }

    /// Mirror image in the car's center plane.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let flip = |end: LinkEnd| LinkEnd {
            point: end.point.mirrored(),
            bushing: end.bushing,
            sleeve: end.sleeve.map(mirror),
        };
        Rod {
            body: flip(self.body),
            axle: flip(self.axle),
        }
    }

    /// The rod as a link with a name.
    pub fn link(&self, name: impl Into<String>) -> Link {
        Link::new(name, self.body, self.axle)
    }

    /// The same rod with its axle end on another body.
    #[must_use]
    pub(crate) fn onto(mut self, body: BodyId) -> Self {
        self.axle.point.on = body;
        self
    }
}

/// A rod on the left and its mirror image on the right.
pub fn pair(name: &str, left: &Rod) -> Linkage {
    Linkage {
        links: vec![
            left.link(format!("{name} left")),
            left.mirrored().link(format!("{name} right")),
        ],
        ..Linkage::default()
    }
}
