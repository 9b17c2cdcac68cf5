//! Braking and lifting off in a turn.

use axletree_maneuver::{BrakingInATurn, LiftOffInATurn, Maneuver};
use axletree_numerics::Interrupt;
use axletree_simulation::{FIXED_STEP, Measures};
use axletree_test_support::cars::{BOTH, model};
use axletree_test_support::close;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::SPIN;
use axletree_vehicle::trim::{self, Condition};

fn measure(maneuver: &dyn Maneuver, model: &Model) -> Measures {
    maneuver.measure(model, Interrupt::never()).unwrap()
}

fn get(measures: &Measures, name: &str) -> f64 {
    measures.get(name).unwrap()
}

/// Deceleration `[m/s^2]` of a car with the clutch open on a circle, braked with a torque that
/// alone would give the car `brakes` at the rolling radius: the force that holds its speed there
/// and the brakes' force over the mass and the turning parts' inertia. The brakes' force acts at
/// the loaded radius, which is some percent smaller than the rolling one.
fn coasting(car: &Model, lateral_acceleration: f64, radius: f64, brakes: f64) -> f64 {
    let speed = (lateral_acceleration * radius).sqrt();
    let trim = trim::solve(car, Condition::cornering(speed, lateral_acceleration)).unwrap();
    let spin: [f64; 4] = std::array::from_fn(|i| trim.state[SPIN + i]);
    let resistance = trim.inputs.drive_torque * 0.5 * (spin[2] + spin[3]) / speed;
    let line = &car.numbers.chassis.driveline;
    let turning = (line.shaft_inertia + line.gear_inertia) * line.final_drive * line.final_drive;
    let wheels: f64 = car.wheels().iter().map(|w| w.spin_inertia).sum();
    let rolling = 2.0 * speed / (spin[0] + spin[1]);
    let inertia = (wheels + turning) / (rolling * rolling);
    let tire = &car.wheels()[0].tire;
    let deflection = car.mass() * car.numbers.chassis.gravity / 4.0 / tire.vertical_stiffness;
    let leverage = rolling / (tire.unloaded_radius - deflection);
    (car.mass() * brakes * leverage + resistance) / (car.mass() + inertia)
}

/// A brake that does nothing, with the clutch open, is coasting with drag alone: the car stays on
/// its circle, and turns only as the falling speed and the missing drive force let it.
#[test]
fn law_hardly_disturbed() {
    for name in BOTH {
        let nothing = BrakingInATurn {
            deceleration: 0.0,
            declutch: true,
            lateral_acceleration: 2.0,
            ..BrakingInATurn::default()
        };
        let car = model(name);
        let m = measure(&nothing, &car);
        assert!(m.ending.outcome.is_completed());
        close("yaw rate", get(&m, "yaw_rate_ratio"), 1.0, 0.03);
        close(
            "lateral acceleration",
            get(&m, "lateral_acceleration_ratio"),
            1.0,
            0.03,
        );
        close("deviation", get(&m, "inward_deviation"), 0.0, 0.05);
        // What holds the speed on the circle slows the coasting car: the resistances over the mass
        // with that of the turning parts. The torque runs out of the shafts within a few hundredths
        // of a second, and the resistances fall with the square of the speed, by some percent.
        let want = coasting(&car, nothing.lateral_acceleration, nothing.radius, 0.0);
        let got = get(&m, "mean_deceleration");
        println!("{name}: coasting {got} of {want}");
        assert!(
            got > 0.85 * want && got < 1.02 * want,
            "{name}: {got} of {want}"
        );
    }
}

/// Left and right are alike for a car that is the same on both sides.
#[test]
fn law_mirror() {
    let car = model("bramble-independent");
    let brake = |side: f64| {
        let braking = BrakingInATurn {
            lateral_acceleration: side * 6.0,
            ..BrakingInATurn::default()
        };
        measure(&braking, &car)
    };
    for ((metric, left), (_, right)) in brake(1.0).values.iter().zip(&brake(-1.0).values) {
        close(metric.name(), *right, *left, 1e-6 * left.abs());
    }
}

/// Lifting off moves load to the front and takes the drive force from the rear: the car turns in.
/// The more so the nearer it is to its limit, and in a lower gear, where the engine holds back
/// harder.
#[test]
fn law_lift_off_tucks_in() {
    for name in BOTH {
        let car = model(name);
        let lift = |lateral_acceleration: f64, gear: Option<usize>| {
            let maneuver = LiftOffInATurn {
                lateral_acceleration,
                gear,
                ..LiftOffInATurn::default()
            };
            measure(&maneuver, &car)
        };
        let (gentle, hard) = (lift(4.0, None), lift(8.0, None));
        assert!(get(&gentle, "yaw_rate_ratio") > 1.0);
        assert!(get(&gentle, "inward_deviation") > 0.0);
        assert!(get(&hard, "yaw_rate_ratio") > get(&gentle, "yaw_rate_ratio"));
        let (second, fourth) = (lift(6.0, Some(2)), lift(6.0, Some(4)));
        assert!(get(&second, "mean_deceleration") > get(&fourth, "mean_deceleration"));
        assert!(get(&second, "inward_deviation") > get(&fourth, "inward_deviation"));
    }
}

/// The deceleration that the brakes are set for comes out within the drag of engine, tires and air,
/// as long as no wheel locks; brakes at the rear alone throw the car around.
#[test]
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn law_brakes() {
    for name in BOTH {
        let car = model(name);
        let gentle = BrakingInATurn {
            declutch: true,
            brake_rise: 0.0,
            ..BrakingInATurn::default()
        };
        let m = measure(&gentle, &car);
        let got = get(&m, "mean_deceleration");
        // The brakes' force and the resistances over the mass with that of the turning parts; the
        // tires take some hundredths of a second to build the force up, the resistances fall.
        let want = coasting(
            &car,
            gentle.lateral_acceleration,
            gentle.radius,
            gentle.deceleration,
        );
        println!("{name}: braking {got} of {want}");
        assert!(
            got > 0.9 * want && got < 1.01 * want,
            "{name}: {got} of {want}"
        );
        let mut rear = car.clone();
        rear.numbers.chassis.front_brake_share = 0.0;
        let hard = BrakingInATurn {
            deceleration: 5.0,
            lateral_acceleration: 6.0,
            ..BrakingInATurn::default()
        };
        let (even, spun) = (measure(&hard, &car), measure(&hard, &rear));
        assert!(even.ending.outcome.is_completed(), "{}", even.ending);
        assert_eq!(spun.ending.outcome.name(), "spun", "{}", spun.ending);
        assert!(get(&spun, "rear_lock_time") > 0.1 && get(&spun, "front_lock_time") == 0.0);
        // The outer wheels never lock: at most the inner two for as long as the run lasts.
        let both = get(&even, "front_lock_time") + get(&even, "rear_lock_time");
        assert!(both < 6.0, "{both}");
        for name in ["front_lock_time", "rear_lock_time"] {
            assert_eq!(get(&m, name), 0.0);
        }
    }
}

/// The step of sweeps against half of it.
#[test]
fn law_steps_converge() {
    for name in BOTH {
        let car = model(name);
        let at = |step: f64| {
            measure(
                &LiftOffInATurn {
                    step,
                    ..LiftOffInATurn::default()
                },
                &car,
            )
        };
        let (coarse, fine) = (at(FIXED_STEP), at(0.25 * FIXED_STEP));
        for ((metric, c), (_, f)) in coarse.values.iter().zip(&fine.values) {
            close(metric.name(), *c, *f, (1e-3 * f.abs()).max(metric.floor));
        }
    }
}
