//! The slalom: search, course, faults.

use axletree_limit::{Slalom, SlalomLimit, TopSpeed};
use axletree_maneuver::Maneuver;
use axletree_numerics::Interrupt;
use axletree_simulation::{ManeuverError, Outcome};
use axletree_vehicle::model::Rear;
use axletree_vehicle::{Model, bundled};

fn bramble(name: &str) -> Model {
    bundled(name).unwrap().unwrap().assemble().unwrap()
}

fn search(slalom: &Slalom, model: &Model) -> TopSpeed {
    slalom.top_speed(model, Interrupt::never()).unwrap()
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
        let orbit = top.orbit.as_ref().unwrap();
        for margin in orbit.margins {
            assert!((margin - 0.03).abs() < 1e-3, "{name} {margin}");
        }
        assert_eq!(top.limited_by, Some(SlalomLimit::Cone));
        // A meter of clearance is worth less than the search's penalty.
        let worth = orbit.multipliers[0] + orbit.multipliers[1];
        assert!((3.0..12.0).contains(&worth), "{worth}");
        let run = top.run.as_ref().unwrap();
        assert!(run.clean(), "{name} {:?}", run.ending);
        assert_eq!(run.margins.len(), 8);
        assert!(run.margins.iter().all(|m| *m > 0.0), "{:?}", run.margins);
        // Estimate for a sine path: V = (S/pi) sqrt(a/A) with the largest and with sqrt(2) times
        // the root-mean-square lateral acceleration bound what a flat-topped one reaches.
        let sine = 18.0 / std::f64::consts::PI
            * (orbit.lateral_acceleration / orbit.path_amplitude).sqrt();
        let square = 18.0 * (orbit.lateral_acceleration / (8.0 * orbit.path_amplitude)).sqrt();
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
        let m = run.orbit.unwrap().margins;
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
    let margins = fast.orbit.unwrap().margins;
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
    assert_eq!(top.limited_by, Some(SlalomLimit::Power), "{:?}", top.speed);
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

    // Ice: slow, but a orbit.
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

/// Seven points of a sweep of the rear bar lie on a smooth curve within 0.02 m/s: against a
/// polynomial of degree four, and each inner one against the cubic through its four neighbors.
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

/// A quarter of the step moves the top speed by less than a tenth of a per mille, though the lag of
/// toe, tilt and twist is a tenth of the step.
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
