//! The car at rest from corner weights, in place of mass, center and cross weight.

use super::rest::{PointMass, StaticEquilibrium, together};
use super::wheel_layout::{ROUNDS, WheelLayout, rear_sprung};
use crate::description::data::Description;
use crate::description::declare::key::{CarEnd, Key};
use crate::description::declare::keys;
use crate::description::unit::FREE_FALL;
use crate::fault::Fault;
use crate::fault_kind::FaultKind;

/// From corner weights `[kg]`: mass and center of the whole car less those of the parts are those
/// of the chassis.
pub(super) fn of_corner_weights(
    layout: &WheelLayout<'_>,
    weights: [f64; 4],
) -> Result<StaticEquilibrium, Vec<Fault>> {
    let car = layout.car;
    let load = weights.map(|w| w * FREE_FALL);
    let (mut wheels, mut axle_roll, mut half_track) = layout.wheels(load, 0.0);
    for _ in 0..ROUNDS {
        (wheels, axle_roll, half_track) = layout.wheels(load, axle_roll);
    }
    let total: f64 = weights.iter().sum();
    let center = |k: usize| {
        (0..4)
            .map(|i| weights[i] * wheels[i].contact[k])
            .sum::<f64>()
            / total
    };
    let rear_sprung = rear_sprung(car);
    let parts = together(&[&layout.unsprung(&wheels)[..], &[rear_sprung]].concat());
    let mass = total - parts.mass;
    if mass < 0.05 * total {
        return Err(vec![Fault::new(
            keys::WEIGHTS_FRONT_LEFT,
            FaultKind::WeightsTooLight {
                left: mass,
                total,
                parts: parts.mass,
            },
        )]);
    }
    let of_chassis = |k: usize| (total * center(k) - parts.mass * parts.at[k]) / mass;
    let chassis = PointMass {
        mass,
        at: [
            of_chassis(0),
            of_chassis(1),
            car.value(keys::CHASSIS_CENTER_HEIGHT),
        ],
    };
    let whole = together(&[parts, chassis]);
    let cross_weight = (weights[1] + weights[2]) / total;
    let rest = StaticEquilibrium {
        wheels,
        mass: total,
        center: [center(0), center(1), whole.at[2]],
        chassis,
        rear_sprung,
        axle_roll,
        half_track,
        cross_weight,
    };
    disagreements(car, &rest)?;
    Ok(rest)
}

/// The largest difference between a stated and a weighed value, in percent.
const AGREEMENT: f64 = 0.5;

/// Stated mass, center and cross weight against the corner weights. Lengths are compared relative
/// to wheelbase and track.
fn disagreements(car: &Description, rest: &StaticEquilibrium) -> Result<(), Vec<Fault>> {
    let chassis = rest.chassis;
    let wheelbase = car.value(keys::WHEELBASE);
    let track =
        0.5 * (car.value(keys::TRACK.at(CarEnd::Front)) + car.value(keys::TRACK.at(CarEnd::Rear)));
    let compared: [(Key<Option<f64>>, f64, f64, &str); 4] = [
        (keys::CHASSIS_MASS, chassis.mass, chassis.mass, "kg"),
        (
            keys::CHASSIS_CENTER_BEHIND_FRONT_AXLE,
            -chassis.at[0],
            wheelbase,
            "m",
        ),
        (keys::CHASSIS_CENTER_LEFT, chassis.at[1], track, "m"),
        (
            keys::CHASSIS_CROSS_WEIGHT,
            rest.cross_weight,
            1.0,
            "of the weight",
        ),
    ];
    let mut faults = Vec::new();
    for (key, weighed, scale, unit) in compared {
        let Some(stated) = car.value(key) else {
            continue;
        };
        let percent = 100.0 * (stated - weighed).abs() / scale;
        if percent > AGREEMENT {
            faults.push(Fault::new(
                key,
                FaultKind::WeightsDisagree {
                    stated,
                    weighed,
                    unit,
                    percent,
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
