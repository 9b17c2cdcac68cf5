//! A torque arm: a lever fixed to the axle whose front mount holds its height and slides fore and aft
//! (and sideways). Two lower links hold the axle fore and aft; a Panhard bar or a Watt's linkage holds
//! it sideways.

use super::{Rod, pair};
use crate::bushing::Bushing;
use crate::parts::{Frame, Joint, Linkage, Triple};

/// A torque arm with two lower links, the left one given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TorqueArm {
    /// Lower left link.
    pub lower: Rod,
    /// Front mount of the arm [m, b].
    pub mount: Triple,
    /// The mount's bushing; its sleeve lies across the car.
    pub bushing: Bushing,
}

impl TorqueArm {
    /// The parts.
    pub fn parts(&self) -> Linkage {
        let mut parts = pair("lower link", &self.lower);
        parts.joints.push(Joint {
            name: "torque arm".to_owned(),
            guide: Frame::Body,
            guided: Frame::Carrier,
            at: self.mount,
            blocked: vec![[0.0, 0.0, 1.0]],
            bushing: self.bushing,
            sleeve: [0.0, 1.0, 0.0],
            all_round: false,
        });
        parts
    }
}
