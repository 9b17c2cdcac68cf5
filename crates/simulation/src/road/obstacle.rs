//! A bump, a kerb or a ramp under chosen wheels.

use axletree_scalar::Real;
use axletree_vehicle::model::{Patch, Road};
use serde::{Deserialize, Serialize};

use super::line::Line;
use super::shape::Shape;

/// The wheels that roll over an obstacle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Under {
    /// All four.
    Both,
    /// The left ones.
    Left,
    /// The right ones.
    Right,
    /// The front left one.
    FrontLeft,
    /// The front right one.
    FrontRight,
    /// The rear left one.
    RearLeft,
    /// The rear right one.
    RearRight,
}

impl Under {
    /// Whether a wheel is one of them (order of `axletree_vehicle::model::WHEELS`).
    #[inline(always)]
    pub fn holds(self, wheel: usize) -> bool {
        match self {
            Under::Both => true,
            Under::Left => wheel.is_multiple_of(2),
            Under::Right => !wheel.is_multiple_of(2),
            Under::FrontLeft => wheel == 0,
            Under::FrontRight => wheel == 1,
            Under::RearLeft => wheel == 2,
            Under::RearRight => wheel == 3,
        }
    }

    /// The same wheels with left and right exchanged.
    pub fn mirrored(self) -> Self {
        match self {
            Under::Both => Under::Both,
            Under::Left => Under::Right,
            Under::Right => Under::Left,
            Under::FrontLeft => Under::FrontRight,
            Under::FrontRight => Under::FrontLeft,
            Under::RearLeft => Under::RearRight,
            Under::RearRight => Under::RearLeft,
        }
    }
}

/// A flat road with one obstacle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Obstacle {
    /// Line along which stations count.
    pub line: Line,
    /// Station of its beginning `[m]`.
    pub station: f64,
    /// Height over the distance from its beginning.
    pub shape: Shape,
    /// Wheels that roll over it.
    pub under: Under,
}

impl<T: Real> Road<T> for Obstacle {
    #[inline(always)]
    fn under(&self, wheel: usize, position: [T; 2], velocity: [T; 2]) -> Patch<T> {
        if !self.under.holds(wheel) {
            return Patch {
                height: T::zero(),
                rise: T::zero(),
            };
        }
        let [station, rate] = self.line.station(position, velocity);
        let [height, slope] = self.shape.height_and_slope(station - T::c(self.station));
        Patch {
            height,
            rise: slope * rate,
        }
    }
}
