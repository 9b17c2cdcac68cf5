//! Four links: two lower and two upper. Upper links angled in plan carry the side load (a
//! triangulated four-link); parallel ones need a Panhard bar or a Watt's linkage in addition, and
//! the axle is then over-constrained.

use crate::axle::rod::{Rod, pair};
use crate::parts::Linkage;

/// Four links, given by those of the left side.
///
/// ```
/// use axletree_linkage::Material;
/// use axletree_linkage::axle::{FourLink, Rod};
///
/// let end = Material::Rubber.bushing();
/// let parts = FourLink {
///     lower: Rod::new([0.55, 0.50, 0.26], [0.0, 0.50, 0.22], end),
///     upper: Rod::new([0.30, 0.35, 0.42], [0.0, 0.10, 0.46], end),
/// }
/// .parts();
/// assert_eq!(parts.links[3].name, "upper link right");
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FourLink {
    /// Lower left link.
    pub lower: Rod,
    /// Upper left link.
    pub upper: Rod,
}

impl FourLink {
    /// The links as parts.
    pub fn parts(&self) -> Linkage {
        pair("lower link", &self.lower).and(pair("upper link", &self.upper))
    }
}
