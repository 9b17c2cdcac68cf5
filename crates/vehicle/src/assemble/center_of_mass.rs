//! The car at rest from mass and center of the chassis.

use nalgebra::{Matrix4, Vector4};

use super::rest::{PointMass, StaticEquilibrium, together};
use super::wheel_at_rest::WheelAtRest;
use super::wheel_layout::{ROUNDS, WheelLayout, rear_sprung};
use crate::description::data::Description;
use crate::description::declare::key::Key;
use crate::description::declare::keys;
use crate::description::unit::FREE_FALL;
use crate::fault::Fault;
use crate::fault_kind::FaultKind;

/// An entry that the checks ask for where there are no corner weights.
fn required(car: &Description, key: Key<Option<f64>>) -> f64 {
    car.value(key)
        .unwrap_or_else(|| panic!("the checks ask for {} without corner weights", key.path()))
}

/// From mass and center: rounds of loads, wheels, center of mass.
pub(super) fn of_center_of_mass(layout: &WheelLayout<'_>) -> Result<StaticEquilibrium, Vec<Fault>> {
    let car = layout.car;
    let chassis = PointMass {
        mass: required(car, keys::CHASSIS_MASS),
        at: [
            -required(car, keys::CHASSIS_CENTER_BEHIND_FRONT_AXLE),
            car.value(keys::CHASSIS_CENTER_LEFT).unwrap_or(0.0),
            car.value(keys::CHASSIS_CENTER_HEIGHT),
        ],
    };
    let rear_sprung = rear_sprung(car);
    let cross = car.value(keys::CHASSIS_CROSS_WEIGHT);

    let (mut load, mut axle_roll) = ([3000.0; 4], 0.0);
    let mut rest = None;
    for _ in 0..ROUNDS {
        let (wheels, roll, half_track) = layout.wheels(load, axle_roll);
        let unsprung = layout.unsprung(&wheels);
        let whole = together(&[&unsprung[..], &[chassis, rear_sprung]].concat());
        let behind = -whole.at[0];
        let wheelbase = -layout.rear_x;
        if behind <= 0.0 || behind >= wheelbase {
            return Err(vec![Fault::new(
                keys::CHASSIS_CENTER_BEHIND_FRONT_AXLE,
                FaultKind::CenterOutsideWheelbase { behind, wheelbase },
            )]);
        }
        let (next, cross_weight) = loads(&wheels, &whole, cross, layout.track, wheelbase);
        rest = Some(StaticEquilibrium {
            wheels,
            mass: whole.mass,
            center: whole.at,
            chassis,
            rear_sprung,
            axle_roll: roll,
            half_track,
            cross_weight,
        });
        let moved = load
            .iter()
            .zip(next)
            .any(|(a, b)| (a - b).abs() > 1e-14 * whole.mass * FREE_FALL);
        (load, axle_roll) = (next, roll);
        // A wheel that would hang pulls the next round nowhere: leave it to the check.
        if !moved || load.iter().any(|n| *n <= 0.0) {
            break;
        }
    }
    // ROUNDS is not zero.
    let mut rest = rest.expect("at least one round");
    for (wheel, load) in rest.wheels.iter_mut().zip(load) {
        wheel.load = load;
    }
    Ok(rest)
}

/// Loads of the wheels: they sum to the weight, balance about both axes of the road, and share the
/// cross weight; without a given one, both axles lean to the same side by the same share. Returns
/// them with the cross weight.
fn loads(
    wheels: &[WheelAtRest; 4],
    whole: &PointMass,
    cross: Option<f64>,
    track: [f64; 2],
    wheelbase: f64,
) -> ([f64; 4], f64) {
    let weight = whole.mass * FREE_FALL;
    let [x, y, _] = whole.at;
    let cross = cross.unwrap_or_else(|| {
        let rear = -x / wheelbase;
        let front = 1.0 - rear;
        let lean = 2.0 * y / (front * track[0] + rear * track[1]);
        // Front right and rear left: (1 - lean)/2 of the front, (1 + lean)/2 of the rear.
        0.5 * (front * (1.0 - lean) + rear * (1.0 + lean))
    });
    let c = wheels.map(|wheel| wheel.contact);
    let matrix = Matrix4::new(
        1.0,
        1.0,
        1.0,
        1.0, //
        c[0][0] - x,
        c[1][0] - x,
        c[2][0] - x,
        c[3][0] - x, //
        c[0][1] - y,
        c[1][1] - y,
        c[2][1] - y,
        c[3][1] - y, //
        0.0,
        1.0,
        1.0,
        0.0,
    );
    let right = Vector4::new(weight, 0.0, 0.0, cross * weight);
    // Four contacts of a track above 0.8 m and a wheelbase above 1.5 m: never singular.
    let load = matrix.lu().solve(&right).expect("contacts span the road");
    (load.into(), cross)
}
