//! A Panhard bar: one rod across the car from body to axle. The axle walks sideways on the rod's arc.

use super::Rod;
use crate::parts::Linkage;

/// One rod across.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Panhard {
    /// The rod.
    pub rod: Rod,
}

impl Panhard {
    /// The parts.
    pub fn parts(&self) -> Linkage {
        Linkage {
            links: vec![self.rod.link("Panhard bar")],
            ..Linkage::default()
        }
    }
}
