//! Two lower and two upper links. Upper links angled in plan carry the side load (triangulated);
//! parallel ones need a Panhard bar or a Watt's linkage besides, and are then over-constrained.

use super::{Rod, pair};
use crate::parts::Linkage;

/// Four links, the left ones given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FourLink {
    /// Lower left link.
    pub lower: Rod,
    /// Upper left link.
    pub upper: Rod,
}

impl FourLink {
    /// The parts.
    pub fn parts(&self) -> Linkage {
        pair("lower link", &self.lower).and(pair("upper link", &self.upper))
    }
}
