//! Steps allocate nothing. Alone in its file: the counter of allocations sees every thread.

use std::alloc::System;

use axletree_maneuver::{Maneuver, StepSteer};
use axletree_numerics::Interrupt;
use axletree_test_support::cars::model;
use axletree_vehicle::Model;
use stats_alloc::{INSTRUMENTED_SYSTEM, Region, StatsAlloc};

#[global_allocator]
static ALLOCATOR: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

/// What is allocated for a run does not grow with its steps.
#[test]
fn steps_allocate_nothing() {
    let models = vec![model("bramble-solid"); 8];
    let all: Vec<&Model> = models.iter().collect();
    let count = |step: f64| {
        let maneuver = StepSteer {
            step,
            ..StepSteer::default()
        };
        let region = Region::new(ALLOCATOR);
        let measured = maneuver.measure_all(&all, Interrupt::never());
        let allocations = region.change().allocations;
        assert!(measured.iter().all(|m| m.ending.outcome.is_completed()));
        allocations
    };
    let (coarse, fine) = (count(0.004), count(0.001));
    assert!(fine <= coarse, "{fine} and {coarse} allocations");
}
