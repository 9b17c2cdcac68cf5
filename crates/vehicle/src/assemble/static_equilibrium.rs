//! The static equilibrium of the whole car: masses, center of mass, loads, wheels.
//!
//! The car stands at its ride height with the body level. Loads follow from the center of mass and
//! one free number, the cross weight (the share of the weight on one diagonal); the wheels' heights
//! follow from the loads, and the center of mass from those heights. The dependence is weak, and a
//! few rounds settle it to rounding. Corner weights replace mass, center and cross weight.

use axletree_tire::Tire;

use super::center_of_mass::of_center_of_mass;
use super::corner_weights::of_corner_weights;
use super::rest::StaticEquilibrium;
use super::roll_steer::RollSteer;
use super::wheel_layout::WheelLayout;
use crate::description::data::Description;
use crate::description::declare::key::CarEnd;
use crate::description::declare::keys;
use crate::fault::Fault;
use crate::fault_kind::FaultKind;
use crate::model::layout::WHEELS;

/// The car at rest.
pub(super) fn static_equilibrium(
    car: &Description,
    tires: &[Tire<f64>; 2],
    steer: RollSteer,
) -> Result<StaticEquilibrium, Vec<Fault>> {
    let weights = [
        keys::WEIGHTS_FRONT_LEFT,
        keys::WEIGHTS_FRONT_RIGHT,
        keys::WEIGHTS_REAR_LEFT,
        keys::WEIGHTS_REAR_RIGHT,
    ]
    .map(|key| car.value(key));
    let layout = WheelLayout::of(car, tires, steer);
    let rest = match weights {
        [Some(a), Some(b), Some(c), Some(d)] => of_corner_weights(&layout, [a, b, c, d])?,
        _ => of_center_of_mass(&layout)?,
    };
    check(car, tires, &rest)?;
    Ok(rest)
}

/// Every wheel carries load, and no tire is pressed flat.
fn check(
    car: &Description,
    tires: &[Tire<f64>; 2],
    rest: &StaticEquilibrium,
) -> Result<(), Vec<Fault>> {
    let mut faults = Vec::new();
    for (i, wheel) in rest.wheels.iter().enumerate() {
        let tire = &tires[i / 2];
        let deflection = tire.unloaded_radius - wheel.loaded_radius;
        if wheel.load <= 0.0 {
            let key = if car.is_written(keys::CHASSIS_CROSS_WEIGHT) {
                keys::CHASSIS_CROSS_WEIGHT
            } else {
                keys::CHASSIS_CENTER_LEFT
            };
            faults.push(Fault::new(
                key,
                FaultKind::NoLoad {
                    wheel: WHEELS[i],
                    load: wheel.load,
                },
            ));
        } else if deflection > 0.25 * tire.unloaded_radius {
            faults.push(Fault::new(
                keys::TIRE_UNLOADED_RADIUS.at(CarEnd::BOTH[i / 2]),
                FaultKind::TireOverloaded {
                    radius: tire.unloaded_radius,
                    deflection,
                },
            ));
        }
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}
