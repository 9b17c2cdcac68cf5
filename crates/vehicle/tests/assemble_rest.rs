//! The assembled car stands at rest: the equations of motion find no acceleration.

use axletree_vehicle::model::Inputs;
use axletree_vehicle::model::layout::{SPIN, TRAVEL, TRAVEL_RATE, VELOCITY};
use axletree_vehicle::{BUNDLED, Car, bundled};

mod cars;

fn car(name: &str) -> Car {
    bundled(name).expect("a bundled name").expect("a car")
}

/// Largest acceleration of the ten coordinates at the assembled rest state [m/s^2, rad/s^2].
fn largest_acceleration(car: &Car) -> f64 {
    let meta = car.summary();
    let model = car.assemble().unwrap();
    let mut state = model.rolling_state(0.0);
    state[TRAVEL..TRAVEL + 4].copy_from_slice(&meta.rest_travel);
    let rate = model.rate(&state, &Inputs::coasting());
    let body = VELOCITY..VELOCITY + 6;
    let travel = TRAVEL_RATE..SPIN;
    body.chain(travel)
        .fold(0.0, |a, i| f64::max(a, rate[i].abs()))
}

#[test]
fn law_bundled_cars_are_at_rest() {
    for (name, _) in BUNDLED {
        let a = largest_acceleration(&car(name));
        assert!(a < 1e-10, "{name}: {a}");
    }
}

/// Whatever leans, turns or stands askew at rest: the preloads hold it there exactly.
#[test]
fn law_askew_cars_are_at_rest() {
    let askew: [(&str, &[(&str, &str)]); 4] = [
        (
            cars::SOLID,
            &[
                ("chassis.center_left", "30 mm"),
                ("chassis.cross_weight", "0.53"),
                ("front.camber", "-3 deg"),
                ("front.toe_in", "0.5 deg"),
            ],
        ),
        (
            cars::SOLID,
            &[
                ("chassis.cross_weight", "0.47"),
                ("rear.geometry.roll_steer_slope", "1 1/m"),
                ("rear.geometry.lateral_walk", "0.05"),
                ("rear.geometry.lateral_walk_slope", "2 1/m"),
                ("rear.geometry.pinion_gain_slope", "100 deg/m^2"),
                ("rear.spring.motion_ratio", "0.8"),
                ("rear.spring.motion_ratio_slope", "3 1/m"),
                ("rear.spring.roll_curvature", "0.05 mm/deg^2"),
                ("rear.bar.motion_ratio_slope", "2 1/m"),
            ],
        ),
        (
            cars::INDEPENDENT,
            &[
                ("chassis.center_left", "-40 mm"),
                ("rear.camber", "-2.5 deg"),
                ("rear.toe_in", "0.6 deg"),
                ("rear.geometry.toe_gain", "10 deg/m"),
                ("rear.geometry.recession", "0.2"),
                ("rear.geometry.caster_gain", "60 deg/m"),
                ("rear.spring.motion_ratio_slope", "3 1/m"),
            ],
        ),
        (
            cars::INDEPENDENT,
            &[
                ("rear.sprung.center_left", "300 mm"),
                ("rear.tire.vertical_stiffness", "150 kN/m"),
                ("front.tire.pressure", "22 psi"),
                ("front.geometry.roll_center_slope", "3"),
            ],
        ),
    ];
    for (text, changes) in askew {
        let changes = changes.iter().copied();
        let car = cars::car(text)
            .edit(changes)
            .unwrap_or_else(|e| panic!("{e}"));
        let meta = car.summary();
        // It is askew.
        assert!(
            (meta.load[0] - meta.load[1]).abs() > 20.0,
            "{:?}",
            meta.load
        );
        let a = largest_acceleration(&car);
        assert!(a < 1e-10, "{}: {a}", car.name());
    }
}
