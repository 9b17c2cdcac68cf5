//! Drives of very many steps: they stop when asked to, and their records do not grow with them.

use std::sync::atomic::{AtomicUsize, Ordering};

use axletree_numerics::Interrupt;
use axletree_simulation::drive::{
    Action, Controls, Drive, Integrator, Job, Schedule, Validity, drive, drive_batch,
};
use axletree_simulation::{MOST_SAMPLES, Outcome, Recorder, Trace};
use axletree_test_support::cars::model;
use axletree_vehicle::Model;
use axletree_vehicle::model::{Inputs, STATES};

/// A slow sine of the steering wheel, the clutch out.
struct Sway;

impl Controls<0> for Sway {
    fn act(&self, time: f64, _: &[f64; STATES], _: &[f64; 0]) -> Action<0> {
        let (sin, cos) = axletree_scalar::Real::sin_cos(3.0 * time);
        Action {
            inputs: Inputs {
                steering_wheel: 0.3 * sin,
                steering_wheel_rate: 0.9 * cos,
                ..Inputs::coasting()
            },
            own_rate: [],
        }
    }
}

fn schedule(breaks: &[f64], longest_step: f64) -> Schedule<'_> {
    Schedule {
        breaks,
        longest_step,
        sample_every: 1,
        integrator: Integrator::Fixed,
    }
}

fn driven(
    model: &Model,
    schedule: &Schedule<'_>,
    interrupt: Interrupt<'_>,
) -> (Drive<STATES>, Trace) {
    let mut recorder = Recorder::metrics();
    let start = model.rolling_state(25.0);
    let valid = Validity::default();
    let end = drive(
        model,
        &Sway,
        start,
        schedule,
        &mut recorder,
        &valid,
        interrupt,
    );
    (end, recorder.finish())
}

/// Interruptions are asked for by work: a step ten times shorter gets ten times as many questions,
/// and no more than a few steps are taken after the answer.
#[test]
fn law_questions_come_by_work() {
    let car = model("bramble-solid");
    for step in [1e-3, 1e-4, 1e-5] {
        let asked = AtomicUsize::new(0);
        let count = || {
            asked.fetch_add(1, Ordering::Relaxed);
            false
        };
        let breaks = [0.0, 0.05];
        let (end, _) = driven(&car, &schedule(&breaks, step), Interrupt::when(&count));
        assert!(end.ending.outcome.is_completed());
        let steps_each = end.steps as f64 / asked.load(Ordering::Relaxed) as f64;
        assert!(
            (10.0..=20.0).contains(&steps_each),
            "{steps_each} at {step}"
        );

        let asked = AtomicUsize::new(0);
        let stop = || asked.fetch_add(1, Ordering::Relaxed) >= 2;
        let (end, trace) = driven(&car, &schedule(&breaks, step), Interrupt::when(&stop));
        assert_eq!(end.ending.outcome, Outcome::Interrupted);
        assert!(end.steps <= 40 && trace.time.len() == end.steps + 1);
    }
}

/// Side by side, every car asks as often as alone.
#[test]
fn law_cars_side_by_side_ask_by_work() {
    let cars: Vec<Model> = (0..3).map(|_| model("bramble-solid")).collect();
    let breaks = [0.0, 0.02];
    let jobs: Vec<Job<'_, Sway, STATES>> = cars
        .iter()
        .map(|car| Job {
            model: car,
            road: None,
            controls: &Sway,
            start: car.rolling_state(25.0),
            schedule: schedule(&breaks, 1e-5),
        })
        .collect();
    let asked = AtomicUsize::new(0);
    let stop = || asked.fetch_add(1, Ordering::Relaxed) >= 30;
    let mut ended = Vec::new();
    let valid = Validity::default();
    let recorder = |_| Recorder::of(&[]);
    let interrupt = Interrupt::when(&stop);
    drive_batch(&jobs, &recorder, &valid, interrupt, &mut |_, end, _| {
        ended.push(end);
    });
    assert_eq!(ended.len(), 3);
    for end in ended {
        assert_eq!(end.ending.outcome, Outcome::Interrupted);
        assert!((100..250).contains(&end.steps), "{}", end.steps);
    }
}

/// A drive of more steps than samples is recorded evenly, with both ends of every stretch, and is
/// the same drive: its state at the end is that of the fully recorded stretches of the same steps.
#[test]
fn law_records_stay_below_a_fixed_number() {
    let car = model("bramble-solid");
    let breaks = [0.0, 0.5, 1.3];
    let fine = schedule(&breaks, 1e-5);
    let (end, trace) = driven(&car, &fine, Interrupt::never());
    assert!(end.ending.outcome.is_completed());
    assert!(end.steps >= 130_000 && end.steps < 130_010, "{}", end.steps);
    let samples = trace.time.len();
    assert!(
        samples <= MOST_SAMPLES && samples > MOST_SAMPLES / 2,
        "{samples}"
    );
    assert!(trace.time.contains(&0.5) && trace.time.last() == Some(&1.3));
    let every = trace.time[1];
    for pair in trace.time.windows(2) {
        assert!((pair[1] - pair[0] - every).abs() < 1e-9, "{pair:?}");
    }
    // The control: a drive of few steps has a sample for each.
    let (end, trace) = driven(&car, &schedule(&breaks, 1e-3), Interrupt::never());
    assert_eq!(trace.time.len(), end.steps + 1);
}
