//! Semi-trailing arm: the knuckle is one piece with an arm hinged on the body at two points; the
//! hinge is at an angle to the car in plan, and may be in front view. A hinge straight across makes
//! a trailing arm, one straight along the car a swing axle.

use crate::bushing::Bushing;
use crate::parts::{BodyId, Joint, Linkage, Triple};

/// An arm hinged at two points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SemiTrailing {
    /// The body it is hinged on: car's body or subframe.
    pub on: BodyId,
    /// Hinge points: inner, outer `[m, b]`.
    pub hinge: [Triple; 2],
    /// Bushings of the hinge points, sleeves along the hinge.
    pub bushings: [Bushing; 2],
}

impl SemiTrailing {
    /// The arm as parts. The inner point is fixed in all directions, the outer one only square to
    /// the hinge, so that no constraint is repeated.
    pub fn parts(&self) -> Linkage {
        let [a, b] = self.hinge;
        let along: Triple = std::array::from_fn(|i| b[i] - a[i]);
        let mut outer = Joint::slide("outer pivot", a, b, self.bushings[1]);
        outer.guide = self.on;
        outer.guided = BodyId::Carrier;
        outer.all_round = true;
        let inner = Joint {
            name: "inner pivot".to_owned(),
            guide: self.on,
            guided: BodyId::Carrier,
            at: a,
            blocked: vec![[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
            bushing: self.bushings[0],
            sleeve: along,
            all_round: true,
            foot: None,
        };
        Linkage {
            joints: vec![inner, outer],
            ..Linkage::default()
        }
    }
}
