//! Braking and lifting off in a turn.

use axletree_maneuver::{BrakingInATurn, LiftOffInATurn, Maneuver};
use axletree_numerics::Interrupt;
use axletree_simulation::{FIXED_STEP, Measures};
use axletree_test_support::cars::{BOTH, model};
use axletree_test_support::close;
use axletree_vehicle::Model;

fn measure(maneuver: &dyn Maneuver, model: &Model) -> Measures {
    maneuver.measure(model, Interrupt::never()).unwrap()
}

fn get(measures: &Measures, name: &str) -> f64 {
    measures.get(name).unwrap()
}

/// A brake that does nothing, with the clutch open, is coasting with drag alone: the car stays on its
/// circle, and turns only as the falling speed and the missing drive force let it.
#[test]
fn law_hardly_disturbed() {
    for name in BOTH {
        let nothing = BrakingInATurn {
            deceleration: 0.0,
            declutch: true,
            lateral_acceleration: 2.0,
            ..BrakingInATurn::default()
        };
        let m = measure(&nothing, &model(name));
        assert!(m.ending.outcome.is_completed());
        close("yaw rate", get(&m, "yaw_rate_ratio"), 1.0, 0.03);
        close(
            "lateral acceleration",
            get(&m, "lateral_acceleration_ratio"),
            1.0,
            0.03,
        );
        close("deviation", get(&m, "inward_deviation"), 0.0, 0.05);
        assert!(get(&m, "mean_deceleration") > 0.0 && get(&m, "mean_deceleration") < 0.6);
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
        close(metric.name, *right, *left, 1e-6 * left.abs());
    }
}

/// Lifting off moves load to the front and takes the drive force from the rear: the car turns in. The
/// more so the nearer it is to its limit, and in a lower gear, where the engine holds back harder.
#[test]
fn val_lift_off_tucks_in() {
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

/// The deceleration that the brakes are set for comes out within the drag of engine, tires and air, as
/// long as no wheel locks; brakes at the rear alone throw the car around.
#[test]
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
        assert!(got > 3.9 && got < 4.9, "{got}");
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
fn val_steps() {
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
            close(metric.name, *c, *f, (1e-3 * f.abs()).max(metric.floor));
        }
    }
}
