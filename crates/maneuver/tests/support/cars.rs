//! The bundled cars, and cars changed for a test.

use axletree_vehicle::model::Rear;
use axletree_vehicle::model::numbers::Strut;
use axletree_vehicle::{Model, car};

/// The bundled cars' names.
pub const BOTH: [&str; 2] = ["bramble-solid", "bramble-independent"];

/// A bundled car as it is.
pub fn model(name: &str) -> Model {
    car::bundled(name).unwrap().unwrap().assemble().unwrap()
}

/// The same car with dampers alike in bump and rebound: others have no linear limit in heave, however
/// small the motion is.
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
