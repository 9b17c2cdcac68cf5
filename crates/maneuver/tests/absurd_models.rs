//! Cars of absurd numbers end with a named outcome, at once.

use axletree_maneuver::{
    BrakingInATurn, FrequencyResponse, Launch, Maneuver, SineWithDwell, StepSteer,
};
use axletree_numerics::Interrupt;
use axletree_simulation::Outcome;
use axletree_test_support::cars::model;
use axletree_vehicle::Model;
use axletree_vehicle::model::Rear;

/// A change of a car's numbers.
type Change = fn(&mut Model);

fn measured(maneuver: &dyn Maneuver, model: &Model) -> (Outcome, usize) {
    let measures = maneuver.measure(model, Interrupt::never()).unwrap();
    let values = measures.values.iter();
    let finite = values.filter(|(_, value)| value.is_finite()).count();
    (measures.ending.outcome, finite)
}

/// Parts that no step of a drive can follow are named, with the step that they need.
#[test]
fn parts_too_stiff_to_be_followed_are_named() {
    let changes: [(Change, &str); 6] = [
        (
            |m| m.numbers.chassis.driveline.windup.damping = 1e12,
            "driveline",
        ),
        (
            |m| m.numbers.chassis.driveline.half_shafts.damping = 1e12,
            "driveline",
        ),
        (
            |m| m.numbers.chassis.driveline.windup.inertia = 0.0,
            "driveline",
        ),
        (
            |m| match &mut m.numbers.rear {
                Rear::Independent(rear) => rear.side[1].wheel.tire.y.stiffness_floor = 0.0,
                Rear::Solid(_) => unreachable!("an independent rear"),
            },
            "tires",
        ),
        (
            |m| m.numbers.front.side[0].wheel.tire.y.carcass_stiffness = 1e12,
            "tires",
        ),
        (
            |m| m.numbers.front.side[1].wheel.tire.x.stiffness_floor = 0.0,
            "tires",
        ),
    ];
    let maneuvers: [&dyn Maneuver; 3] = [
        &StepSteer::default(),
        &BrakingInATurn::default(),
        &SineWithDwell::default(),
    ];
    for (change, part) in changes {
        let mut absurd = model("bramble-independent");
        change(&mut absurd);
        for maneuver in maneuvers {
            let (outcome, _) = measured(maneuver, &absurd);
            let name = maneuver.name();
            assert_eq!(outcome.name(), "too_stiff", "{name}: {outcome}");
            assert!(outcome.to_string().contains(part), "{outcome}");
        }
    }
    // The engine moves in a launch, and only there.
    let mut light = model("bramble-independent");
    light.numbers.chassis.driveline.engine.inertia = 1e-12;
    assert_eq!(measured(&Launch::default(), &light).0.name(), "too_stiff");
    assert!(measured(&StepSteer::default(), &light).0.is_completed());
}

/// A response that is not a number is no completed one.
#[test]
fn a_response_that_is_not_a_number_is_an_outcome() {
    let mut absurd = model("bramble-independent");
    absurd.numbers.chassis.driveline.throttle_lag = 0.0;
    let (outcome, finite) = measured(&FrequencyResponse::default(), &absurd);
    assert_eq!(outcome.to_string(), "not finite: yaw_rate");
    assert_eq!(finite, 0);
    let usual = model("bramble-independent");
    let (outcome, finite) = measured(&FrequencyResponse::default(), &usual);
    assert!(outcome.is_completed() && finite > 8);
}

/// A driver has no torque to give where the bounds of an engine are in the wrong order.
#[test]
fn an_engine_without_torque_is_an_outcome() {
    let changes: [Change; 3] = [
        |m| m.numbers.chassis.driveline.peak_torque = -1.0,
        |m| m.numbers.chassis.driveline.peak_power = -1e12,
        |m| m.numbers.chassis.driveline.clutch.capacity = -1.0,
    ];
    for (number, change) in changes.into_iter().enumerate() {
        let mut absurd = model("bramble-solid");
        change(&mut absurd);
        let held = StepSteer {
            hold_speed: true,
            ..StepSteer::default()
        };
        let swept = FrequencyResponse {
            method: axletree_maneuver::FrequencyMethod::SweptSine {
                lateral_acceleration: 1.0,
                duration: 5.0,
            },
            ..FrequencyResponse::default()
        };
        for maneuver in [&held as &dyn Maneuver, &swept, &Launch::default()] {
            // Whatever the outcome is, there is one.
            let (outcome, _) = measured(maneuver, &absurd);
            let weak = number < 2 && maneuver.name() == "step_steer";
            assert!(!weak || outcome.name() == "not_enough_power", "{outcome}");
        }
    }
}

/// A gear that the gearbox does not have is named; the engine has no speed in it.
#[test]
fn a_gear_that_does_not_exist_is_named() {
    let car = model("bramble-solid");
    let gear = Some(100);
    let dwell = SineWithDwell {
        gear,
        ..SineWithDwell::default()
    };
    let braking = BrakingInATurn {
        gear,
        ..BrakingInATurn::default()
    };
    for maneuver in [&dwell as &dyn Maneuver, &braking] {
        let (outcome, finite) = measured(maneuver, &car);
        assert_eq!(outcome.name(), "wrong_gear");
        let gears = car.gears.len();
        let message = format!("there is no gear 100: the gearbox has {gears}");
        assert_eq!(outcome.to_string(), message);
        assert_eq!(finite, 0);
    }
}

/// The amplitudes of a series are finitely many whatever the reference angle is.
#[test]
fn a_series_ends_for_every_reference_angle() {
    let series = SineWithDwell::default();
    for reference in [0.0, -0.1, f64::NAN] {
        assert_eq!(series.amplitudes(reference), [series.last_angle]);
    }
    assert!(series.amplitudes(0.5).len() > 8);
    // A steering so quick that no angle is a unit.
    let mut quick = model("bramble-solid");
    quick.numbers.chassis.steering.gain = 1e12;
    assert!(!measured(&series, &quick).0.is_completed());
}
