//! Multi-link: five rods from body, subframe or rack to the knuckle.

use crate::parts::{Link, Linkage};

/// Five rods.
#[derive(Clone, Debug, PartialEq)]
pub struct MultiLink {
    /// The rods, each with a name.
    pub links: Vec<Link>,
}

impl MultiLink {
    /// The parts.
    pub fn parts(&self) -> Linkage {
        Linkage {
            links: self.links.clone(),
            ..Linkage::default()
        }
    }
}
