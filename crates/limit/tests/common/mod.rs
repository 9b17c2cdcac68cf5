//! Estimates that the tests of the searches share.

use axletree_vehicle::Model;
use axletree_vehicle::model::Inputs;

/// Lateral acceleration that the tires' friction allows at the loads of rest, mu g `[m/s^2]`. In a
/// corner the load transfer takes a few percent from it, since friction falls with load, and front
/// and rear do not reach their limits together.
pub fn grip(model: &Model, friction: f64) -> f64 {
    let rest = model.evaluate(&model.rolling_state(0.0), &Inputs::coasting());
    let force: f64 = model
        .wheels()
        .iter()
        .zip(&rest.contacts)
        .map(|(wheel, contact)| wheel.tire.contact(contact.load, 0.0, friction).peak[1])
        .sum();
    force / model.mass()
}
