//! Locations of a solid axle: each is a list of parts over the one solver.
//!
//! A rod is described on the left side; [`pair`] mirrors it to the right. Freedoms taken of the six
//! of the axle must be four, so that heave and roll remain.
//!
//! | location | parts | taken |
//! | --- | --- | --- |
//! | triangulated four links | two lower, two angled upper | 4 |
//! | three links and Panhard bar | two lower, one upper, one across | 4 |
//! | torque arm | two lower, one guide of height, one across | 4 |
//! | four parallel links and Panhard bar | four along, one across | 5: over-constrained |
//! | five links | four along of unequal slopes, one across | 5: over-constrained |
//!
//! "One across" is a Panhard bar or a Watt's linkage.

pub mod five_link;
pub mod four_link;
pub mod panhard;
pub mod three_link;
pub mod torque_arm;
pub mod watts;

pub use five_link::FiveLink;
pub use four_link::FourLink;
pub use panhard::Panhard;
pub use three_link::ThreeLink;
pub use torque_arm::TorqueArm;
pub use watts::Watts;

use crate::bushing::Bushing;
use crate::parts::{Attachment, End, Frame, Link, Linkage, Triple};

/// A rod between body and axle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rod {
    /// Its end on the body.
    pub body: End,
    /// Its end on the axle.
    pub axle: End,
}

impl Rod {
    /// A rod between two points, with the same bushing at both ends.
    pub const fn new(body: Triple, axle: Triple, bushing: Bushing) -> Self {
        Rod {
            body: End::new(Attachment::body(body), bushing),
            axle: End::new(Attachment::carrier(axle), bushing),
        }
    }

    /// The mirror image.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let flip = |end: End| End {
            point: end.point.mirrored(),
            bushing: end.bushing,
            sleeve: end.sleeve.map(crate::parts::mirror),
        };
        Rod {
            body: flip(self.body),
            axle: flip(self.axle),
        }
    }

    /// As a link with a name.
    pub fn link(&self, name: impl Into<String>) -> Link {
        Link::new(name, self.body, self.axle)
    }

    /// The same rod with its axle end on another body.
    #[must_use]
    pub(crate) fn onto(mut self, frame: Frame) -> Self {
        self.axle.point.on = frame;
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
