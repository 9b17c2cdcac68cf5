//! Strut suspension: a lower arm, a strut that is fixed to the knuckle and slides through the top
//! mount, and a tie rod.

use crate::bushing::Bushing;
use crate::corner::wishbone::{TieRod, Wishbone};
use crate::parts::{Joint, Linkage, Triple};

/// Lower arm, strut and tie rod. The lower arm is member 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MacPherson {
    /// Lower arm.
    pub lower: Wishbone,
    /// Top mount on the body `[m, b]`.
    pub top: Triple,
    /// The strut's foot: a second point of the sliding axis, fixed to the knuckle `[m, b]`.
    pub axis_point: Triple,
    /// Bushing of the top mount, its sleeve along the strut.
    pub top_bushing: Bushing,
    /// Tie rod.
    pub tie_rod: TieRod,
}

impl MacPherson {
    /// Arm, strut and tie rod as parts.
    pub fn parts(&self) -> Linkage {
        let mut parts = self.lower.parts("lower arm");
        parts.joints.push(Joint {
            foot: Some(self.axis_point),
            ..Joint::slide("strut", self.axis_point, self.top, self.top_bushing)
        });
        parts.links.push(self.tie_rod.link("tie rod"));
        parts
    }

    /// Points of the steering axis: lower ball joint, top mount `[m, b]`.
    pub fn steering_axis(&self) -> [Triple; 2] {
        [self.lower.ball, self.top]
    }
}
