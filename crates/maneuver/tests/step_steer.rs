//! The step steer of whole cars: its linear limit, its settings, its ends.

use std::ops::ControlFlow::Continue;
use std::sync::Mutex;

use axletree_maneuver::{Maneuver, StepSteer};
use axletree_numerics::Interrupt;
use axletree_simulation::channels::ALL;
use axletree_simulation::metrics::History;
use axletree_simulation::metrics::{SteadyWindow, StepResponse, steer_times, step_response};
use axletree_simulation::{FIXED_STEP, Measures};
use axletree_test_support::cars::{BOTH, model, with_even_dampers};
use axletree_test_support::near;
use axletree_test_support::rk4::rk4_run;
use axletree_vehicle::Model;
use axletree_vehicle::model::STATES;
use axletree_vehicle::trim::{self, Condition};
use axletree_vehicle::{Linearization, OUTPUTS, linearize};

fn measure(maneuver: &StepSteer, model: &Model) -> Measures {
    maneuver.measure(model, Interrupt::never()).unwrap()
}

/// Yaw rate and lateral acceleration of the car's linearization under a ramp of the steering wheel.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count: whole, small, not negative"
)]
fn linear_step(car: &Linearization, rise: f64, end: f64) -> [StepResponse; 2] {
    let row = |name: &str| OUTPUTS.iter().position(|o| o.0 == name).unwrap();
    let rows = [row("yaw_rate"), row("lateral_acceleration")];
    let (mut time, mut steer) = (Vec::new(), Vec::new());
    let mut outputs = [Vec::new(), Vec::new()];
    let mut x = [0.0; STATES];
    for (from, to) in [(0.0, rise), (rise, end)] {
        let input = |t: f64| {
            if from == 0.0 {
                (t / rise, 1.0 / rise)
            } else {
                (1.0, 0.0)
            }
        };
        let steps = ((to - from) / 0.001).ceil() as usize;
        let mut rate = |t: f64, x: &[f64; STATES]| {
            let (angle, speed) = input(t);
            let mut dx = [0.0; STATES];
            for (i, value) in dx.iter_mut().enumerate() {
                *value = car.b[(i, 0)] * angle + car.b[(i, 1)] * speed;
                for (j, xj) in x.iter().enumerate() {
                    *value += car.a[(i, j)] * xj;
                }
            }
            dx
        };
        let (_, last, _) = rk4_run(&mut rate, (from, to), &x, steps, &mut |_, t, x, _| {
            if time.last() == Some(&t) {
                time.pop();
                steer.pop();
                for column in &mut outputs {
                    column.pop();
                }
            }
            let (angle, speed) = input(t);
            time.push(t);
            steer.push(angle);
            for (column, r) in outputs.iter_mut().zip(rows) {
                let free: f64 = (0..STATES).map(|j| car.c[(r, j)] * x[j]).sum();
                column.push(free + car.d[(r, 0)] * angle + car.d[(r, 1)] * speed);
            }
            Continue(())
        });
        x = last;
    }
    let (zero, rest) = steer_times(History::new(&time, &steer)).unwrap();
    let window = SteadyWindow { from: 2.0, to: 3.0 };
    outputs.map(|o| step_response(History::new(&time, &o), zero, rest, window, 1e-6))
}

/// How gains, response times and overshoots of a driven step of the steering wheel differ from
/// those of the linearization: of yaw rate and of lateral acceleration, gains and times as shares.
fn from_linear(model: &Model, angle: f64) -> Vec<f64> {
    let straight = trim::solve(model, Condition::straight(80.0 / 3.6)).unwrap();
    let rise = 0.08;
    let want = linear_step(&linearize(model, &straight), rise, 3.0);
    let step = StepSteer {
        steering_wheel_angle: Some(straight.inputs.steering_wheel + angle),
        steering_rate: angle / rise,
        ..StepSteer::default()
    };
    let got = measure(&step, model);
    let value = |name: &str| got.get(name).unwrap();
    vec![
        value("yaw_rate_gain") / want[0].steady - 1.0,
        value("yaw_rate_response_time") / want[0].response_time - 1.0,
        value("yaw_rate_overshoot") - want[0].overshoot,
        value("lateral_acceleration_gain") / want[1].steady - 1.0,
        value("lateral_acceleration_response_time") / want[1].response_time - 1.0,
        value("lateral_acceleration_overshoot") - want[1].overshoot,
    ]
}

