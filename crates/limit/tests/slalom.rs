//! The slalom: clearance geometry, the orbit and its sensitivities, the search, the course, faults.

use axletree_limit::cones::{Cone, Outline, Pass};
use axletree_limit::slalom::orbit::{Period, SLOW};
use axletree_limit::slalom::plant::{CRUISE, HANDS, LENGTH, Plant, State};
use axletree_limit::slalom::search::approach;
use axletree_limit::slalom::{Limit, Slalom, TopSpeed, start};
use axletree_maneuver::Maneuver;
use axletree_numerics::Interrupt;
use axletree_simulation::{ManeuverError, Outcome};
use axletree_test_support::dopri5::Dopri5;
use axletree_vehicle::model::Rear;
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, STATES, VELOCITY};
use axletree_vehicle::{Model, car};
use std::ops::ControlFlow;

fn bramble(name: &str) -> Model {
    car::bundled(name).unwrap().unwrap().assemble().unwrap()
}

fn search(slalom: &Slalom, model: &Model) -> TopSpeed {
    slalom.top_speed(model, Interrupt::never()).unwrap()
}

const OUTLINE: Outline = Outline {
    half_width: 0.9,
    nose: 2.0,
    tail: 2.4,
};

fn at(x: f64, y: f64, yaw: f64) -> State {
    let mut state = [0.0; LENGTH];
    state[POSITION] = x;
    state[POSITION + 1] = y;
    state[ATTITUDE] = yaw;
    state[VELOCITY] = 10.0;
    state
}

/// A straight pass beside a cone leaves the lateral distance less half the width and the cone; the
/// other side is as far inside.
#[test]
fn val_clearance_of_a_straight_pass() {
    for (y, side, want) in [
        (1.3, 1.0, 1.3 - 0.9 - 0.18),
        (-1.3, -1.0, 1.3 - 0.9 - 0.18),
        (-1.3, 1.0, -1.3 - 0.9 - 0.18),
    ] {
        let cone = Cone {
            x: 0.0,
            side,
            radius: 0.18,
        };
        let mut pass = Pass::new(cone, OUTLINE);
        for i in 0..=100 {
            pass.see(&at(-5.0 + 0.1 * f64::from(i), y, 0.0), 0.0);
        }
        assert!((pass.clearance() - want).abs() < 1e-12, "{y} {side}");
    }
}

/// A car that turns about a point: the nearest point of the outline to a cone at that point is known in
/// closed form, at the side for a point beside the car, at the corner for one before the nose.
#[test]
fn val_clearance_of_a_turning_car() {
    // The cone moves on a circle of radius a about O of the car; car at the origin, yawing.
    let cone = |x: f64| Cone {
        x,
        side: 1.0,
        radius: 0.0,
    };
    // Cone at (1.5, 0): yaw to the left brings it to the right side.
    let run = |x: f64, from: f64, to: f64, n: u32| {
        let mut pass = Pass::new(cone(x), OUTLINE);
        for i in 0..=n {
            let yaw = from + (to - from) * f64::from(i) / f64::from(n);
            pass.see(&at(0.0, 0.0, yaw), 0.0);
        }
        pass.clearance()
    };
    // Beside the car all the way: the least is at the smallest yaw, yb = -1.5 sin(yaw).
    let least = run(1.5, 1.0, 1.8, 13);
    let want = 1.5 * 1.0_f64.sin() - 0.9;
    assert!((least - want).abs() < 1e-12);
    // Passing the front corner at a distance: coarse steps see it between the points.
    let corner = 2.0_f64.hypot(0.9);
    let least = run(3.0, 0.05, 0.9, 9);
    assert!((least - (3.0 - corner)).abs() < 5e-3, "{least}");
}

