//! The assembled car stands at rest: the equations of motion find no acceleration.

use axletree_vehicle::car::{BUNDLED, Car, bundled};
use axletree_vehicle::model::Inputs;
use axletree_vehicle::model::layout::{SPIN, TRAVEL, TRAVEL_RATE, VELOCITY};

fn car(name: &str) -> Car {
    bundled(name).expect("a bundled name").expect("a car")
}

/// Largest acceleration of the ten coordinates at the assembled rest state [m/s^2, rad/s^2].
fn largest_acceleration(car: &Car) -> f64 {
    let (_, meta) = car.numbers().unwrap();
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
