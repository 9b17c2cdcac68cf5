//! Name, size and rest position of an assembled car, beside the numbers of its equations.

use super::rest::StaticEquilibrium;
use crate::description::data::Description;
use crate::description::declare::key::CarEnd;
use crate::description::declare::keys;
use crate::description::declare::words::RearType;
use crate::model::Geometry;

/// Name, size and rest position of an assembled car.
#[derive(Clone, Debug, PartialEq)]
pub struct CarSummary {
    /// Name of the car.
    pub name: String,
    /// Whether the rear end is a solid axle.
    pub solid_rear: bool,
    /// Distance between the axle lines `[m]`.
    pub wheelbase: f64,
    /// Distance between the contacts at rest: front, rear `[m]`.
    pub track: [f64; 2],
    /// O, the whole car's center of mass at rest, behind the front axle line `[m]`.
    pub center_behind_front_axle: f64,
    /// O left of the center plane `[m]`.
    pub center_left: f64,
    /// O above the road at rest `[m]`.
    pub center_height: f64,
    /// Mass of the whole car `[kg]`.
    pub mass: f64,
    /// Loads of the wheels at rest: front left, front right, rear left, rear right `[N]`.
    pub load: [f64; 4],
    /// Loaded radii of the wheels at rest, in the wheel's plane `[m]`.
    pub loaded_radius: [f64; 4],
    /// The travels at rest: zero, but for a solid axle that leans because its wheels carry
    /// different loads `[m, m, m or m, m or rad]`.
    pub rest_travel: [f64; 4],
    /// Overall width `[m]`.
    pub body_width: f64,
    /// Foremost point ahead of the front axle line `[m]`.
    pub nose: f64,
    /// Rearmost point behind the rear axle line `[m]`.
    pub tail: f64,
}

impl CarSummary {
    /// Outer measures from O, for maneuvers.
    pub fn geometry(&self) -> Geometry {
        Geometry {
            wheelbase: self.wheelbase,
            front_axle: self.center_behind_front_axle,
            track: self.track,
            width: self.body_width,
            nose: self.center_behind_front_axle + self.nose,
            tail: self.wheelbase - self.center_behind_front_axle + self.tail,
        }
    }

    pub(super) fn of(car: &Description, rest: &StaticEquilibrium) -> Self {
        let [x, y, z] = rest.center;
        CarSummary {
            name: car.name().to_owned(),
            solid_rear: car.value(keys::REAR_TYPE) == RearType::Solid,
            wheelbase: car.value(keys::WHEELBASE),
            track: CarEnd::BOTH.map(|end| car.value(keys::TRACK.at(end))),
            center_behind_front_axle: -x,
            center_left: y,
            center_height: z,
            mass: rest.mass,
            load: rest.wheels.map(|wheel| wheel.load),
            loaded_radius: rest.wheels.map(|wheel| wheel.loaded_radius),
            rest_travel: [0.0, 0.0, 0.0, rest.axle_roll],
            body_width: car.value(keys::BODY_WIDTH),
            nose: car.value(keys::BODY_NOSE),
            tail: car.value(keys::BODY_TAIL),
        }
    }
}