/// The sensitivities predict what a small change of the design does to the closed orbit: halving the
/// change quarters the error of the prediction.
#[test]
fn law_sensitivities_are_first_order() {
    let model = bramble("bramble-solid");
    let slalom = Slalom::default();
    let plant = Plant::new(&model, &slalom);
    let lin = start::linear(&plant, &slalom, 14.0).unwrap();
    let from = start::linear_start(&plant, &slalom, &lin, 2).unwrap();
    let period = Period::new(plant, &slalom, 2, 0.06);
    let (lap, s) = approach(&period, &from, 1e-8).unwrap();
    assert!(lap.open < 1e-7);
    let errors: Vec<f64> = [0.4, 0.2]
        .iter()
        .map(|size| {
            let d =
                nalgebra::DVector::from_fn(6, |i, _| size * [1.0, -0.5, 0.3, 0.2, -0.4, 0.5][i]);
            let there = period
                .close(period.predict(&lap, &s, &d), &s, 1e-9, 20)
                .unwrap();
            let want = period.constraints(&there);
            let change = &s.constraints * &d;
            let here = period.constraints(&lap);
            // What binds: each cone while it is before the car.
            [0, 2]
                .into_iter()
                .map(|i: usize| (here[i] + change[i] - want[i]).abs())
                .fold(0.0, f64::max)
        })
        .collect();
    let ratio = errors[0] / errors[1];
    assert!((3.0..5.5).contains(&ratio), "{errors:?}");
    // Not trivial: the design does move the clearances by centimeters.
    assert!(s.constraints.row(0).norm() > 0.1);
}

/// Periods run side by side, more than there are lanes, give the bits of each run alone; one that spins among
/// them disturbs none.
#[test]
fn law_periods_side_by_side() {
    let model = bramble("bramble-independent");
    let slalom = Slalom::default();
    let plant = Plant::new(&model, &slalom);
    let lin = start::linear(&plant, &slalom, 14.0).unwrap();
    let from = start::linear_start(&plant, &slalom, &lin, 2).unwrap();
    let period = Period::new(plant, &slalom, 2, 0.09);
    let starts: Vec<_> = (0..11)
        .map(|i| {
            let mut one = from.clone();
            one.design.speed += 0.1 * f64::from(i);
            one.design.amplitudes[0][0] *= if i == 3 { 9.0 } else { 1.0 };
            one
        })
        .collect();
    let together = period.laps(&starts);
    assert!(together[3].is_none(), "spins");
    for (start, seen) in starts.iter().zip(&together) {
        let alone = period.lap(start);
        assert_eq!(alone.is_some(), seen.is_some());
        if let (Some(a), Some(b)) = (alone, seen) {
            assert_eq!(a.end.map(f64::to_bits), b.end.map(f64::to_bits));
            assert_eq!(a.clearance.map(f64::to_bits), b.clearance.map(f64::to_bits));
        }
    }
}

/// Both cars find a rhythm with the reserve kept, drive the real course clean, and cost what they
/// should.
#[test]
fn both_cars_find_a_rhythm_and_drive_the_course_clean() {
    for name in ["bramble-solid", "bramble-independent"] {
        let model = bramble(name);
        let slalom = Slalom::default();
        let top = search(&slalom, &model);
        assert_eq!(top.ending.outcome, Outcome::Completed, "{name}");
        assert!((16.0..20.0).contains(&top.speed), "{name} {}", top.speed);
        let rhythm = top.rhythm.as_ref().unwrap();
        for margin in rhythm.margins {
            assert!((margin - 0.03).abs() < 1e-3, "{name} {margin}");
        }
        assert_eq!(top.limited_by, Some(Limit::Cone));
        // A meter of clearance is worth less than the search's penalty.
        let worth = rhythm.multipliers[0] + rhythm.multipliers[1];
        assert!((3.0..12.0).contains(&worth), "{worth}");
        let run = top.run.as_ref().unwrap();
        assert!(run.clean(), "{name} {:?}", run.ending);
        assert_eq!(run.margins.len(), 8);
        assert!(run.margins.iter().all(|m| *m > 0.0), "{:?}", run.margins);
        // Estimate for a sine path: V = (S/pi) sqrt(a/A) with the largest and with sqrt(2) times the
        // root-mean-square lateral acceleration bound what a flat-topped one reaches.
        let sine = 18.0 / std::f64::consts::PI
            * (rhythm.lateral_acceleration / rhythm.path_amplitude).sqrt();
        let square = 18.0 * (rhythm.lateral_acceleration / (8.0 * rhythm.path_amplitude)).sqrt();
        assert!(
            sine < top.speed && top.speed < square,
            "{sine} {} {square}",
            top.speed
        );
        // Work, not seconds: about 550 periods of 36 m, eight at a time.
        assert!(top.periods < 700, "{}", top.periods);
    }
}

