//! Every maneuver that drives cars side by side against the same cars driven alone.

#![expect(
    clippy::disallowed_methods,
    reason = "paths of a test: their bits need not be those of every platform"
)]

use std::sync::atomic::{AtomicUsize, Ordering};

use axletree_maneuver::{
    BrakingInATurn, BumpInACorner, FollowPath, FrequencyMethod, FrequencyResponse, Launch,
    LaunchMethod, LiftOffInATurn, Maneuver, RoughCorner, SineWithDwell, StepSteer,
};
use axletree_numerics::Interrupt;
use axletree_scalar::LANES;
use axletree_simulation::road::{Shape, Under};
use axletree_simulation::{Ending, Measures, Outcome, Path};
use axletree_test_support::cars::BOTH;
use axletree_vehicle::{Model, bundled};

/// Cars of both topologies, each with a bar of its own: of one more than there are lanes, so that
/// lanes are refilled. One lacks the power, one stands so high that it tips over in a corner, one
/// has a lag of its own, one short gears.
fn cars() -> Vec<Model> {
    let both = BOTH.map(|n| bundled(n).unwrap().unwrap());
    (0..13)
        .chain((14..).step_by(2).take(LANES - 4))
        .map(|i| {
            let bar = 0.013 + 0.0006 * i as f64;
            let edited = both[i % 2].edit([("rear.bar.outer_diameter", bar)]);
            let mut model = edited.unwrap().assemble().unwrap();
            match i {
                3 => model.numbers.chassis.sprung.center[2] += 0.5,
                5 => model.numbers.chassis.driveline.peak_power = 100.0,
                6 => model.numbers.chassis.lag *= 3.0,
                8 => model.gears.iter_mut().for_each(|gear| *gear *= 1.3),
                _ => {}
            }
            model
        })
        .collect()
}

/// The maneuvers that drive cars side by side.
fn maneuvers() -> Vec<Box<dyn Maneuver>> {
    let wave = |x: f64| [x, 1.5 * (0.1 * x).sin()];
    let points: Vec<[f64; 2]> = (0..=30).map(|i| wave(4.0 * f64::from(i))).collect();
    vec![
        Box::new(StepSteer::default()),
        Box::new(StepSteer {
            hold_speed: true,
            lateral_acceleration: -5.0,
            ..StepSteer::default()
        }),
        Box::new(StepSteer {
            steering_wheel_angle: Some(2.5),
            ..StepSteer::default()
        }),
        Box::new(SineWithDwell::default()),
        Box::new(BrakingInATurn::default()),
        Box::new(BrakingInATurn {
            lateral_acceleration: 7.5,
            deceleration: 9.0,
            declutch: true,
            ..BrakingInATurn::default()
        }),
        Box::new(LiftOffInATurn {
            lateral_acceleration: -6.0,
            ..LiftOffInATurn::default()
        }),
        Box::new(BumpInACorner::default()),
        Box::new(BumpInACorner {
            shape: Shape::Kerb {
                height: 0.06,
                slope: 0.2,
                length: 0.5,
            },
            under: Under::Left,
            lateral_acceleration: -7.0,
            ..BumpInACorner::default()
        }),
        Box::new(RoughCorner {
            window: 2.0,
            ..RoughCorner::default()
        }),
        Box::new(Launch {
            distance: 80.0,
            ..Launch::default()
        }),
        Box::new(Launch {
            method: LaunchMethod::DumpedClutch(0.1),
            ..Launch::default()
        }),
        Box::new(FrequencyResponse {
            method: FrequencyMethod::SweptSine {
                lateral_acceleration: 4.0,
                duration: 6.0,
            },
            frequencies: [0.5, 3.0],
            points: 9,
            ..FrequencyResponse::default()
        }),
        Box::new(FollowPath::new(Path::through(&points).unwrap(), 14.0)),
    ]
}

fn assert_same(maneuver: &dyn Maneuver, car: usize, got: &Measures, want: &Measures) {
    let name = maneuver.name();
    assert_eq!(got.ending, want.ending, "{name}, car {car}");
    for ((metric, x), (_, y)) in got.values.iter().zip(&want.values) {
        let same = x.to_bits() == y.to_bits() || x.is_nan() && y.is_nan();
        assert!(same, "{name}, car {car}: {} {x} {y}", metric.name());
    }
}

