//! Four links along the car, each where it happens to be, and one across. Five constraints for four
//! freedoms: it moves only because its ends yield.

use super::Rod;
use crate::parts::Linkage;

/// Five links, all given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FiveLink {
    /// Lower links: left, right.
    pub lower: [Rod; 2],
    /// Upper links: left, right.
    pub upper: [Rod; 2],
    /// The link across.
    pub across: Rod,
}

impl FiveLink {
    /// The parts.
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