/// The same input gives the same bits.
#[test]
fn law_deterministic() {
    let model = bramble("bramble-independent");
    let slalom = Slalom::default();
    let (a, b) = (
        slalom.measure(&model, Interrupt::never()).unwrap(),
        slalom.measure(&model, Interrupt::never()).unwrap(),
    );
    let bits = |m: &axletree_simulation::Measures| -> Vec<u64> {
        m.values.iter().map(|(_, v)| v.to_bits()).collect()
    };
    assert_eq!(bits(&a), bits(&b));
}

/// The orbit, run again by DOPRI5 at 1e-9 over a period in X, keeps its clearances within 1 mm.
#[test]
fn law_orbit_again_by_dopri5() {
    for name in ["bramble-solid", "bramble-independent"] {
        let model = bramble(name);
        let slalom = Slalom::default();
        let top = search(&slalom, &model);
        let (driver, rhythm) = (top.driver.unwrap(), top.rhythm.unwrap());
        let plant = Plant::new(&model, &slalom);
        let mut start = [0.0; LENGTH];
        start[..STATES].copy_from_slice(&rhythm.start);
        start[HANDS] = rhythm.hands;
        start[CRUISE] = rhythm.cruise;
        let mut passes = [(0.0, 1.0), (18.0, -1.0)].map(|(x, side)| {
            Pass::new(
                Cone {
                    x,
                    side,
                    radius: slalom.cone_radius,
                },
                Outline::of(&model.geometry),
            )
        });
        let stepper = Dopri5 {
            relative: 1e-9,
            absolute: 1e-10,
            longest: 0.05,
            ..Dopri5::default()
        };
        let end = stepper
            .integrate(
                &mut |x, state: &State| plant.rate(state, driver.speed, driver.steering.wanted(x)),
                (-9.0, 27.0),
                &start,
                &mut |step| {
                    for pass in &mut passes {
                        pass.see(&step.to, 0.0);
                    }
                    ControlFlow::Continue(())
                },
            )
            .unwrap();
        for (pass, margin) in passes.iter().zip(rhythm.margins) {
            let again = pass.clearance();
            assert!((again - margin).abs() < 1e-3, "{name}: {again} {margin}");
        }
        // And it closes: the same place, the same heading.
        for i in SLOW {
            let open = (end.state[i] - start[i]).abs();
            assert!(open < 5e-3, "{name} state {i} {open}");
        }
    }
}

/// At one speed: slower than the top the least clearance is larger than the reserve, and it falls
/// with the speed.
#[test]
fn clearance_falls_with_speed() {
    let model = bramble("bramble-independent");
    let slalom = Slalom::default();
    let least = |speed: f64| {
        let run = slalom.at_speed(&model, speed, Interrupt::never()).unwrap();
        assert_eq!(run.speed, speed);
        assert!(run.ending.outcome.is_completed());
        let m = run.rhythm.unwrap().margins;
        // The best of the least is where both are alike.
        assert!((m[0] - m[1]).abs() < 3e-3, "{m:?}");
        m[0].min(m[1])
    };
    let (slow, fast) = (least(14.0), least(17.0));
    assert!(slow > fast + 0.1 && fast > 0.03, "{slow} {fast}");
}

/// Wrong settings are told together, with name, value, unit and range.
#[test]
fn wrong_settings_are_told_at_once() {
    let slalom = Slalom {
        spacing: 0.0,
        friction: f64::NAN,
        cones: 1,
        ..Slalom::default()
    };
    let error = slalom.check().unwrap_err();
    let ManeuverError::Several(faults) = &error else {
        panic!("{error}");
    };
    assert_eq!(faults.len(), 3);
    let text = error.to_string();
    for word in [
        "slalom.spacing = 0 m",
        "3 to 100",
        "slalom.friction = NaN",
        "slalom.cones = 1",
    ] {
        assert!(text.contains(word), "{text}");
    }
    let one = Slalom {
        step: 1.0,
        ..Slalom::default()
    };
    assert!(matches!(
        one.check(),
        Err(ManeuverError::Setting {
            setting: "step",
            ..
        })
    ));
    let model = bramble("bramble-solid");
    assert!(one.at_speed(&model, -1.0, Interrupt::never()).is_err());
}

/// Beyond the top speed the best rhythm is still found and its cut told.
#[test]
fn a_speed_that_is_too_high_cuts_the_cones() {
    let model = bramble("bramble-solid");
    let fast = Slalom::default()
        .at_speed(&model, 19.0, Interrupt::never())
        .unwrap();
    assert_eq!(fast.ending.outcome.name(), "cone_hit");
    let margins = fast.rhythm.unwrap().margins;
    assert!(
        margins.iter().all(|m| (-0.3..0.0).contains(m)),
        "{margins:?}"
    );
    let run = fast.run.unwrap();
    assert!(matches!(run.ending.outcome, Outcome::ConeHit { .. }));
}

