//! The steady-state circle: against the linear car, against equilibria found otherwise, and its
//! ends.

use axletree_maneuver::{Circle, CircleMethod, Maneuver, StepSteer};
use axletree_maneuver::{CircleResult, LimitedBy, SteadyPoint};
use axletree_numerics::Interrupt;
use axletree_simulation::driver::LateralCar;
use axletree_test_support::cars::model;
use axletree_test_support::near;
use axletree_vehicle::linearize;
use axletree_vehicle::trim::{self, Condition, TrimError};
use axletree_vehicle::{Model, bundled};

fn at_speed(speed: f64) -> Circle {
    Circle {
        method: CircleMethod::ConstantSpeed(speed),
        ..Circle::default()
    }
}

fn follow(circle: &Circle, model: &Model) -> CircleResult {
    circle.follow(model, Interrupt::never()).unwrap()
}

fn last(result: &CircleResult) -> &SteadyPoint {
    result.curve.as_ref().unwrap().points.last().unwrap()
}

/// As the evaluation range shrinks to nothing, the understeer gradient tends to that of the car's
/// own linearization, steer = L/R + K a_y (Rajamani 2012, section 3.3, from memory): two routes
/// through the same equations. Halving the range takes three quarters of the difference away,
/// because the car is the same to both sides.
#[test]
fn val_understeer_gradient_of_the_linear_car() {
    let model = model("bramble-independent");
    let speed = 20.0;
    let straight = trim::solve(&model, Condition::straight(speed)).unwrap();
    let lateral = LateralCar::of(&linearize(&model, &straight)).unwrap();
    let [_, yaw_gain] = lateral.steady().unwrap();
    let steering = model.numbers.chassis.steering.gain;
    let want = steering / (yaw_gain * speed) - model.geometry.wheelbase / (speed * speed);
    let difference = |high: f64| {
        let circle = Circle {
            range: [0.5 * high, high],
            ..at_speed(speed)
        };
        let measures = circle.measure(&model, Interrupt::never()).unwrap();
        measures.get("understeer_gradient").unwrap() - want
    };
    let (wide, narrow) = (difference(0.4), difference(0.2));
    assert!(want > 1e-3, "the car understeers: {want}");
    assert!(narrow.abs() < 1e-3 * want, "{narrow} of {want}");
    assert!(narrow.abs() < 0.35 * wide.abs(), "{narrow} and {wide}");
}

/// The curve's points are equilibria that the solver of single equilibria finds too, from straight
/// running: at constant radius with V^2/R = `a_y/cos(sideslip)`, and at constant speed.
#[test]
fn val_points_are_equilibria_found_otherwise() {
    let model = model("bramble-solid");
    for circle in [Circle::default(), at_speed(25.0)] {
        let result = follow(&circle, &model);
        let points = &result.curve.as_ref().unwrap().points;
        assert!(points.len() > 10);
        for point in [&points[points.len() / 2], &points[points.len() * 3 / 4]] {
            let o = &point.observation;
            if let CircleMethod::ConstantRadius(radius) = circle.method {
                near("radius", o.speed / o.yaw_rate, radius, 1e-8);
            }
            let again = trim::solve(
                &model,
                Condition::cornering(o.speed, o.lateral_acceleration),
            )
            .unwrap();
            near(
                "steering wheel",
                again.inputs.steering_wheel,
                point.trim.inputs.steering_wheel,
                1e-6,
            );
            near(
                "drive torque",
                again.inputs.drive_torque,
                point.trim.inputs.drive_torque,
                1e-6,
            );
        }
    }
}

/// Just below the limit there is an equilibrium, just above there is none: the solver of single
/// equilibria, which knows nothing of the curve, agrees to 0.02 m/s^2.
#[test]
fn val_no_equilibrium_beyond_the_limit() {
    let model = model("bramble-independent");
    let speed = 20.0;
    let limit = last(&follow(&at_speed(speed), &model))
        .observation
        .lateral_acceleration;
    assert!(limit > 6.0 && limit < 12.0);
    assert!(trim::solve(&model, Condition::cornering(speed, limit - 0.02)).is_ok());
    let beyond = trim::solve(&model, Condition::cornering(speed, limit + 0.02));
    assert!(
        matches!(beyond, Err(TrimError::NoEquilibrium { reached, .. }) if reached < limit + 1e-6),
        "{beyond:?}"
    );
}