/// Side by side, in either order, every car measures the bits that it measures alone. The controls:
/// the cars differ, most complete, and some end under way.
#[test]
fn law_side_by_side_measures_what_each_does_alone() {
    let models = cars();
    let all: Vec<&Model> = models.iter().collect();
    let turned: Vec<&Model> = models.iter().rev().collect();
    let never = Interrupt::never();
    let mut ended_under_way = 0;
    for maneuver in maneuvers() {
        let maneuver = &*maneuver;
        let name = maneuver.name();
        assert!(maneuver.side_by_side() > 1, "{name}");
        let together = maneuver.measure_all(&all, never);
        let backward = maneuver.measure_all(&turned, never);
        assert_eq!(together.len(), all.len());
        for (i, model) in all.iter().enumerate() {
            let alone = maneuver.measure(model, never).unwrap();
            assert_same(maneuver, i, &together[i], &alone);
            let mirrored = &backward[all.len() - 1 - i];
            assert_same(maneuver, i, mirrored, &alone);
        }
        let endings: Vec<_> = together.iter().map(|m| m.ending).collect();
        let completed = endings.iter().filter(|e| e.outcome.is_completed());
        assert!(completed.count() >= 6, "{name}: {endings:?}");
        let under_way = |e: &&Ending| !e.outcome.is_completed() && e.time > 0.0;
        ended_under_way += endings.iter().filter(under_way).count();
        let value = |i: usize| {
            let values = &together[i].values;
            values.iter().map(|(_, v)| v.to_bits()).collect::<Vec<_>>()
        };
        assert!(value(0) != value(2) && value(0) != value(1), "{name}");
    }
    assert!(ended_under_way >= 4, "{ended_under_way}");
}

/// A run with everything recorded measures the same as one with little.
#[test]
fn law_runs_measure_the_same() {
    let models = cars();
    let never = Interrupt::never();
    for maneuver in maneuvers() {
        for (i, model) in models.iter().enumerate().take(4) {
            let run = maneuver.run(model, never).unwrap();
            let measures = maneuver.measure(model, never).unwrap();
            assert_same(&*maneuver, i, &run.measures, &measures);
        }
    }
}

/// The amplitudes of a series side by side show what each shows alone.
#[test]
fn law_amplitudes_of_a_series() {
    let models = cars();
    let never = Interrupt::never();
    let series = SineWithDwell::default();
    for model in &models[..2] {
        let whole = series.measure(model, never).unwrap();
        let get = |m: &Measures, name: &str| m.get(name).unwrap();
        let reference = get(&whole, "reference_angle");
        let last = get(&whole, "largest_amplitude");
        let alone: Vec<Measures> = series
            .amplitudes(reference)
            .into_iter()
            .filter(|a| *a <= last)
            .map(|a| {
                let one = SineWithDwell {
                    amplitude: Some(a),
                    ..series.clone()
                };
                one.measure(model, never).unwrap()
            })
            .collect();
        assert!(alone.len() > 4);
        for name in [
            "yaw_rate_left_early",
            "yaw_rate_left_late",
            "sideslip_largest",
        ] {
            let worst = alone.iter().map(|m| get(m, name)).fold(f64::NAN, f64::max);
            assert_eq!(worst.to_bits(), get(&whole, name).to_bits(), "{name}");
        }
    }
}

/// Stopped in the middle every car has its place and a name for how it ended; those that were
/// through are as they are alone.
#[test]
fn law_stopped_in_the_middle() {
    let models = cars();
    let all: Vec<&Model> = models.iter().collect();
    for maneuver in maneuvers() {
        let maneuver = &*maneuver;
        let asked = AtomicUsize::new(0);
        let count = || {
            asked.fetch_add(1, Ordering::Relaxed);
            false
        };
        let whole = maneuver.measure_all(&all, Interrupt::when(&count));
        let most = asked.swap(0, Ordering::Relaxed);
        assert!(most > 100, "{}: {most}", maneuver.name());
        let stop = || asked.fetch_add(1, Ordering::Relaxed) > most * 3 / 5;
        let stopped = maneuver.measure_all(&all, Interrupt::when(&stop));
        assert_eq!(stopped.len(), all.len());
        let mut interrupted = 0;
        for (i, (got, want)) in stopped.iter().zip(&whole).enumerate() {
            if got.ending.outcome == Outcome::Interrupted {
                interrupted += 1;
            } else {
                assert_same(maneuver, i, got, want);
            }
        }
        assert!(interrupted > 0, "{}", maneuver.name());
    }
}
