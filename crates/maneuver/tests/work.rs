//! How much work a car takes: counted, so that waste shows.

use axletree_maneuver::StepSteer;
use axletree_numerics::Interrupt;
use axletree_simulation::Recorder;
use axletree_simulation::drive::{Integrator, Schedule, Validity, drive};
use axletree_test_support::cars::model;
use axletree_vehicle::trim::NewtonWork;

/// A default step steer: the straight running takes all derivatives once and the corner twice (with
/// the step along the tangent before them), all other passes use them again; the steps are of 5 ms
/// or a little less, so that breaks are met. Pinned; a change of the equations may move a pass by
/// one, a change of the driveline or the tires the steps of the car concerned.
#[test]
fn golden_a_step_steer_takes_so_much_work() {
    for (name, evaluations, solutions, steps) in [
        ("bramble-solid", 12, 10, 601),
        ("bramble-independent", 13, 11, 601),
    ] {
        let model = model(name);
        let maneuver = StepSteer::default();
        let prepared = maneuver.prepare(&model).unwrap();
        let work = NewtonWork {
            evaluations,
            derivatives: 3,
            solutions,
        };
        assert_eq!(prepared.work, work, "{name}");
        let schedule = Schedule {
            breaks: &prepared.breaks,
            longest_step: prepared.step,
            sample_every: 1,
            integrator: Integrator::Fixed,
        };
        let driven = drive(
            &model,
            &prepared.controls,
            prepared.start,
            &schedule,
            &mut Recorder::metrics(),
            &Validity::default(),
            Interrupt::never(),
        );
        assert_eq!(driven.steps, steps, "{name}");
        // The control: a finer step is counted.
        let finer = Schedule {
            longest_step: 0.5 * prepared.step,
            ..schedule
        };
        let finer = drive(
            &model,
            &prepared.controls,
            prepared.start,
            &finer,
            &mut Recorder::metrics(),
            &Validity::default(),
            Interrupt::never(),
        );
        assert!(finer.steps > 2 * steps - 4);
    }
}
