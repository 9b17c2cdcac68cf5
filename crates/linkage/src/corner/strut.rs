//! MacPherson strut: a lower arm, a strut fixed to the knuckle that slides through the top mount, and
//! a tie rod.

use super::wishbone::{TieRod, Wishbone};
use crate::bushing::Bushing;
use crate::parts::{Frame, Joint, Linkage, Triple};

/// Lower arm, strut and tie rod. The lower arm is member 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MacPherson {
    /// Lower arm.
    pub lower: Wishbone,
    /// Top mount on the body [m, b].
    pub top: Triple,
    /// A second point of the sliding axis, fixed to the knuckle [m, b].
    pub axis_point: Triple,
    /// How the top mount yields; its sleeve lies along the strut.
    pub top_bushing: Bushing,
    /// Tie rod.
    pub tie_rod: TieRod,
}

impl MacPherson {
    /// The parts.
    pub fn parts(&self) -> Linkage {
        let mut parts = self.lower.parts("lower arm");
        parts
            .joints
            .push(slide("strut", self.axis_point, self.top, self.top_bushing));
        parts.links.push(self.tie_rod.link("tie rod"));
        parts
    }

    /// The steering axis: from the lower ball joint to the top mount [m, b].
    pub fn steering_axis(&self) -> [Triple; 2] {
        [self.lower.ball, self.top]
    }
}

/// A line of the knuckle through `point` that passes through `top`, a point of the body, at all
/// travel. Points that fall together give no direction, which the check of the parts reports.
pub fn slide(name: &str, point: Triple, top: Triple, bushing: Bushing) -> Joint {
    let along: [f64; 3] = std::array::from_fn(|i| top[i] - point[i]);
    let n = along.iter().map(|x| x * x).sum::<f64>().sqrt();
    let u = along.map(|x| x / n);
    // Two directions square to the axis, the first of them level with the ground or nearly so.
    let seed = if u[0].abs() < 0.9 {
        [1.0, 0.0, 0.0]
    } else {
        [0.0, 1.0, 0.0]
    };
    let dot = seed[0] * u[0] + seed[1] * u[1] + seed[2] * u[2];
    let first: [f64; 3] = std::array::from_fn(|i| seed[i] - dot * u[i]);
    let n = first.iter().map(|x| x * x).sum::<f64>().sqrt();
    let first = first.map(|x| x / n);
    let second = [
        u[1] * first[2] - u[2] * first[1],
        u[2] * first[0] - u[0] * first[2],
        u[0] * first[1] - u[1] * first[0],
    ];
    Joint {
        name: name.to_owned(),
        guide: Frame::Carrier,
        guided: Frame::Body,
        at: top,
        blocked: vec![first, second],
        bushing,
        sleeve: along,
        all_round: false,
    }
}
