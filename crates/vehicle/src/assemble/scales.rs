//! Corner weights in place of mass, center and cross weight.

use super::weigh::{Layout, PointMass, ROUNDS, Standing, rear_sprung, together};
use crate::car::Car;
use crate::car::unit::FREE_FALL;
use crate::error::{Fault, FaultKind};

/// From corner weights [kg]: the chassis is what is left of mass and center.
pub(super) fn weighed(layout: &Layout<'_>, weights: [f64; 4]) -> Result<Standing, Vec<Fault>> {
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
            "weights.front_left",
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
            car.of("chassis.center_height"),
        ],
    };
    let whole = together(&[parts, chassis]);
    let cross_weight = (weights[1] + weights[2]) / total;
    let standing = Standing {
        wheels,
        mass: total,
        center: [center(0), center(1), whole.at[2]],
        chassis,
        rear_sprung,
        axle_roll,
        half_track,
        cross_weight,
    };
    disagreements(car, &standing)?;
    Ok(standing)
}

/// The largest distance between stated and weighed, in percent.
const AGREEMENT: f64 = 0.5;

/// Stated mass, center and cross weight against the corner weights. Lengths are compared relative to
/// wheelbase and track.
fn disagreements(car: &Car, standing: &Standing) -> Result<(), Vec<Fault>> {
    let chassis = standing.chassis;
    let wheelbase = car.of("wheelbase");
    let track = 0.5 * (car.of("front.track") + car.of("rear.track"));
    let compared = [
        ("chassis.mass", chassis.mass, chassis.mass, "kg"),
        (
            "chassis.center_behind_front_axle",
            -chassis.at[0],
            wheelbase,
            "m",
        ),
        ("chassis.center_left", chassis.at[1], track, "m"),
        (
            "chassis.cross_weight",
            standing.cross_weight,
            1.0,
            "of the weight",
        ),
    ];
    let mut faults = Vec::new();
    for (path, weighed, scale, unit) in compared {
        let Some(stated) = car.number(path) else {
            continue;
        };
        let percent = 100.0 * (stated - weighed).abs() / scale;
        if percent > AGREEMENT {
            faults.push(Fault::new(
                path,
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
