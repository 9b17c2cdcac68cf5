//! Multi-link suspension: five rods from body, subframe or rack to the knuckle.

use crate::parts::{Link, Linkage};

/// Five rods.
#[derive(Clone, Debug, PartialEq)]
pub struct MultiLink {
    /// Rods, each with its own name.
    pub links: Vec<Link>,
}

impl MultiLink {
    /// The rods as parts.
    pub fn parts(&self) -> Linkage {
        Linkage {
            links: self.links.clone(),
            ..Linkage::default()
        }
    }
}
