//! The right-hand side allocates nothing. Alone in its file: the counter sees every thread.

use std::alloc::System;

use axletree_vehicle::bundled;
use axletree_vehicle::model::layout::VELOCITY;
use axletree_vehicle::trim::{Condition, solve};
use stats_alloc::{INSTRUMENTED_SYSTEM, Region, StatsAlloc};

#[global_allocator]
static ALLOCATOR: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

#[test]
fn an_evaluation_allocates_nothing() {
    for name in ["bramble-solid", "bramble-independent"] {
        let model = bundled(name).unwrap().unwrap().assemble().unwrap();
        let trim = solve(&model, Condition::cornering(20.0, 5.0)).unwrap();
        let region = Region::new(ALLOCATOR);
        let mut x = trim.state;
        for _ in 0..100 {
            let rate = model.rate(&x, &trim.inputs);
            x[VELOCITY + 1] += 1e-6 * rate[VELOCITY + 1];
        }
        assert_eq!(region.change().allocations, 0);
        // The control: the counter counts.
        let region = Region::new(ALLOCATOR);
        let kept = std::hint::black_box(vec![x[0]; 3]);
        assert_eq!(region.change().allocations, 1);
        drop(kept);
    }
}
