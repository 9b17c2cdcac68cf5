//! The acceleration envelope.

#![expect(
    clippy::disallowed_methods,
    reason = "the platform's functions are an independent route"
)]

use std::f64::consts::{FRAC_PI_2, PI};

use axletree_maneuver::EnvelopeEdge;
use axletree_maneuver::LimitedBy;
use axletree_maneuver::{AccelerationEnvelope, Circle, CircleMethod, Maneuver};
use axletree_numerics::Interrupt;
use axletree_simulation::Measures;
use axletree_test_support::cars::{BOTH, by_coefficients, model, with_plain_friction};
use axletree_test_support::{close, near};
use axletree_vehicle::model::Rear;
use axletree_vehicle::model::layout::POSITION;
use axletree_vehicle::{Model, bundled};

fn edge(car: &Model, direction: f64) -> EnvelopeEdge {
    AccelerationEnvelope::default()
        .edge(car, direction, Interrupt::never())
        .unwrap()
}

fn measure(car: &Model) -> Measures {
    let envelope = AccelerationEnvelope::default();
    let m = envelope.measure(car, Interrupt::never()).unwrap();
    assert!(m.ending.outcome.is_completed(), "{}", m.ending);
    m
}

fn get(measures: &Measures, name: &str) -> f64 {
    measures.get(name).unwrap()
}

/// The traction limit of a rear-drive car (validation cases S8 and S9 after Gillespie 1992, ch. 2,
/// from memory): on a friction mu, with wheelbase L, the center of mass at h and a behind the front
/// axle,
///
/// F = mu (W a/L)/(1 - (h/L) mu + (2 mu r/(N_f t)) (K_f/K_phi)),
///
/// the last term for a solid axle with an open differential, whose driveshaft torque unloads one
/// wheel. The tires stand in series with the roll stiffnesses: the share left on the rear tires is
/// that of the two springs, body to front and body to rear, with the rear tires' own. 1 %, beside
/// the 7 % that the last term makes: the formula has no inertia of wheels and a fixed center of
/// mass; the car pitches and rises.
#[test]
fn val_s8_s9_traction_limit() {
    let mu = 0.62;
    let mut limits = Vec::new();
    for (name, preload) in [
        ("bramble-solid", 0.0),
        ("bramble-solid", 1e9),
        ("bramble-independent", 0.0),
    ] {
        // By coefficients: springs between real points bring the body's weight to the axle on a
        // path that the formula does not know.
        let mut car = with_plain_friction(by_coefficients(name).assemble().unwrap(), mu);
        car.numbers.chassis.driveline.differential.preload = preload;
        let open_axle = matches!(car.numbers.rear, Rear::Solid(_)) && preload == 0.0;
        let found = edge(&car, 0.0);
        assert_eq!(found.limited_by, LimitedBy::WheelSpin);

        let sheet = car.static_sheet().unwrap();
        let stiffness = |key: &str| sheet.get(key).unwrap();
        let rest = car.evaluate(
            &car.rolling_state(0.0),
            &axletree_vehicle::Inputs::coasting(),
        );
        let load = rest.contacts.map(|c| c.load);
        let weight: f64 = load.iter().sum();
        let (g, wheelbase) = (car.numbers.chassis.gravity, car.geometry.wheelbase);
        let rear = load[2] + load[3];
        let h = car.rolling_state(0.0)[POSITION + 2];
        let radius = -rest.contacts[2].arm.z();
        let tire = car.wheels()[2].tire.vertical_stiffness;
        let [front_track, rear_track] = car.geometry.track;
        let (kf, kr) = (
            stiffness("roll_stiffness_front"),
            stiffness("roll_stiffness_rear"),
        );
        let series = |k: f64, t: f64| k * t / (k + t);
        let kf = series(kf, 0.5 * tire * front_track * front_track);
        let kt = 0.5 * tire * rear_track * rear_track;
        // Equal and opposite couples on axle and body: what the tires carry while springs, front
        // and tires yield.
        let share = if open_axle {
            1.0 / (1.0 + kr * (1.0 / kt + 1.0 / kf))
        } else {
            0.0
        };
        let final_drive = car.numbers.chassis.driveline.final_drive;
        let reaction = 2.0 * mu * radius / (final_drive * rear_track) * share;
        let force = mu * rear / (1.0 - mu * h / wheelbase + reaction);
        // The force of the rear tires; the front wheels' own inertia takes some of it from the car.
        let tires = &found.point.evaluation.tire_forces;
        near(name, tires[2].fx + tires[3].fx, force, 1e-2);
        if open_axle {
            let c = found.point.evaluation.contacts.map(|c| c.load);
            let unloads = force * radius / (final_drive * rear_track) * share;
            near("load to the side", 0.5 * (c[2] - c[3]), unloads, 0.01);
        }
        limits.push(found.magnitude);

        // Axle loads on the way: static and what the acceleration moves (S9).
        let c = found.point.evaluation.contacts.map(|c| c.load);
        let spinning: f64 = car.wheels().iter().map(|w| w.spin_inertia / radius).sum();
        let moved = found.magnitude * (weight / g * h + spinning) / wheelbase;
        near("rear load", c[2] + c[3], rear + moved, 5e-3);
    }
    // The torque's reaction costs something; locked or independent it does not.
    assert!(limits[0] < 0.97 * limits[1]);
}

