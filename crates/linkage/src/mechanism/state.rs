//! The unknowns of a mechanism.

use crate::pose::Pose;

/// Largest number of hinged members.
pub const MEMBERS: usize = 4;
/// Largest number of unknowns: displacement and turn of the carrier, and the members' angles.
pub const UNKNOWNS: usize = 6 + MEMBERS;

/// One number for each unknown: displacement of the center, turn about it, member angles.
pub type PerUnknown<T> = [T; UNKNOWNS];

/// Pose of the carrier and angles of the members.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MechanismState<T> {
    /// Pose of the carrier.
    pub pose: Pose<T>,
    /// Angles of the members, about the hinge from its first to its second point `[rad]`.
    pub angle: [T; MEMBERS],
}

/// Kind of carrier, which decides the travels that are given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Carried {
    /// One wheel: the height of its center is given.
    Wheel,
    /// An axle: the height of its center and its roll are given.
    Axle,
}

impl Carried {
    /// Number of drivers, that is of travels given.
    pub const fn drivers(self) -> usize {
        match self {
            Carried::Wheel => 1,
            Carried::Axle => 2,
        }
    }
}
