//! Five links: four along the car, without symmetry, and one across. They remove five degrees of
//! freedom where four are to be removed, so the axle moves only by deflection of the link ends.

use crate::axle::rod::Rod;
use crate::parts::Linkage;

/// Five links, both sides given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FiveLink {
    /// Lower links: left, right.
    pub lower: [Rod; 2],
    /// Upper links: left, right.
    pub upper: [Rod; 2],
    /// The link across the car.
    pub across: Rod,
}

impl FiveLink {
    /// The links as parts.
    pub fn parts(&self) -> Linkage {
        Linkage {
            links: vec![
                self.lower[0].link("lower link left"),
                self.lower[1].link("lower link right"),
                self.upper[0].link("upper link left"),
                self.upper[1].link("upper link right"),
                self.across.link("lateral link"),
            ],
            ..Linkage::default()
        }
    }
}
