//! The slalom: search, course, faults.

mod common;

use axletree_limit::{Slalom, SlalomLimit, TopSpeed};
use axletree_maneuver::{Maneuver, initial_state};
use axletree_numerics::Interrupt;
use axletree_scalar::Real;
use axletree_simulation::{ManeuverError, Outcome};
use axletree_test_support::cars::{BOTH, model};
use axletree_vehicle::Model;
use axletree_vehicle::model::Rear;
use axletree_vehicle::model::layout::SPIN;

fn search(slalom: &Slalom, model: &Model) -> TopSpeed {
    slalom.top_speed(model, Interrupt::never()).unwrap()
}

/// Speed `[m/s]` bounds of an orbit by its lateral acceleration a and path amplitude A: a sine path
/// with a at its crests, `(S/pi) sqrt(a/A)`, and a path of constant acceleration that changes sides
/// at once, `S sqrt(a/(8 A))`. At the limit the acceleration is flat-topped, between the two.
fn sine_and_square(top: &TopSpeed, slalom: &Slalom) -> [f64; 2] {
    let orbit = top.orbit.as_ref().unwrap();
    let ratio = orbit.lateral_acceleration / orbit.path_amplitude;
    let spacing = slalom.spacing;
    [
        spacing / std::f64::consts::PI * ratio.sqrt(),
        spacing * (ratio / 8.0).sqrt(),
    ]
}

/// Checks speed, acceleration and amplitude of an orbit that the cones limit.
fn assert_at_the_limit(top: &TopSpeed, slalom: &Slalom, model: &Model) {
    assert_eq!(top.ending.outcome, Outcome::Completed);
    assert_eq!(top.limited_by, Some(SlalomLimit::Cone));
    let orbit = top.orbit.as_ref().unwrap();
    let [sine, square] = sine_and_square(top, slalom);
    assert!(
        sine < top.speed && top.speed < square,
        "{sine} {} {square}",
        top.speed
    );
    // The tires are at their limit: mu g, less the load transfer.
    let share = orbit.lateral_acceleration / common::grip(model, slalom.friction);
    assert!((0.85..1.05).contains(&share), "{share}");
    // The path is as narrow as the cones allow a car that turns in to them.
    let straight = 0.5 * model.geometry.width + slalom.cone_radius;
    let wider = orbit.path_amplitude / straight;
    assert!((0.95..1.15).contains(&wider), "{wider}");
}

/// Both cars find a rhythm with the reserve kept, and drive the real course clean.
#[test]
fn val_top_speed_and_clean_course() {
    for name in BOTH {
        let model = model(name);
        let slalom = Slalom::default();
        let top = search(&slalom, &model);
        assert_at_the_limit(&top, &slalom, &model);
        let orbit = top.orbit.as_ref().unwrap();
        for margin in orbit.margins {
            assert!((margin - 0.03).abs() < 1e-3, "{name} {margin}");
        }
        // A meter of clearance widens the path by a meter: V is as sqrt(1/A), so dV/dA = V/(2 A).
        // The penalty weight of 12 m/s per m is larger, or the penalty would not be exact.
        let price = orbit.multipliers[0] + orbit.multipliers[1];
        let by_amplitude = top.speed / (2.0 * orbit.path_amplitude);
        assert!((0.6..1.0).contains(&(price / by_amplitude)), "{price}");
        assert!(price < 12.0);
        let run = top.run.as_ref().unwrap();
        assert!(run.clean(), "{name} {:?}", run.ending);
        assert_eq!(run.margins.len(), 8);
        assert!(run.margins.iter().all(|m| *m > 0.0), "{:?}", run.margins);
        // Work, not seconds: about 550 periods of 36 m, eight at a time.
        assert!(top.periods < 700, "{}", top.periods);
    }
}

