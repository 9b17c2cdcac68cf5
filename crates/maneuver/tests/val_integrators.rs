//! The two integrators of a drive against each other, over the step steer.

use axletree_maneuver::StepSteer;
use axletree_numerics::Interrupt;
use axletree_simulation::drive::{
    Drive, FIXED_STEP, Integrator, Job, Schedule, Validity, drive, drive_batch,
};
use axletree_simulation::{Measures, Outcome, Recorder};
use axletree_test_support::cars;
use axletree_vehicle::Model;

const N: usize = axletree_vehicle::model::STATES + 1;

fn driven(
    model: &Model,
    integrator: Integrator,
    step: f64,
    interrupt: Interrupt<'_>,
) -> (Drive<N>, Recorder, Measures) {
    let maneuver = StepSteer::default();
    let prepared = maneuver.prepare(model).unwrap();
    let mut recorder = Recorder::metrics();
    let schedule = Schedule {
        breaks: &prepared.breaks,
        longest_step: step,
        sample_every: 1,
        integrator,
    };
    let driven = drive(
        model,
        &prepared.controls,
        prepared.start,
        &schedule,
        &mut recorder,
        &Validity::default(),
        interrupt,
    );
    let measures = maneuver.measured(
        recorder.trace().clone(),
        driven.ending,
        prepared.controls.change(),
    );
    (driven, recorder, measures)
}

/// Largest difference of a metric, in its floors.
fn difference(a: &Measures, b: &Measures) -> f64 {
    assert_eq!(a.values.len(), b.values.len());
    let pairs = a.values.iter().zip(&b.values);
    let shares = pairs.filter(|(a, b)| a.1.is_finite() || b.1.is_finite());
    shares
        .map(|((metric, a), (_, b))| (a - b).abs() / metric.floor)
        .fold(0.0, f64::max)
}

/// Fixed and adaptive steps agree within the floor of every metric, the adaptive integrator converges
/// with its tolerance, and all record at the same times. Two controls: the longest
/// stable fixed step is further off than the usual one, and a careless tolerance misses a floor.
#[test]
fn val_adaptive_steps_agree_with_fixed_ones() {
    for name in cars::BOTH {
        let model = cars::model(name);
        let with = |integrator, step| driven(&model, integrator, step, Interrupt::never());
        let adaptive = |tolerance| with(Integrator::Adaptive { tolerance }, FIXED_STEP);
        let (_, fixed_record, fixed) = with(Integrator::Fixed, FIXED_STEP);
        let (drive, record, fine) = adaptive(1e-10);
        let (_, _, loose) = adaptive(1e-8);
        assert_eq!(drive.ending.outcome, Outcome::Completed);
        assert_eq!(record.trace().time, fixed_record.trace().time);
        let fixed_off = difference(&fixed, &fine);
        let loose_off = difference(&loose, &fine);
        assert!(fixed_off < 1.0, "{name}: {fixed_off}");
        // The error per step is the tolerance, so a hundred times the tolerance is at least ten times
        // as far off.
        let looser_off = difference(&adaptive(1e-6).2, &fine);
        assert!(
            loose_off < 0.1 * looser_off,
            "{name}: {loose_off} {looser_off}"
        );
        assert!(
            loose_off < 0.5 * fixed_off,
            "{name}: {loose_off} {fixed_off}"
        );
        // The longest step that is stable.
        let (_, _, coarse) = with(Integrator::Fixed, 2.0 * FIXED_STEP);
        let coarse_off = difference(&coarse, &fine);
        assert!(
            coarse_off > 1.5 * fixed_off,
            "{name}: {coarse_off} {fixed_off}"
        );
        let (_, _, careless) = adaptive(1e-4);
        let careless_off = difference(&careless, &fine);
        assert!(careless_off > 1.0, "{name}: {careless_off}");
    }
}

/// Among cars driven side by side one with the adaptive integrator gives the same bits as alone,
/// and leaves its neighbors theirs.
#[test]
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn law_adaptive_cars_among_others() {
    let model = cars::model(cars::BOTH[0]);
    let prepared = StepSteer::default().prepare(&model).unwrap();
    let integrators = [
        Integrator::Fixed,
        Integrator::Adaptive { tolerance: 1e-7 },
        Integrator::Fixed,
    ];
    let jobs = integrators.map(|integrator| Job {
        model: &model,
        road: None,
        controls: &prepared.controls,
        start: prepared.start,
        schedule: Schedule {
            breaks: &prepared.breaks[..2],
            longest_step: FIXED_STEP,
            sample_every: 1,
            integrator,
        },
    });
    let mut states = [None; 3];
    drive_batch(
        &jobs,
        &|_| Recorder::metrics(),
        &Validity::default(),
        Interrupt::never(),
        &mut |job, drive, _| states[job] = Some(drive.state),
    );
    let alone = jobs.map(|job| {
        let never = Interrupt::never();
        let mut recorder = Recorder::metrics();
        let schedule = &job.schedule;
        drive(
            job.model,
            job.controls,
            job.start,
            schedule,
            &mut recorder,
            &Validity::default(),
            never,
        )
        .state
    });
    assert_eq!(states, alone.map(Some));
    assert_ne!(alone[0], alone[1]);
}

/// A tolerance that no step meets ends the run by name and keeps what was recorded; an interruption
/// is heard at the next point of the time grid.
#[test]
fn adaptive_runs_end_by_name() {
    let model = cars::model(cars::BOTH[1]);
    let tolerance = 1e-30;
    let (drive, record, _) = driven(
        &model,
        Integrator::Adaptive { tolerance },
        FIXED_STEP,
        Interrupt::never(),
    );
    let want = Outcome::StepTooSmall { tolerance };
    assert_eq!((drive.ending.outcome, drive.ending.time), (want, 0.0));
    assert_eq!(record.trace().time, [0.0]);

    let asked = std::sync::atomic::AtomicUsize::new(0);
    let stop = || asked.fetch_add(1, std::sync::atomic::Ordering::Relaxed) >= 3;
    let (drive, _, _) = driven(
        &model,
        Integrator::Adaptive { tolerance: 1e-8 },
        FIXED_STEP,
        Interrupt::when(&stop),
    );
    assert_eq!(drive.ending.outcome, Outcome::Interrupted);
    assert_eq!(drive.steps, 3);
}
