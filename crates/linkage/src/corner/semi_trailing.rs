//! Semi-trailing arm: the knuckle is part of an arm that is hinged on the body at two points; the
//! hinge lies at an angle to the car in plan and perhaps in front view. A hinge straight across is a
//! trailing arm, one straight along a swing axle.

use crate::bushing::Bushing;
use crate::parts::{Frame, Joint, Linkage, Triple};

/// An arm hinged at two points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SemiTrailing {
    /// What it is hinged on: body or subframe.
    pub on: Frame,
    /// Hinge points: inner, outer [m, b].
    pub hinge: [Triple; 2],
    /// Their bushings, sleeves along the hinge.
    pub bushings: [Bushing; 2],
}

impl SemiTrailing {
    /// The parts. The inner point is held in all directions, the outer one square to the hinge, so
    /// that nothing is said twice.
    pub fn parts(&self) -> Linkage {
        let [a, b] = self.hinge;
        let along: Triple = std::array::from_fn(|i| b[i] - a[i]);
        let mut outer = super::strut::slide("outer pivot", a, b, self.bushings[1]);
        outer.guide = self.on;
        outer.guided = Frame::Carrier;
        outer.all_round = true;
        let inner = Joint {
            name: "inner pivot".to_owned(),
            guide: self.on,
            guided: Frame::Carrier,
            at: a,
            blocked: vec![[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
            bushing: self.bushings[0],
            sleeve: along,
            all_round: true,
        };
        Linkage {
            joints: vec![inner, outer],
            ..Linkage::default()
        }
    }
}