/// The same input gives the same bits.
#[test]
fn law_deterministic() {
    let model = model("bramble-independent");
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
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn clearance_falls_with_speed() {
    let model = model("bramble-independent");
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

/// Settings out of range are reported together, with name, value, unit and range.
#[test]
fn settings_out_of_range_are_reported_together() {
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
    let model = model("bramble-solid");
    assert!(one.at_speed(&model, -1.0, Interrupt::never()).is_err());
}

/// Beyond the top speed the best orbit is still found, and its cut reported.
#[test]
fn a_speed_that_is_too_high_cuts_the_cones() {
    let model = model("bramble-solid");
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

/// A driveline too weak for walking pace ends in a named outcome; one of 4 kW limits the speed.
///
/// In the slalom the tires' side forces at their slip angles take power too, so that the top speed
/// is below the one at which the resistances of straight running alone take 4 kW, and the power
/// that straight running takes at the top speed is a large share of it.
#[test]
fn val_weak_drivelines() {
    let mut weak = model("bramble-solid");
    weak.numbers.chassis.driveline.peak_power = 50.0;
    let top = search(&Slalom::default(), &weak);
    assert_eq!(top.ending.outcome.name(), "not_enough_power");
    assert!(top.speed.is_nan());

    weak.numbers.chassis.driveline.peak_power = 4000.0;
    let top = search(&Slalom::default(), &weak);
    assert!(top.ending.outcome.is_completed(), "{:?}", top.ending);
    assert_eq!(top.limited_by, Some(SlalomLimit::Power), "{:?}", top.speed);
    let straight = initial_state::straight(&weak, top.speed, 1.0).unwrap();
    let spin = 0.5 * (straight.state[SPIN + 2] + straight.state[SPIN + 3]);
    let share = straight.inputs.drive_torque * spin / 4000.0;
    assert!((0.3..1.0).contains(&share), "{share}");
}

/// Steering locks too small for the course. At the largest curvature
/// `kappa = tan(g lock)/wheelbase` a sine path has the amplitude `kappa/(pi/S)^2`, which must
/// exceed half the width and the cone. With a small lock at the usual spacing the cones are cut at
/// every speed, and the lock is named; with cones 3 m apart the car turns on its lock all the way,
/// and no start closes to an orbit.
#[test]
fn val_steering_lock_too_small() {
    let model = model("bramble-solid");
    for (steering_lock, spacing, outcome, limit) in [
        (0.3, 18.0, "cone_hit", Some(SlalomLimit::SteeringLock)),
        (Slalom::default().steering_lock, 3.0, "not_converged", None),
    ] {
        let slalom = Slalom {
            steering_lock,
            spacing,
            ..Slalom::default()
        };
        let wave = std::f64::consts::PI / spacing;
        let angle = model.numbers.chassis.steering.gain * steering_lock;
        let (sin, cos) = Real::sin_cos(angle);
        let amplitude = sin / cos / model.geometry.wheelbase / (wave * wave);
        let needed = 0.5 * model.geometry.width + slalom.cone_radius;
        assert!(amplitude < 0.5 * needed, "{amplitude} {needed}");
        let top = search(&slalom, &model);
        assert_eq!(top.ending.outcome.name(), outcome, "{:?}", top.ending);
        assert_eq!(top.limited_by, limit);
        assert!(top.speed.is_nan());
    }
}

/// On ice, a tenth of the reference friction, the same estimates hold. The speed falls with the
/// square root of the friction, but less: the lags of car and hands weigh less at a lower speed.
#[test]
fn val_ice() {
    for name in BOTH {
        let model = model(name);
        let ice = Slalom {
            friction: 0.1,
            ..Slalom::default()
        };
        let top = search(&ice, &model);
        assert_at_the_limit(&top, &ice, &model);
        let dry = search(&Slalom::default(), &model);
        let ratio = top.speed / dry.speed / 0.1_f64.sqrt();
        assert!((1.0..1.15).contains(&ratio), "{ratio}");
    }
}

/// A search that is cancelled ends in a named outcome.
#[test]
fn can_be_interrupted() {
    let model = model("bramble-solid");
    let top = Slalom::default()
        .top_speed(&model, Interrupt::when(&|| true))
        .unwrap();
    assert_eq!(top.ending.outcome, Outcome::Interrupted);
}

/// Seven points of a sweep of the rear bar lie on a smooth curve within 0.02 m/s: against a
/// polynomial of degree four, and each inner one against the cubic through its four neighbors.
#[test]
fn law_bar_sweep_without_scatter() {
    let base = model("bramble-independent");
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
    for name in BOTH {
        let model = model(name);
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
