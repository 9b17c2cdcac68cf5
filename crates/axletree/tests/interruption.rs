//! Every maneuver hears an interruption within a second, whatever its settings: with the shortest
//! steps, the most points, the longest courses.
//!
//! Time is that of this thread on the processor, which other work on the machine does not change.
//! A second of a person is compared, not the speed of a machine: the bound is a quarter of it, and
//! the largest span measured between two questions is a tenth of the bound.

#![cfg(target_os = "linux")]

use std::sync::Mutex;
use std::time::Duration;

use axletree::registry;
use axletree_numerics::Interrupt;
use axletree_test_support::cars::model;
use axletree_vehicle::Model;
use serde_json::{Value, json};

/// Longest time between two questions, before the first and after the last.
const LONGEST: Duration = Duration::from_millis(250);
/// Time after which a maneuver is stopped.
const STOPPED_AFTER: Duration = Duration::from_millis(800);

/// Time of this thread on the processor: the first number of its `schedstat`, in nanoseconds.
fn on_processor() -> Duration {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap();
    let nanoseconds = text.split_whitespace().next().unwrap().parse().unwrap();
    Duration::from_nanos(nanoseconds)
}

/// The times of the questions for an interruption.
struct Questions {
    last: Duration,
    longest: Duration,
    count: usize,
}

impl Questions {
    fn note(&mut self) -> Duration {
        let now = on_processor();
        self.longest = self.longest.max(now.saturating_sub(self.last));
        self.last = now;
        now
    }
}

/// Runs a maneuver until it is stopped; the longest span without a question, and their number.
fn longest_span(name: &str, settings: &Value, model: &Model, record: bool) -> (Duration, usize) {
    let maneuver = registry::build(name, settings.as_object().unwrap()).unwrap();
    let begin = on_processor();
    let questions = Mutex::new(Questions {
        last: begin,
        longest: Duration::ZERO,
        count: 0,
    });
    let stop = || {
        let mut questions = questions.lock().unwrap();
        questions.count += 1;
        questions.note().saturating_sub(begin) > STOPPED_AFTER
    };
    let interrupt = Interrupt::when(&stop);
    if record {
        maneuver.run(model, interrupt).unwrap();
    } else {
        maneuver.measure(model, interrupt).unwrap();
    }
    let mut questions = questions.into_inner().unwrap();
    questions.note();
    (questions.longest, questions.count)
}

#[test]
fn every_maneuver_asks_within_a_quarter_second() {
    let car = model("bramble-independent");
    let kilometers = json!({
        "radius": 2000.0,
        "lateral_acceleration": 1.0,
        "settle": 60.0,
        "window": 60.0,
        "road": {"shortest": 0.05, "longest": 1000.0},
    });
    let swept = |duration: f64| json!({"lateral_acceleration": 4.0, "duration": duration});
    for (name, settings) in [
        (
            "step_steer",
            json!({"step": 1e-5, "settle": 60.0, "window": 60.0}),
        ),
        ("circle", json!({})),
        ("slalom", json!({"step": 2e-4, "harmonics": 4})),
        (
            "slalom",
            json!({"step": 2e-4, "cones": 100, "spacing": 100.0}),
        ),
        ("frequency_response", json!({"points": 10_000})),
        (
            "frequency_response",
            json!({"points": 10_000, "method": {"swept_sine": swept(15.0)}}),
        ),
        (
            "frequency_response",
            json!({"step": 1e-5, "method": {"swept_sine": swept(1000.0)}}),
        ),
        ("sine_with_dwell", json!({"step": 1e-5})),
        ("sine_with_dwell", json!({"increment": 0.05, "first": 0.01})),
        ("braking_in_a_turn", json!({"step": 1e-5})),
        ("lift_off_in_a_turn", json!({"step": 1e-5})),
        ("bump_in_a_corner", json!({"step": 1e-5})),
        ("rough_corner", json!({"step": 1e-5})),
        ("rough_corner", kilometers),
        ("double_lane_change", json!({"step": 1e-4})),
        ("acceleration_envelope", json!({})),
        ("corner_exit", json!({"step": 1e-4})),
        ("launch", json!({"step": 1e-5})),
    ] {
        let (longest, count) = longest_span(name, &settings, &car, true);
        assert!(
            longest < LONGEST,
            "{name} {settings}: {longest:?} without a question"
        );
        assert!(count > 5, "{name} {settings}: {count} questions");
    }
    // As a study measures it.
    let (longest, _) = longest_span("slalom", &json!({"step": 2e-4}), &car, false);
    assert!(longest < LONGEST, "slalom: {longest:?} without a question");
}