/// A low car with power and rear tires that keep their force when they slide goes on to drift: its
/// path bends more and more while the lateral acceleration, across the heading, falls. The limit is
/// the highest one, on the radius as at constant speed, where the solver of single equilibria finds
/// none above it.
#[test]
fn val_a_drift_is_beyond_the_limit() {
    let car = bundled("bramble-independent").unwrap().unwrap();
    let car = car
        .edit([
            ("chassis.center_height", "250 mm"),
            ("rear.differential.type", "open"),
            ("front.tire.lateral.friction", "1.22"),
            ("rear.tire.lateral.friction", "0.85"),
            ("rear.tire.lateral.shape", "1.05"),
            ("engine.peak_power", "400 kW"),
            ("engine.peak_wheel_torque", "6000 N*m"),
        ])
        .unwrap();
    let model = car.assemble().unwrap();
    for circle in [Circle::default(), at_speed(20.0)] {
        let result = follow(&circle, &model);
        let measures = circle.measure(&model, Interrupt::never()).unwrap();
        let limit = measures.get("lateral_acceleration_limit").unwrap();
        let points = &result.curve.as_ref().unwrap().points;
        let highest = points
            .iter()
            .map(|p| p.observation.lateral_acceleration)
            .fold(0.0, f64::max);
        near("highest", highest, limit, 1e-9);
        let at_limit = last(&result);
        assert!(at_limit.observation.sideslip.abs() < 0.35, "it drifts");
        let speed = at_limit.observation.speed;
        let solve = |a: f64| trim::solve(&model, Condition::cornering(speed, a));
        assert!(solve(limit - 0.02).is_ok());
        assert!(solve(limit + 0.02).is_err());
    }
}

/// A car driven in time onto the steering-wheel angle of an equilibrium, its speed held, settles on
/// that equilibrium.
#[test]
fn law_step_steer_settles_on_the_circle() {
    let model = model("bramble-solid");
    let step = StepSteer {
        hold_speed: true,
        lateral_acceleration: 5.0,
        settle: 6.0,
        ..StepSteer::default()
    };
    let measures = step.measure(&model, Interrupt::never()).unwrap();
    near(
        "a_y",
        measures.get("lateral_acceleration_steady").unwrap(),
        5.0,
        1e-3,
    );
    let result = follow(&at_speed(step.speed), &model);
    let point = result
        .curve
        .unwrap()
        .points
        .into_iter()
        .find(|p| p.observation.lateral_acceleration > 4.9);
    // With the throttle held instead the car slows down and does not reach it.
    let held = StepSteer {
        hold_speed: false,
        ..step
    };
    let slow = held.measure(&model, Interrupt::never()).unwrap();
    assert!(slow.get("lateral_acceleration_steady").unwrap() < 4.98);
    assert!(point.is_some());
}

/// A car that is the same on both sides corners alike to both sides.
#[test]
fn law_mirror() {
    let model = model("bramble-independent");
    let measure = |to_left: bool| {
        let circle = Circle {
            to_left,
            ..Circle::default()
        };
        circle.measure(&model, Interrupt::never()).unwrap()
    };
    let (left, right) = (measure(true), measure(false));
    for name in [
        "understeer_gradient",
        "roll_angle_gradient",
        "lateral_acceleration_limit",
        "limit_balance",
    ] {
        near(
            name,
            right.get(name).unwrap(),
            left.get(name).unwrap(),
            1e-6,
        );
    }
    for name in ["sideslip_at_limit", "steering_wheel_angle_at_limit"] {
        near(
            name,
            -right.get(name).unwrap(),
            left.get(name).unwrap(),
            1e-6,
        );
    }
}

