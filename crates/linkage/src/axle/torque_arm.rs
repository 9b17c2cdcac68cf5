//! Torque arm: a lever fixed to the axle, whose front mount fixes its height and slides fore and
//! aft and sideways. Two lower links locate the axle fore and aft; it needs a Panhard bar or a
//! Watt's linkage in addition.

use crate::axle::rod::{Rod, pair};
use crate::bushing::Bushing;
use crate::parts::{BodyId, Joint, Linkage, Triple};

/// A torque arm with two lower links, given by the left one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TorqueArm {
    /// Lower left link.
    pub lower: Rod,
    /// Front mount of the arm `[m, b]`.
    pub mount: Triple,
    /// Bushing of the mount, its sleeve across the car.
    pub bushing: Bushing,
}

impl TorqueArm {
    /// Arm and links as parts.
    pub fn parts(&self) -> Linkage {
        let mut parts = pair("lower link", &self.lower);
        parts.joints.push(Joint {
            name: "torque arm".to_owned(),
            guide: BodyId::Body,
            guided: BodyId::Carrier,
            at: self.mount,
            blocked: vec![[0.0, 0.0, 1.0]],
            bushing: self.bushing,
            sleeve: [0.0, 1.0, 0.0],
            all_round: false,
            foot: None,
        });
        parts
    }
}
