//! Cars driven along paths.

#![expect(
    clippy::disallowed_methods,
    reason = "paths of a test: their bits need not be those of every platform"
)]

use axletree_maneuver::{FollowPath, Maneuver, Preview};
use axletree_numerics::Interrupt;
use axletree_simulation::Path;
use axletree_test_support::cars::{BOTH, model};
use axletree_vehicle::Model;

/// One lane to the left within 30 m, smooth.
fn lane_change(length: f64) -> Path {
    Path::graph(0.0, 120.0, 120, |x| {
        let s = ((x - 40.0) / length).clamp(0.0, 1.0);
        3.5 * s * s * s * (10.0 - 15.0 * s + 6.0 * s * s)
    })
    .unwrap()
}

fn deviation(maneuver: &FollowPath, model: &Model) -> f64 {
    let measures = maneuver.measure(model, Interrupt::never()).unwrap();
    assert_eq!(
        measures.ending.outcome.name(),
        "completed",
        "{}",
        measures.ending
    );
    measures.get("path_deviation_largest").unwrap()
}

/// A gentle lane change is followed closely with either rule and by either car; the control, a
/// driver with almost no sight, is far worse or leaves the path.
#[test]
fn law_sight_helps() {
    for name in BOTH {
        let model = model(name);
        let mut driver = FollowPath::new(lane_change(40.0), 18.0);
        let far = deviation(&driver, &model);
        // The path moves aside with 1.875 * 3.5 m/(40 m / 18 m/s) = 2.95 m/s at most. The gains know
        // the car but not the lag of the hands, 0.1 s, nor the lags of tires and body, some 0.02 s.
        assert!(far < 0.35, "{name}: {far}");
        driver.preview = Preview::MacAdam { sight: 1.0 };
        let macadam = deviation(&driver, &model);
        // One steering held over the second of preview cannot follow a lateral acceleration that
        // changes within it: in the steady state of its least squares the path is missed by up to
        // 0.8 m, and the change of lane is too short to reach that.
        assert!(macadam < 0.6, "{name}: {macadam}");
        driver.preview = Preview::LinearQuadratic {
            deviation: 0.25,
            steer: 180f64.to_radians(),
            sight: 0.2,
        };
        let blind = driver.measure(&model, Interrupt::never()).unwrap();
        let blind = blind.get("path_deviation_largest").unwrap();
        assert!(blind > 3.0 * far, "{name}: {blind} against {far}");
    }
}

/// More sight than the weights reach buys nothing (Sharp and Valtetsiotis 2001, from memory).
#[test]
fn law_sight_beyond_the_weights_buys_nothing() {
    let model = model("bramble-independent");
    let at = |sight: f64| {
        let mut driver = FollowPath::new(lane_change(40.0), 18.0);
        driver.preview = Preview::LinearQuadratic {
            deviation: 0.25,
            steer: 180f64.to_radians(),
            sight,
        };
        deviation(&driver, &model)
    };
    let (short, enough, more) = (at(0.6), at(3.0), at(6.0));
    assert!((more - enough).abs() < 0.005, "{enough} and {more}");
    assert!(short > 2.0 * enough, "{short} and {enough}");
}

/// The driver's gains know the car: moving or turning road and car together changes nothing.
#[test]
fn law_gains_do_not_depend_on_where_the_road_lies() {
    let driver = FollowPath::new(lane_change(40.0), 18.0);
    let gains = driver.gains(&model("bramble-solid")).unwrap();
    let sum: f64 = gains.path.iter().sum();
    let turned: f64 = gains
        .path
        .iter()
        .zip(&gains.ahead)
        .map(|(w, t)| w * t)
        .sum();
    assert!(
        (sum / gains.state[0] - 1.0).abs() < 5e-3,
        "{sum} {:?}",
        gains.state
    );
    assert!(
        (18.0 * turned / gains.state[2] - 1.0).abs() < 5e-3,
        "{turned} {:?}",
        gains.state
    );
}

/// The same path turned on the ground is driven the same way.
#[test]
fn law_turned_path() {
    let model = model("bramble-solid");
    let straight = lane_change(30.0);
    let points: Vec<[f64; 2]> = (0..=120)
        .map(|i| {
            let p = straight
                .at(straight.length() * f64::from(i) / 120.0)
                .position;
            [p[0], p[1]]
        })
        .collect();
    let turned: Vec<[f64; 2]> = points
        .iter()
        .map(|[x, y]| {
            let (s, c) = 2.0f64.sin_cos();
            [50.0 + c * x - s * y, -20.0 + s * x + c * y]
        })
        .collect();
    let drive = |points: &[[f64; 2]]| {
        deviation(
            &FollowPath::new(Path::through(points).unwrap(), 16.0),
            &model,
        )
    };
    let (a, b) = (drive(&points), drive(&turned));
    assert!((a - b).abs() < 1e-6, "{a} {b}");
}

/// What the car cannot do ends with a name, and what was driven until then is kept.
#[test]
fn too_fast_is_named() {
    let model = model("bramble-solid");
    let driver = FollowPath {
        widest: 2.0,
        ..FollowPath::new(lane_change(8.0), 33.0)
    };
    let run = driver.run(&model, Interrupt::never()).unwrap();
    let name = run.measures.ending.outcome.name();
    assert!(
        ["left_path", "spun", "two_wheel_lift"].contains(&name),
        "{name}"
    );
    assert!(run.trace.time.len() > 100);
    assert!(run.trace.get("path_deviation").unwrap().len() == run.trace.time.len());
    assert!(run.measures.get("path_time").unwrap().is_nan());
    let stopped = driver.run(&model, Interrupt::when(&|| true)).unwrap();
    assert_eq!(stopped.measures.ending.outcome.name(), "interrupted");
}
