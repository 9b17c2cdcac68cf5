//! Three links along the car: two lower and one upper. They need a Panhard bar or a Watt's linkage
//! in addition.

use crate::axle::rod::{Rod, pair};
use crate::parts::Linkage;

/// Three links, given by the lower left and the upper one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreeLink {
    /// Lower left link.
    pub lower: Rod,
    /// Upper link, on or beside the center plane.
    pub upper: Rod,
}

impl ThreeLink {
    /// The links as parts.
    pub fn parts(&self) -> Linkage {
        let mut parts = pair("lower link", &self.lower);
        parts.links.push(self.upper.link("upper link"));
        parts
    }
}
