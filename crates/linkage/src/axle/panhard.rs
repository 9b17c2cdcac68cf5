//! Panhard bar: one rod across the car from body to axle, on whose arc the axle moves sideways.

use crate::axle::rod::Rod;
use crate::parts::Linkage;

/// A Panhard bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Panhard {
    /// The rod.
    pub rod: Rod,
}

impl Panhard {
    /// The bar as parts.
    pub fn parts(&self) -> Linkage {
        Linkage {
            links: vec![self.rod.link("Panhard bar")],
            ..Linkage::default()
        }
    }
}
