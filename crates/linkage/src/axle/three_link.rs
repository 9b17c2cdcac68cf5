//! Two lower links and one upper link along the car, to be joined with a Panhard bar or a Watt's
//! linkage.

use super::{Rod, pair};
use crate::parts::Linkage;

/// Three links, the lower left one given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreeLink {
    /// Lower left link.
    pub lower: Rod,
    /// The upper link, which may stand off the center plane.
    pub upper: Rod,
}

impl ThreeLink {
    /// The parts.
    pub fn parts(&self) -> Linkage {
        let mut parts = pair("lower link", &self.lower);
        parts.links.push(self.upper.link("upper link"));
        parts
    }
}