/// At its side the envelope is the limit of the steady-state circle at constant speed: two
/// continuations.
#[test]
fn val_cornering_limit_is_the_circles() {
    for name in BOTH {
        let car = model(name);
        let circle = Circle {
            method: CircleMethod::ConstantSpeed(15.0),
            ..Circle::default()
        };
        let limit = circle.measure(&car, Interrupt::never()).unwrap();
        let want = limit.get("lateral_acceleration_limit").unwrap();
        let found = edge(&car, FRAC_PI_2).point.observation.lateral_acceleration;
        near(name, found, want, 1e-6);
    }
}

/// No car accelerates more than its tires' friction lets it, in any direction; and on a slippery
/// road, where little load moves, braking in line with the static loads comes near that: the
/// friction circle of a point mass.
#[test]
fn law_friction_circle() {
    for name in BOTH {
        let mut car = with_plain_friction(model(name), 0.2);
        let rest = car.evaluate(
            &car.rolling_state(0.0),
            &axletree_vehicle::Inputs::coasting(),
        );
        let load = rest.contacts.map(|c| c.load);
        let g = car.numbers.chassis.gravity;
        // Balance for the loads while braking with mu g: S9's ideal share.
        let h = car.rolling_state(0.0)[POSITION + 2];
        let front =
            (load[0] + load[1]) / load.iter().sum::<f64>() + 0.2 * h / car.geometry.wheelbase;
        // The brakes stop the wheels as well: I a/R on top of the road's torque.
        let radius = -rest.contacts[0].arm.z();
        let line = &car.numbers.chassis.driveline;
        let turning = (line.shaft_inertia + line.gear_inertia) * line.final_drive.powi(2);
        let inertia = car.wheels().map(|w| w.spin_inertia);
        let mass = load.iter().sum::<f64>() / g;
        let at = |share: f64, inertia: f64| share * mass * radius + inertia / radius;
        let torque = [
            at(front, inertia[0] + inertia[1]),
            at(1.0 - front, inertia[2] + inertia[3] + turning),
        ];
        car.numbers.chassis.front_brake_share = torque[0] / (torque[0] + torque[1]);
        let (edges, fault) = AccelerationEnvelope::default()
            .follow(&car, Interrupt::never())
            .unwrap();
        assert_eq!(fault, None);
        for e in &edges {
            assert!(
                e.magnitude <= 0.2 * g * 1.002,
                "{} {}",
                e.direction,
                e.magnitude
            );
            if e.direction >= FRAC_PI_2 {
                assert!(
                    e.magnitude > 0.9 * 0.2 * g,
                    "{} {}",
                    e.direction,
                    e.magnitude
                );
            }
        }
        let straight = edges.last().unwrap();
        near("braking", straight.magnitude, 0.2 * g, 1e-2);
    }
}

/// Left and right are alike for a car that is the same on both sides.
#[test]
fn law_mirror() {
    let car = model("bramble-independent");
    let to = |to_left: bool| {
        AccelerationEnvelope {
            to_left,
            directions: 9,
            ..AccelerationEnvelope::default()
        }
        .measure(&car, Interrupt::never())
        .unwrap()
    };
    for ((metric, l), (_, r)) in to(true).values.iter().zip(&to(false).values) {
        near(metric.name(), *r, *l, 1e-6);
    }
}