/// As the step shrinks, the driven car tends to the response of its own exact linearization: two
/// routes through the same equations, one in time, one by derivatives.
#[test]
fn val_small_steps_are_linear() {
    for name in BOTH {
        let even = with_even_dampers(model(name));
        let (wide, narrow) = (from_linear(&even, 0.04), from_linear(&even, 0.01));
        for (w, n) in wide.iter().zip(&narrow) {
            assert!(n.abs() < 1e-4, "{name}: {narrow:?}");
            assert!(
                n.abs() < 0.6 * w.abs() + 5e-5,
                "{name}: {wide:?} {narrow:?}"
            );
        }
        // As the car is, bump and rebound unlike each other couple roll with heave at any size of
        // motion; the linearization has the mean of both.
        let uneven = from_linear(&model(name), 0.01);
        println!("{name}: {uneven:.6?}");
        assert!(uneven.iter().all(|n| n.abs() < 2e-3), "{name}: {uneven:?}");
    }
}

/// Left and right are alike for a car that is the same on both sides.
#[test]
fn law_mirror() {
    let model = model("bramble-independent");
    let to = |lateral_acceleration: f64| {
        let step = StepSteer {
            lateral_acceleration,
            ..StepSteer::default()
        };
        measure(&step, &model)
    };
    let (left, right) = (to(5.0), to(-5.0));
    for ((metric, l), (_, r)) in left.values.iter().zip(&right.values) {
        let odd = metric.name().ends_with("_steady") || metric.name() == "steering_wheel_angle";
        let r = if odd { -r } else { *r };
        near(metric.name(), r, *l, 1e-6);
    }
}

/// The lag of toe, tilt and column is small beside the tires': halving it moves no metric by 0.1 %
/// or its floor. One is left out: the first maximum of the solid-axle car's sideslip is flat (the
/// response rises 5 % over it and waves), so that its time moves with everything; its height does
/// not. The control: a lag as long as the tires' own does matter.
#[test]
fn law_lag_does_not_matter() {
    let flat = "sideslip_peak_response_time";
    for name in BOTH {
        let at = |share: f64| {
            let mut model = model(name);
            model.numbers.chassis.lag *= share;
            let step = StepSteer {
                step: 0.5 * FIXED_STEP,
                ..StepSteer::default()
            };
            measure(&step, &model)
        };
        let moved = |a: &Measures, b: &Measures| {
            let mut worst = (0.0, "");
            for ((metric, x), (_, y)) in a.values.iter().zip(&b.values) {
                let share = (x - y).abs() / metric.floor.max(1e-3 * x.abs());
                if share > worst.0 && metric.name() != flat {
                    worst = (share, metric.name());
                }
            }
            worst
        };
        let (whole, half, long) = (at(1.0), at(0.5), at(10.0));
        let (worst, which) = moved(&whole, &half);
        assert!(
            worst < 1.0,
            "{name}: {which} moves by {worst} of what is allowed"
        );
        let (a, b) = (whole.get(flat).unwrap(), half.get(flat).unwrap());
        assert!((a - b).abs() < 3e-3 * a, "{name}: {a} {b}");
        assert!(moved(&whole, &long).0 > 3.0);
    }
}

/// A car with the shortest lag that a car file allows is driven in steps that stay stable.
#[test]
fn law_short_lag_is_stable() {
    let mut model = model("bramble-solid");
    let usual = measure(&StepSteer::default(), &model);
    model.numbers.chassis.lag = 0.5e-3;
    let short = measure(&StepSteer::default(), &model);
    assert!(short.ending.outcome.is_completed(), "{}", short.ending);
    let gain = |m: &Measures| m.get("yaw_rate_gain").unwrap();
    near("yaw rate gain", gain(&short), gain(&usual), 1e-5);
}

