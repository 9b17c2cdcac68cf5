//! The bundled cars, and cars changed for a test.

use axletree_tire::Tire;
use axletree_vehicle::model::Rear;
use axletree_vehicle::model::numbers::Strut;
use axletree_vehicle::{Car, Model, bundled};

/// The bundled cars' names.
pub const BOTH: [&str; 2] = ["bramble-solid", "bramble-independent"];

/// A bundled car as it is.
#[expect(
    clippy::missing_panics_doc,
    reason = "a wrong call is a mistake of the caller"
)]
pub fn model(name: &str) -> Model {
    bundled(name).unwrap().unwrap().assemble().unwrap()
}

/// A bundled car whose ends are given by coefficients: its housing is rigid.
#[expect(
    clippy::missing_panics_doc,
    reason = "a wrong call is a mistake of the caller"
)]
pub fn by_coefficients(name: &str) -> Car {
    bundled(&format!("{name}-by-coefficients"))
        .unwrap()
        .unwrap()
}

/// The same car with dampers alike in bump and rebound: others have no linear limit in heave,
/// however small the motion is.
pub fn with_even_dampers(mut model: Model) -> Model {
    let even = |strut: &mut Strut<f64>| {
        let low = &mut strut.damper.low;
        *low = [0.5 * (low[0] + low[1]); 2];
    };
    let numbers = &mut model.numbers;
    numbers
        .front
        .side
        .iter_mut()
        .for_each(|c| even(&mut c.strut));
    match &mut numbers.rear {
        Rear::Independent(c) => c.side.iter_mut().for_each(|c| even(&mut c.strut)),
        Rear::Solid(a) => a.side.iter_mut().for_each(|s| even(&mut s.strut)),
    }
    model
}

/// The same car with a change to each of its tires.
pub fn with_tires(mut model: Model, change: impl Fn(&mut Tire<f64>)) -> Model {
    let numbers = &mut model.numbers;
    numbers
        .front
        .side
        .iter_mut()
        .for_each(|c| change(&mut c.wheel.tire));
    match &mut numbers.rear {
        Rear::Independent(c) => c.side.iter_mut().for_each(|c| change(&mut c.wheel.tire)),
        Rear::Solid(a) => a.side.iter_mut().for_each(|s| change(&mut s.wheel.tire)),
    }
    model
}

/// The same car on tires whose friction does not depend on load, without air forces and rolling
/// resistance: the car of textbook formulas.
pub fn with_plain_friction(model: Model, friction: f64) -> Model {
    let mut model = with_tires(model, |tire| {
        for direction in [&mut tire.x, &mut tire.y] {
            direction.friction_unloaded = friction;
            direction.friction_slope = 0.0;
            direction.friction_floor = friction;
        }
        tire.rolling_resistance = 0.0;
    });
    let air = &mut model.numbers.chassis.air;
    air.drag = 0.0;
    air.lift = [0.0; 2];
    model
}