/// With an open differential the inner rear wheel spins first out of a corner, the sooner the more
/// rear bar there is (common practice); a differential that locks under drive gets more out of the
/// same car.
#[test]
fn law_inner_wheel_spins_first() {
    for name in BOTH {
        let car = bundled(name).unwrap().unwrap();
        let with =
            |edits: &[(&str, &str)]| car.edit(edits.iter().copied()).unwrap().assemble().unwrap();
        let soft = with(&[("rear.bar.outer_diameter", "10 mm")]);
        let stiff = with(&[("rear.bar.outer_diameter", "30 mm")]);
        let plate = with(&[
            ("rear.bar.outer_diameter", "30 mm"),
            ("rear.differential.type", "plate"),
            ("rear.differential.drive_lock", "0.5"),
        ]);
        // 45 degrees to the left: the inner rear wheel is the left one.
        let direction = 0.25 * PI;
        for car in [&soft, &stiff] {
            let e = edge(car, direction);
            assert_eq!(e.limited_by, LimitedBy::WheelSpin);
            assert_eq!(e.limiting_wheel, 2);
        }
        let [s, t, p] = [&soft, &stiff, &plate].map(|c| get(&measure(c), "exit_acceleration"));
        assert!(t < 0.95 * s && p > 1.1 * t, "{name}: {s} {t} {p}");
    }
}

/// Too much rear bar lifts the inner rear wheel, and earlier than any wheel lifts with little
/// (common practice, no source); here on a surface that holds enough for a wheel to lift before the
/// tires give way.
#[test]
fn law_rear_bar_lifts_the_inner_rear_wheel() {
    for name in BOTH {
        let car = bundled(name).unwrap().unwrap();
        let lift = |bar: &str| {
            let edits = [
                ("rear.bar.outer_diameter", bar),
                ("rear.differential.type", "locked"),
            ];
            let model = car.edit(edits).unwrap().assemble().unwrap();
            let circle = Circle {
                method: CircleMethod::ConstantSpeed(15.0),
                friction: 1.3,
                ..Circle::default()
            };
            let followed = circle.follow(&model, Interrupt::never()).unwrap();
            let lift = followed.curve.unwrap().wheel_lift;
            lift.map(|(wheel, point)| (wheel, point.observation.lateral_acceleration))
        };
        let (soft, stiff) = (lift("10 mm"), lift("34 mm"));
        let (wheel, at) = stiff.unwrap();
        assert_eq!(wheel, 2, "{name}");
        assert!(
            soft.is_none_or(|(_, later)| later > at + 0.3),
            "{soft:?} {at}"
        );
    }
}

/// Limits of each part of the edge: front tires at the side of these cars, locked
/// wheels under braking, the engine where it may.
#[test]
fn what_limits() {
    let car = model("bramble-solid");
    assert_eq!(edge(&car, FRAC_PI_2).limited_by, LimitedBy::FrontTires);
    assert_eq!(edge(&car, PI).limited_by, LimitedBy::WheelLock);
    let powered = AccelerationEnvelope {
        power_limited: true,
        speed: 40.0,
        directions: 3,
        ..AccelerationEnvelope::default()
    };
    let (edges, fault) = powered.follow(&car, Interrupt::never()).unwrap();
    assert_eq!((fault, edges[0].limited_by), (None, LimitedBy::Power));
    // Power over speed less the drag, over the mass; the wheels' own inertia takes the rest.
    let line = &car.numbers.chassis.driveline;
    let most = line.peak_power / 40.0 / car.mass();
    assert!(edges[0].magnitude < most && edges[0].magnitude > 0.6 * most);
    let run = powered.run(&car, Interrupt::never()).unwrap();
    close(
        "trace",
        run.trace.get("acceleration_along").unwrap()[0],
        edges[0].magnitude,
        1e-12,
    );
    assert!(
        AccelerationEnvelope {
            speed: 0.0,
            ..powered
        }
        .check()
        .is_err()
    );
}