/// The recorded run is the measured one, and has every channel over the whole time.
#[test]
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn run_records_what_measure_measures() {
    let model = model("bramble-solid");
    let step = StepSteer::default();
    let run = step.run(&model, Interrupt::never()).unwrap();
    assert_eq!(run.measures, measure(&step, &model));
    assert_eq!(run.trace.channels.len(), ALL.len());
    assert!(run.trace.columns.iter().flatten().all(|v| v.is_finite()));
    assert!(run.trace.time.windows(2).all(|w| w[1] > w[0]));
    assert_eq!(*run.trace.time.last().unwrap(), step.settle + step.window);
    // The loads carry the car.
    let load: f64 = [
        "load_front_left",
        "load_front_right",
        "load_rear_left",
        "load_rear_right",
    ]
    .iter()
    .map(|c| run.trace.get(c).unwrap()[0])
    .sum();
    let weight = model.mass() * model.numbers.chassis.gravity;
    assert!((load / weight - 1.0).abs() < 0.05);
    // Names are unique.
    let mut names: Vec<&str> = ALL.iter().map(|c| c.name()).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), ALL.len());
}

#[test]
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn ends_are_named_and_keep_what_was_driven() {
    let model = model("bramble-solid");
    let name = |step: &StepSteer| measure(step, &model).ending.outcome.name();
    let asked = |lateral_acceleration: f64| StepSteer {
        lateral_acceleration,
        ..StepSteer::default()
    };
    assert_eq!(name(&asked(15.0)), "no_steady_state");
    let fast = StepSteer {
        speed: 95.0,
        ..StepSteer::default()
    };
    assert_eq!(name(&fast), "not_enough_power");
    // A violent step at speed on a grippy surface lifts, spins or rolls the car; the run is kept.
    let violent = StepSteer {
        speed: 40.0,
        steering_wheel_angle: Some(6.0),
        steering_rate: 15.0,
        friction: 2.5,
        ..StepSteer::default()
    };
    let run = violent.run(&model, Interrupt::never()).unwrap();
    let ended = run.measures.ending;
    assert!(
        ["two_wheel_lift", "spun", "rolled_over"].contains(&ended.outcome.name()),
        "{ended}"
    );
    assert!(ended.time > 0.1 && ended.time < 3.0);
    assert_eq!(*run.trace.time.last().unwrap(), ended.time);
    assert!(run.measures.get("yaw_rate_response_time").unwrap().is_nan());
    assert_eq!(run.measures.values.len(), violent.metrics().len());
}

#[test]
fn stops_when_told_and_tells_how_far_it_is() {
    let model = model("bramble-independent");
    let told = Mutex::new(Vec::new());
    let tell = |share: f64| told.lock().unwrap().push(share);
    let stop = || told.lock().unwrap().len() > 5;
    let run = StepSteer::default()
        .run(&model, Interrupt::when(&stop).with_progress(&tell))
        .unwrap();
    assert_eq!(run.measures.ending.outcome.name(), "interrupted");
    assert!(run.trace.time.len() > 50);
    let told = told.lock().unwrap();
    assert!(told.windows(2).all(|w| w[1] > w[0]) && told[0] == 0.0);
}

#[test]
fn settings_are_checked() {
    let model = model("bramble-solid");
    for wrong in [
        StepSteer {
            speed: f64::NAN,
            ..StepSteer::default()
        },
        StepSteer {
            lateral_acceleration: 0.0,
            ..StepSteer::default()
        },
        StepSteer {
            steering_rate: 0.2,
            steering_wheel_angle: Some(1.0),
            ..StepSteer::default()
        },
        StepSteer {
            window: -1.0,
            ..StepSteer::default()
        },
    ] {
        let error = wrong.measure(&model, Interrupt::never()).unwrap_err();
        assert!(error.to_string().starts_with("step_steer."), "{error}");
    }
}
