//! Operations of one evaluation, counted.

pub mod count;

use count::{Count, Tally, counted};

use axletree_scalar::Lift;
use axletree_vehicle::Model;
use axletree_vehicle::model::{Fixed, Flat, STATES, evaluate_fixed};
use axletree_vehicle::trim::Trim;

/// What rates and loads depend on, the numbers' own quotients found before.
pub fn operations(model: &Model, trim: &Trim) -> Tally {
    let (_, tally) = counted(|| {
        let numbers = model.numbers.lift(&mut Count::given);
        // Given, not computed: what many evaluations share.
        let fixed = Fixed::of(&model.numbers).lift(&mut Count::given);
        let state = trim.state.map(Count::given);
        let inputs = trim.inputs.map(Count::given);
        let e = evaluate_fixed(&numbers, &fixed, &state, &inputs, &Flat);
        let loads = e.contacts.map(|c| c.load);
        let mut all = [loads[0]; STATES + 4];
        all[..STATES].copy_from_slice(&e.rate);
        all[STATES..].copy_from_slice(&loads);
        all
    });
    tally
}
