//! Steps allocate nothing.

use allocation_counter::measure;
use axletree_maneuver::{Maneuver, StepSteer};
use axletree_numerics::Interrupt;
use axletree_simulation::Recorder;
use axletree_test_support::cars::model;
use axletree_vehicle::Model;

/// A run allocates when a recorded series doubles, never at a step: with four times the steps, each
/// series doubles twice more. One allocation a step would show as thousands.
#[test]
fn steps_allocate_nothing() {
    let models = vec![model("bramble-solid"); 8];
    let all: Vec<&Model> = models.iter().collect();
    let count = |step: f64| {
        let maneuver = StepSteer {
            step,
            ..StepSteer::default()
        };
        let counted = measure(|| {
            let measured = maneuver.measure_all(&all, Interrupt::never());
            assert!(measured.iter().all(|m| m.ending.outcome.is_completed()));
        });
        counted.count_total
    };
    // The first run of a process also fills what is found once.
    count(0.004);
    let (coarse, fine) = (count(0.004), count(0.001));
    let doublings = 2 * 8 * (Recorder::metrics().trace().channels.len() as u64 + 1);
    assert!(
        coarse < fine && fine <= coarse + doublings,
        "{coarse} and {fine} allocations"
    );
}
