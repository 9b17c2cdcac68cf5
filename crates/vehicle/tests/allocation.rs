//! The right-hand side allocates nothing.

use allocation_counter::measure;
use axletree_vehicle::bundled;
use axletree_vehicle::model::layout::VELOCITY;
use axletree_vehicle::trim::{Condition, solve};

#[test]
fn an_evaluation_allocates_nothing() {
    for name in ["bramble-solid", "bramble-independent"] {
        let model = bundled(name).unwrap().unwrap().assemble().unwrap();
        let trim = solve(&model, Condition::cornering(20.0, 5.0)).unwrap();
        let mut x = trim.state;
        let counted = measure(|| {
            for _ in 0..100 {
                let rate = model.rate(&x, &trim.inputs);
                x[VELOCITY + 1] += 1e-6 * rate[VELOCITY + 1];
            }
        });
        assert_eq!(counted.count_total, 0);
        // The control: the counter counts.
        let counted = measure(|| drop(std::hint::black_box(vec![x[0]; 3])));
        assert_eq!(counted.count_total, 1);
    }
}
