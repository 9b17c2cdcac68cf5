//! The sprung body, steering, brakes and air.

use super::rest::{PointMass, StaticEquilibrium};
use crate::description::data::Description;
use crate::description::declare::key::CarEnd;
use crate::description::declare::keys;
use crate::description::declare::words::RearType;
use crate::description::unit::FREE_FALL;
use crate::model::numbers::{Air, Chassis, Driveline, Sprung, Steering, Windup};

/// Sprung body, steering, driveline, brakes, air.
pub(super) fn assemble(
    car: &Description,
    rest: &StaticEquilibrium,
    driveline: Driveline<f64>,
) -> Chassis<f64> {
    let wheelbase = car.value(keys::WHEELBASE);
    let [x, _, height] = rest.center;
    let half_density = 0.5 * car.value(keys::AIR_DENSITY);
    Chassis {
        sprung: sprung(car, rest, &driveline.windup),
        height,
        gravity: FREE_FALL,
        steering: Steering {
            gain: car.value(keys::STEERING_RATIO).recip(),
            ackermann: car.value(keys::STEERING_ACKERMANN)
                * car.value(keys::TRACK.at(CarEnd::Front))
                / wheelbase,
            compliance: car.value(keys::STEERING_STIFFNESS).recip(),
        },
        driveline,
        front_brake_share: car.value(keys::BRAKES_FRONT_SHARE),
        air: Air {
            drag: half_density * car.value(keys::AIR_DRAG_AREA),
            drag_height: car.value(keys::AIR_DRAG_HEIGHT) - height,
            lift: [
                half_density * car.value(keys::AIR_FRONT_LIFT_AREA),
                half_density * car.value(keys::AIR_REAR_LIFT_AREA),
            ],
            lift_x: [-x, -wheelbase - x],
        },
        lag: car.value(keys::COMPLIANCE_LAG),
    }
}

/// Chassis and the rear end's sprung parts as one body.
fn sprung(car: &Description, rest: &StaticEquilibrium, windup: &Windup<f64>) -> Sprung<f64> {
    let bodies = [
        (
            rest.chassis,
            [
                keys::CHASSIS_ROLL_INERTIA,
                keys::CHASSIS_PITCH_INERTIA,
                keys::CHASSIS_YAW_INERTIA,
            ],
            car.value(keys::CHASSIS_ROLL_YAW_PRODUCT),
        ),
        (
            rest.rear_sprung,
            [
                keys::SPRUNG_ROLL_INERTIA,
                keys::SPRUNG_PITCH_INERTIA,
                keys::SPRUNG_YAW_INERTIA,
            ],
            0.0,
        ),
    ];
    let mass: f64 = bodies.iter().map(|(body, ..)| body.mass).sum();
    let center: [f64; 3] = std::array::from_fn(|k| {
        bodies
            .iter()
            .map(|(body, ..)| body.mass * body.at[k])
            .sum::<f64>()
            / mass
    });
    let mut inertia = [0.0; 6];
    for (body, axes, product) in bodies {
        let [roll, pitch, yaw] = axes.map(|key| car.value(key));
        let moved = parallel(body, center);
        let elements = [roll, pitch, yaw, 0.0, -product, 0.0];
        for k in 0..6 {
            inertia[k] += elements[k] + moved[k];
        }
    }
    // The housing that winds up on the body turns about the lateral axis on its own.
    if !(car.value(keys::REAR_TYPE) == RearType::Solid) {
        inertia[1] -= windup.flexible * windup.inertia;
    }
    Sprung {
        mass,
        center: std::array::from_fn(|k| center[k] - rest.center[k]),
        inertia,
    }
}

/// Inertia of a point mass about a point: xx, yy, zz, xy, xz, yz (parallel-axis theorem).
fn parallel(body: PointMass, about: [f64; 3]) -> [f64; 6] {
    let [x, y, z] = std::array::from_fn(|k| body.at[k] - about[k]);
    [
        y * y + z * z,
        x * x + z * z,
        x * x + y * y,
        -x * y,
        -x * z,
        -y * z,
    ]
    .map(|element| element * body.mass)
}