/// On a surface with far more grip than rubber has, the inner wheels leave the road one by one; the
/// last equilibrium has both of them at zero load, where weight and centrifugal force balance about
/// the outer contacts: a_y/g no more than half the track over the height of the center (static
/// stability factor, NHTSA, 49 CFR 575; Gillespie 1992, ch. 9, from memory), less what roll takes,
/// some 10 %.
#[test]
fn val_two_wheel_lift_on_high_grip() {
    let circle = Circle {
        friction: 2.5,
        ..Circle::default()
    };
    // An open differential ends the curve before: its unloaded wheel spins.
    let mut model = model("bramble-solid");
    model.numbers.chassis.driveline.differential.preload = 0.0;
    let open = follow(&circle, &model);
    assert_eq!(
        open.curve.as_ref().unwrap().limited_by,
        LimitedBy::WheelSpin
    );
    model.numbers.chassis.driveline.differential.preload = 1e9;
    let result = follow(&circle, &model);
    let curve = result.curve.as_ref().unwrap();
    assert_eq!(curve.limited_by, LimitedBy::TwoWheelLift);
    let (wheel, lift) = curve.wheel_lift.as_ref().unwrap();
    assert!(*wheel == 0 || *wheel == 2, "an inner wheel: {wheel}");
    assert!(lift.evaluation.contacts[*wheel].load < 1.0);
    let end = last(&result);
    let loads = end.evaluation.contacts.map(|c| c.load);
    // The curve ends where the side carries one newton.
    assert!(loads[0] + loads[2] < 1.001, "{loads:?}");
    assert!(lift.observation.lateral_acceleration < end.observation.lateral_acceleration);
    let g = model.numbers.chassis.gravity;
    let track = 0.5 * (model.geometry.track[0] + model.geometry.track[1]);
    let rigid = track / (2.0 * model.numbers.chassis.height);
    let found = end.observation.lateral_acceleration / g;
    assert!(found < rigid && found > 0.85 * rigid, "{found} of {rigid}");
    let measures = circle.measure(&model, Interrupt::never()).unwrap();
    assert_eq!(measures.ending.outcome.name(), "two_wheel_lift");
    assert!(measures.get("wheel_lift_lateral_acceleration").unwrap() < found * g);
}

/// A weak engine ends the curve where the tires' drag in the corner takes all it has.
#[test]
fn law_power_limit() {
    let mut weak = model("bramble-independent");
    weak.numbers.chassis.driveline.peak_power = 25e3;
    let result = follow(&at_speed(30.0), &weak);
    assert_eq!(result.curve.as_ref().unwrap().limited_by, LimitedBy::Power);
    let end = last(&result);
    let spin = 0.5 * (end.trim.state[22] + end.trim.state[23]);
    near("power", end.trim.inputs.drive_torque * spin, 25e3, 1e-9);
    let measures = at_speed(30.0).measure(&weak, Interrupt::never()).unwrap();
    assert_eq!(measures.ending.outcome.name(), "not_enough_power");
    assert!(measures.get("lateral_acceleration_limit").unwrap() < 8.0);
}

/// More roll stiffness at the rear moves the limit's balance toward the rear (Gillespie 1992, ch.
/// 6, from memory; the size is the car's own).
#[test]
fn law_rear_bar_moves_the_balance() {
    let car = bundled("bramble-solid").unwrap().unwrap();
    let balance = |diameter: f64| {
        let edited = car.edit([("rear.bar.outer_diameter", diameter)]).unwrap();
        let model = edited.assemble().unwrap();
        let measures = Circle::default()
            .measure(&model, Interrupt::never())
            .unwrap();
        (
            measures.get("limit_balance").unwrap(),
            measures.get("understeer_gradient").unwrap(),
        )
    };
    let (thin, thick) = (balance(0.016), balance(0.026));
    assert!(thick.0 < thin.0 - 0.01, "{thick:?} {thin:?}");
    assert!(thick.1 < thin.1, "{thick:?} {thin:?}");
}

#[test]
fn interruption_and_settings() {
    let model = model("bramble-solid");
    let stopped = Circle::default()
        .measure(&model, Interrupt::when(&|| true))
        .unwrap();
    assert_eq!(stopped.ending.outcome.name(), "interrupted");
    let wrong = Circle {
        range: [4.0, 1.0],
        ..Circle::default()
    };
    assert!(wrong.measure(&model, Interrupt::never()).is_err());
    let icy = Circle {
        friction: 0.02,
        ..Circle::default()
    };
    let none = icy.measure(&model, Interrupt::never()).unwrap();
    assert_eq!(none.ending.outcome.name(), "no_steady_state");
    assert!(none.get("understeer_gradient").unwrap().is_nan());
}