/// What cannot be driven ends in a named outcome: never a panic, a hang or a number that is none.
#[test]
fn hopeless_cars_and_courses_end_in_named_outcomes() {
    let model = bramble("bramble-solid");
    let mut weak = model.clone();
    weak.numbers.chassis.driveline.peak_power = 50.0;
    let top = search(&Slalom::default(), &weak);
    assert_eq!(top.ending.outcome.name(), "not_enough_power");
    assert!(top.speed.is_nan());

    // A little stronger: power limits, and is named.
    weak.numbers.chassis.driveline.peak_power = 4000.0;
    let top = search(&Slalom::default(), &weak);
    assert!(top.ending.outcome.is_completed(), "{:?}", top.ending);
    assert_eq!(top.limited_by, Some(Limit::Power), "{:?}", top.speed);
    assert!((4.0..15.0).contains(&top.speed), "{}", top.speed);

    for slalom in [
        Slalom {
            steering_lock: 0.3,
            ..Slalom::default()
        },
        Slalom {
            spacing: 3.0,
            ..Slalom::default()
        },
    ] {
        let top = search(&slalom, &model);
        assert!(!top.ending.outcome.is_completed(), "{:?}", top.ending);
        assert!(top.speed.is_nan());
        assert!(
            ["cone_hit", "not_converged", "no_steady_state"].contains(&top.ending.outcome.name())
        );
    }

    // Ice: slow, but a rhythm.
    let ice = search(
        &Slalom {
            friction: 0.1,
            ..Slalom::default()
        },
        &model,
    );
    assert!(
        !ice.ending.outcome.is_completed() || (3.0..9.0).contains(&ice.speed),
        "{:?} {}",
        ice.ending,
        ice.speed
    );
}

/// Breaking off.
#[test]
fn can_be_interrupted() {
    let model = bramble("bramble-solid");
    let top = Slalom::default()
        .top_speed(&model, Interrupt::when(&|| true))
        .unwrap();
    assert_eq!(top.ending.outcome, Outcome::Interrupted);
}

/// Seven points of a sweep of the rear bar lie on a smooth curve within 0.02 m/s: against a polynomial
/// of degree four, and each inner one against the cubic through its four neighbors.
#[test]
fn law_bar_sweep_without_scatter() {
    let base = bramble("bramble-independent");
    let slalom = Slalom::default();
    let speeds: Vec<f64> = (0..7)
        .map(|i| {
            let mut model = base.clone();
            match &mut model.numbers.rear {
                Rear::Solid(axle) => axle.bar_rate = 5000.0 * f64::from(i),
                Rear::Independent(corners) => corners.bar_rate = 5000.0 * f64::from(i),
            }
            let m = slalom.measure(&model, Interrupt::never()).unwrap();
            m.get("top_speed").unwrap()
        })
        .collect();
    for v in speeds.windows(5) {
        let smooth = (-v[0] + 4.0 * v[1] + 4.0 * v[3] - v[4]) / 6.0;
        assert!((v[2] - smooth).abs() < 0.02, "{speeds:?}");
    }
    // Not trivial: the bar does matter.
    let span = speeds.iter().fold(f64::NEG_INFINITY, |a, b| a.max(*b))
        - speeds.iter().fold(f64::INFINITY, |a, b| a.min(*b));
    assert!(span > 0.1, "{speeds:?}");
}

/// A quarter of the step moves the top speed by less than a tenth of a per mille, though the lag of toe, tilt
/// and twist is a tenth of the step.
#[test]
fn val_the_step_is_not_felt() {
    for name in ["bramble-solid", "bramble-independent"] {
        let model = bramble(name);
        let speed = |step: f64| {
            let slalom = Slalom {
                step,
                ..Slalom::default()
            };
            let measures = slalom.measure(&model, Interrupt::never()).unwrap();
            measures.get("top_speed").unwrap()
        };
        let usual = Slalom::default().step;
        assert!(usual > 10.0 * model.numbers.chassis.lag);
        let (usual, fine) = (speed(usual), speed(0.25 * usual));
        assert!((usual - fine).abs() < 1e-4 * fine, "{usual} {fine}");
    }
}
