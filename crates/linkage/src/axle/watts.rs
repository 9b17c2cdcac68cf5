//! Watt's linkage: a bell crank with a rod at each end. With the pivot on the axle the rods run to
//! the body, with the pivot on the body they run to the axle. The axle moves almost on a straight
//! line: its sideways movement grows with the fifth power of travel.

use crate::axle::rod::Rod;
use crate::bushing::Bushing;
use crate::parts::{Attachment, BodyId, Linkage, Member, Triple};

/// A bell crank and its two rods.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Watts {
    /// Whether the crank's pivot is on the axle; else it is on the body.
    pub pivot_on_axle: bool,
    /// The pivot `[m, b]`.
    pub pivot: Triple,
    /// Direction of the pivot's axis `[-, b]`.
    pub axis: Triple,
    /// Length of the pivot's bushing along its axis `[m]`.
    pub pivot_length: f64,
    /// Bushing of the pivot.
    pub pivot_bushing: Bushing,
    /// Rods; the end on the crank is `axle` for a pivot on the axle, `body` for one on the body.
    pub rods: [Rod; 2],
}

impl Watts {
    /// Crank and rods as parts.
    pub fn parts(&self) -> Linkage {
        let n = self.axis.iter().map(|x| x * x).sum::<f64>().sqrt();
        let half = 0.5 * self.pivot_length / n;
        let hinge =
            [-1.0, 1.0].map(|s| std::array::from_fn(|i| self.pivot[i] + s * half * self.axis[i]));
        // The bushing is split into two halves, one at each point of the hinge.
        let halved = Bushing {
            radial: 0.5 * self.pivot_bushing.radial,
            axial: 0.5 * self.pivot_bushing.axial,
            torsional: 0.5 * self.pivot_bushing.torsional,
            conical: 0.5 * self.pivot_bushing.conical,
            solid: 0.5 * self.pivot_bushing.solid,
            ..self.pivot_bushing
        };
        let links = ["Watt's rod 1", "Watt's rod 2"]
            .iter()
            .zip(self.rods)
            .map(|(name, rod)| {
                let mut rod = rod;
                if self.pivot_on_axle {
                    rod = rod.onto(BodyId::Member(0));
                } else {
                    rod.body.point = Attachment::member(0, rod.body.point.at);
                }
                rod.link(*name)
            })
            .collect();
        Linkage {
            links,
            members: vec![Member {
                name: "Watt's crank".to_owned(),
                on: if self.pivot_on_axle {
                    BodyId::Carrier
                } else {
                    BodyId::Body
                },
                hinge,
                bushings: [halved; 2],
            }],
            joints: Vec::new(),
        }
    }
}
