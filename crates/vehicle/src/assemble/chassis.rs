//! The sprung body and what is common to every car.

use super::weigh::{PointMass, Standing};
use crate::car::Car;
use crate::car::unit::FREE_FALL;
use crate::model::numbers::{Air, Chassis, Driveline, Sprung, Steering, Windup};

/// Sprung body, steering, driveline, brakes, air.
pub(super) fn assemble(car: &Car, standing: &Standing, driveline: Driveline<f64>) -> Chassis<f64> {
    let wheelbase = car.of("wheelbase");
    let [x, _, height] = standing.center;
    let half_density = 0.5 * car.of("air.density");
    Chassis {
        sprung: sprung(car, standing, &driveline.windup),
        height,
        gravity: FREE_FALL,
        steering: Steering {
            gain: car.of("steering.ratio").recip(),
            // Full geometry: cot(right) - cot(left) = T/L for a turn to the left, to second order.
            ackermann: car.of("steering.ackermann") * 0.5 * car.of("front.track") / wheelbase,
            compliance: car.of("steering.stiffness").recip(),
        },
        driveline,
        front_brake_share: car.of("brakes.front_share"),
        air: Air {
            drag: half_density * car.of("air.drag_area"),
            drag_height: car.of("air.drag_height") - height,
            lift: [
                half_density * car.of("air.front_lift_area"),
                half_density * car.of("air.rear_lift_area"),
            ],
            lift_x: [-x, -wheelbase - x],
        },
        lag: car.of("compliance_lag"),
    }
}

/// Chassis and the rear end's sprung parts as one body.
fn sprung(car: &Car, standing: &Standing, windup: &Windup<f64>) -> Sprung<f64> {
    let bodies = [
        (
            standing.chassis,
            "chassis",
            car.of("chassis.roll_yaw_product"),
        ),
        (standing.rear_sprung, "rear.sprung", 0.0),
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
    for (body, name, product) in bodies {
        let own = |axis: &str| car.of(&format!("{name}.{axis}_inertia"));
        let moved = parallel(body, center);
        let elements = [own("roll"), own("pitch"), own("yaw"), 0.0, -product, 0.0];
        for k in 0..6 {
            inertia[k] += elements[k] + moved[k];
        }
    }
    // What winds up on the body turns about the lateral axis on its own.
    if !car.has_solid_rear() {
        inertia[1] -= windup.flexible * windup.inertia;
    }
    Sprung {
        mass,
        center: std::array::from_fn(|k| center[k] - standing.center[k]),
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
