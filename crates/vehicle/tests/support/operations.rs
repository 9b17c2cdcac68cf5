//! Operations of one evaluation, counted.

pub mod count;

use count::{Count, Tally, counted};

use axletree_scalar::Lift;
use axletree_vehicle::Model;
use axletree_vehicle::model::{Flat, Precomputed, STATES, evaluate_precomputed};
use axletree_vehicle::trim::Trim;

/// Operations of the rates and loads of one car; the quotients of its numbers are computed before.
pub fn operations(model: &Model, trim: &Trim) -> Tally {
    let (_, tally) = counted(|| {
        let numbers = model.numbers.lift(&mut Count::given);
        // Not counted: many evaluations share them.
        let precomputed = Precomputed::of(&model.numbers).lift(&mut Count::given);
        let state = trim.state.map(Count::given);
        let inputs = trim.inputs.map(|x| Count::given(*x));
        let e = evaluate_precomputed(&numbers, &precomputed, &state, &inputs, &Flat);
        let loads = e.contacts.map(|c| c.load);
        let mut all = [loads[0]; STATES + 4];
        all[..STATES].copy_from_slice(&e.rate);
        all[STATES..].copy_from_slice(&loads);
        all
    });
    tally
}
