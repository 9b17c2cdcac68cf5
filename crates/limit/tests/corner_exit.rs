//! The corner exit.

use axletree_limit::CornerExit;
use axletree_maneuver::Maneuver;
use axletree_numerics::Interrupt;
use axletree_simulation::Measures;
use axletree_test_support::cars::{BOTH, model};
use axletree_test_support::close;
use axletree_vehicle::{Model, bundled};

fn measure(exit: &CornerExit, model: &Model) -> Measures {
    exit.measure(model, Interrupt::never()).unwrap()
}

fn get(measures: &Measures, name: &str) -> f64 {
    measures.get(name).unwrap()
}

fn edited(name: &str, edits: &[(&str, &str)]) -> Model {
    let car = bundled(name).unwrap().unwrap();
    car.edit(edits.iter().copied()).unwrap().assemble().unwrap()
}

/// With an open differential and too much rear bar the inner rear wheel spins and the car is slower
/// out of the corner; plates that lock under drive let the throttle be opened earlier (common
/// practice, no source; here from the equations).
#[test]
fn val_bar_and_differential() {
    let stiff = [("rear.bar.outer_diameter", "30 mm")];
    let plate = [
        ("rear.differential.type", "plate"),
        ("rear.differential.drive_lock", "0.45"),
    ];
    for name in BOTH {
        let exit = CornerExit::default();
        let [as_is, stiff, plate] =
            [&[][..], &stiff, &plate].map(|e| measure(&exit, &edited(name, e)));
        for m in [&as_is, &stiff, &plate] {
            assert!(m.ending.outcome.is_completed(), "{}", m.ending);
            // The whole track is used, and no more.
            close("track", get(m, "track_used"), exit.half_width, 0.1);
            assert!(get(m, "sideslip_largest") < exit.sideslip_guard + 1e-3);
        }
        assert!(get(&as_is, "inner_wheel_slip") > 2.0 * get(&as_is, "outer_wheel_slip"));
        assert!(get(&stiff, "exit_time") > get(&as_is, "exit_time") + 0.03);
        assert!(get(&stiff, "throttle_station") > get(&as_is, "throttle_station") + 1.0);
        assert!(get(&plate, "exit_time") < get(&as_is, "exit_time") - 0.05);
        assert!(get(&plate, "throttle_station") < get(&as_is, "throttle_station") - 1.0);
        assert!(get(&plate, "wheel_spin_time") < get(&as_is, "wheel_spin_time"));
    }
}

/// To the right as to the left; more coefficients find little more; less grip is slower.
#[test]
fn law_mirror_and_grip() {
    let car = model("bramble-independent");
    let exit = CornerExit::default();
    let left = measure(&exit, &car);
    let right = CornerExit {
        lateral_acceleration: -exit.lateral_acceleration,
        ..exit.clone()
    };
    let right = measure(&right, &car);
    for ((metric, l), (_, r)) in left.values.iter().zip(&right.values) {
        close(metric.name(), *r, *l, (0.02 * l.abs()).max(metric.floor));
    }
    let finer = CornerExit {
        coefficients: 15,
        ..exit.clone()
    };
    close(
        "finer",
        get(&measure(&finer, &car), "exit_time"),
        get(&left, "exit_time"),
        0.03,
    );
    let wet = CornerExit {
        friction: 0.9,
        lateral_acceleration: 0.9 * exit.lateral_acceleration,
        ..exit
    };
    assert!(get(&measure(&wet, &car), "exit_time") > get(&left, "exit_time") + 0.05);
}

#[test]
fn outcomes_and_settings() {
    let car = model("bramble-solid");
    let fast = CornerExit {
        lateral_acceleration: 15.0,
        ..CornerExit::default()
    };
    assert_eq!(
        measure(&fast, &car).ending.outcome.name(),
        "no_steady_state"
    );
    let stalled = CornerExit {
        radius: 10.0,
        lateral_acceleration: 1.0,
        gear: Some(4),
        ..CornerExit::default()
    };
    assert_eq!(measure(&stalled, &car).ending.outcome.name(), "wrong_gear");
    let m = CornerExit::default()
        .measure(&car, Interrupt::when(&|| true))
        .unwrap();
    assert_eq!(m.ending.outcome.name(), "interrupted");
    assert!(CornerExit { turn: 9.0, ..fast }.check().is_err());
}
