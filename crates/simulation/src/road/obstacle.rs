//! A bump, a kerb or a ramp under chosen wheels.

use axletree_scalar::Real;
use axletree_vehicle::model::{Patch, Road};
use serde::{Deserialize, Serialize};

use super::line::RoadLine;
use super::shape::ObstacleShape;

/// The wheels that roll over an obstacle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ObstacleWheels {
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

impl ObstacleWheels {
    /// Whether a wheel is one of them (order of `axletree_vehicle::model::WHEELS`).
    #[inline(always)]
    pub fn contains(self, wheel: usize) -> bool {
        match self {
            ObstacleWheels::Both => true,
            ObstacleWheels::Left => wheel.is_multiple_of(2),
            ObstacleWheels::Right => !wheel.is_multiple_of(2),
            ObstacleWheels::FrontLeft => wheel == 0,
            ObstacleWheels::FrontRight => wheel == 1,
            ObstacleWheels::RearLeft => wheel == 2,
            ObstacleWheels::RearRight => wheel == 3,
        }
    }

    /// The same wheels with left and right exchanged.
    pub fn mirrored(self) -> Self {
        match self {
            ObstacleWheels::Both => ObstacleWheels::Both,
            ObstacleWheels::Left => ObstacleWheels::Right,
            ObstacleWheels::Right => ObstacleWheels::Left,
            ObstacleWheels::FrontLeft => ObstacleWheels::FrontRight,
            ObstacleWheels::FrontRight => ObstacleWheels::FrontLeft,
            ObstacleWheels::RearLeft => ObstacleWheels::RearRight,
            ObstacleWheels::RearRight => ObstacleWheels::RearLeft,
        }
    }
}

/// A flat road with one obstacle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Obstacle {
    /// Line along which stations count.
    pub line: RoadLine,
    /// Station of its beginning `[m]`.
    pub station: f64,
    /// Height over the distance from its beginning.
    pub shape: ObstacleShape,
    /// Wheels that roll over it.
    pub wheels: ObstacleWheels,
}

impl<T: Real> Road<T> for Obstacle {
    #[inline(always)]
    fn under(&self, wheel: usize, position: [T; 2], velocity: [T; 2]) -> Patch<T> {
        if !self.wheels.contains(wheel) {
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
