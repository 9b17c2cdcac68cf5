//! Places of the wheels at rest under given loads.

use axletree_scalar::{Real, lone};
use axletree_tire::Tire;

use super::end::EndEntries;
use super::rest::PointMass;
use super::roll_steer::RollSteer;
use super::wheel_at_rest::{WheelAtRest, wheel_at_rest};
use crate::description::data::Description;
use crate::description::declare::key::CarEnd;
use crate::description::declare::keys;
use crate::description::declare::words::RearType;

/// Rounds after which the loads have settled to rounding; each gains more than two digits.
pub(super) const ROUNDS: usize = 40;

/// Tracks, alignment, kind of rear end and masses of the parts, which settle the places of the
/// wheels.
pub(super) struct WheelLayout<'a> {
    pub car: &'a Description,
    pub tires: &'a [Tire<f64>; 2],
    pub rear_x: f64,
    pub track: [f64; 2],
    solid: bool,
    steer: RollSteer,
}

impl<'a> WheelLayout<'a> {
    /// The layout of a car.
    pub fn of(car: &'a Description, tires: &'a [Tire<f64>; 2], steer: RollSteer) -> Self {
        WheelLayout {
            car,
            tires,
            rear_x: -car.value(keys::WHEELBASE),
            track: CarEnd::BOTH.map(|end| car.value(keys::TRACK.at(end))),
            solid: car.value(keys::REAR_TYPE) == RearType::Solid,
            steer,
        }
    }

    /// The wheels under given loads; the axle's roll is improved by one round.
    pub fn wheels(&self, load: [f64; 4], axle_roll: f64) -> ([WheelAtRest; 4], f64, f64) {
        let front = [0, 1].map(|side| self.corner(0, side, load[side]));
        if !self.solid {
            let rear = [0, 1].map(|side| self.corner(1, side, load[2 + side]));
            return ([front[0], front[1], rear[0], rear[1]], 0.0, 0.0);
        }
        // The axle's wheels share its axis. With radii R_l left and right, level contacts a track T
        // apart: R_left - R_right = T sin(roll), distance of the wheel centers T cos(roll).
        let track = self.track[1];
        let radius = [2, 3].map(|i| {
            self.tires[1].unloaded_radius
                - load[i] * Real::cos(axle_roll) / self.tires[1].vertical_stiffness
        });
        let roll = lone::asin(((radius[0] - radius[1]) / track).clamp(-0.5, 0.5));
        let yaw = self.steer.at(roll);
        let rear = [0, 1].map(|side| {
            let out = if side == 0 { 0.5 * track } else { -0.5 * track };
            let contact = [
                self.rear_x - out * Real::sin(yaw),
                out * Real::cos(yaw),
                0.0,
            ];
            wheel_at_rest(&self.tires[1], load[2 + side], yaw, roll, contact)
        });
        let half_track = 0.5 * track * Real::cos(roll);
        ([front[0], front[1], rear[0], rear[1]], roll, half_track)
    }

    fn corner(&self, index: usize, side: usize, load: f64) -> WheelAtRest {
        let end = EndEntries {
            car: self.car,
            end: CarEnd::BOTH[index],
        };
        let left = if side == 0 { 1.0 } else { -1.0 };
        let x = if index == 0 { 0.0 } else { self.rear_x };
        let contact = [x, left * 0.5 * self.track[index], 0.0];
        let (toe, tilt) = (
            -left * end.value(keys::TOE_IN),
            -left * end.value(keys::CAMBER),
        );
        wheel_at_rest(&self.tires[index], load, toe, tilt, contact)
    }

    /// The unsprung masses at the wheels' places.
    pub fn unsprung(&self, wheels: &[WheelAtRest; 4]) -> [PointMass; 4] {
        let front = self.car.value(keys::UNSPRUNG_MASS.at(CarEnd::Front));
        // Half of the axle at each wheel center has the axle's mass and center.
        let rear = if self.solid {
            0.5 * self.car.value(keys::AXLE_MASS)
        } else {
            self.car.value(keys::UNSPRUNG_MASS.at(CarEnd::Rear))
        };
        let mass = [front, front, rear, rear];
        std::array::from_fn(|i| PointMass {
            mass: mass[i],
            at: wheels[i].center,
        })
    }
}

/// The rear end's sprung parts.
pub(super) fn rear_sprung(car: &Description) -> PointMass {
    PointMass {
        mass: car.value(keys::SPRUNG_MASS),
        at: [
            car.value(keys::SPRUNG_CENTER_AHEAD) - car.value(keys::WHEELBASE),
            car.value(keys::SPRUNG_CENTER_LEFT),
            car.value(keys::SPRUNG_CENTER_HEIGHT),
        ],
    }
}
