//! The double lane change.

mod common;

use axletree_limit::{DoubleLaneChange, LaneChangeCourse};
use axletree_maneuver::Maneuver;
use axletree_numerics::Interrupt;
use axletree_simulation::Measures;
use axletree_test_support::cars::{BOTH, model};
use axletree_test_support::close;
use axletree_vehicle::Model;

fn measure(maneuver: &DoubleLaneChange, model: &Model) -> Measures {
    maneuver.measure(model, Interrupt::never()).unwrap()
}

/// Lanes of ISO 3888-1 and -2 (validation cases Y8, Y9 and S12, from memory; exact).
#[test]
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn val_y8_y9_courses() {
    let widths = |course: LaneChangeCourse, w: f64| course.lanes(w).map(|l| l.width());
    for (w, one, two) in [
        (1.7, [2.12, 2.29, 2.46], [2.12, 2.7, 3.0]),
        (1.8, [2.23, 2.41, 2.59], [2.23, 2.8, 3.0]),
    ] {
        for (got, want) in widths(LaneChangeCourse::SevereLaneChange, w)
            .iter()
            .zip(one)
        {
            close("width", *got, want, 1e-12);
        }
        for (got, want) in widths(LaneChangeCourse::ObstacleAvoidance, w)
            .iter()
            .zip(two)
        {
            close("width", *got, want, 1e-12);
        }
    }
    close(
        "S12",
        widths(LaneChangeCourse::ObstacleAvoidance, 1.85)[0],
        2.285,
        1e-12,
    );
    close(
        "S12",
        widths(LaneChangeCourse::ObstacleAvoidance, 1.85)[1],
        2.85,
        1e-12,
    );
    // The last lane of a wide car is wider than the least.
    close(
        "wide",
        widths(LaneChangeCourse::ObstacleAvoidance, 2.2)[2],
        3.11,
        1e-12,
    );
    assert_eq!(
        LaneChangeCourse::SevereLaneChange.sections(),
        [15.0, 45.0, 70.0, 95.0, 125.0]
    );
    assert_eq!(
        LaneChangeCourse::ObstacleAvoidance.sections(),
        [12.0, 25.5, 36.5, 49.0, 61.0]
    );
    let [first, middle, _] = LaneChangeCourse::ObstacleAvoidance.lanes(1.7);
    close("gap", middle.right - first.left, 1.0, 1e-12);
    let [first, middle, last] = LaneChangeCourse::SevereLaneChange.lanes(1.7);
    close("offset", middle.right - first.right, 3.5, 1e-12);
    close("back in line", last.right, first.right, 1e-12);
}

/// Speed `[m/s]` of a point that changes lanes with a lateral acceleration `[m/s^2]` to one side,
/// then to the other: `(L/2) sqrt(a/d)`. The car moves over by d from the left edge of the first
/// lane to the right edge of the middle one; L is the gap between them and a share of both lanes.
fn point_speed(lane: &DoubleLaneChange, width: f64, acceleration: f64, share: f64) -> f64 {
    let [first, middle, _] = lane.course.lanes(width);
    let d = middle.right - first.left + width;
    let lanes = (first.to - first.from) + (middle.to - middle.from);
    0.5 * (middle.from - first.to + share * lanes) * (acceleration / d).sqrt()
}

/// The bundled cars get through both courses with every cone cleared and at least one touched:
/// otherwise the speed would not be the highest. They are faster than a point that uses the gap
/// between the lanes alone, and slower than one that uses half of both lanes too, which is what
/// clear lanes leave to a car that must be straight in their middle.
#[test]
fn val_fastest_way_through() {
    for name in BOTH {
        let car = model(name);
        let grip = common::grip(&car, 1.0);
        for course in [
            LaneChangeCourse::ObstacleAvoidance,
            LaneChangeCourse::SevereLaneChange,
        ] {
            let lane = DoubleLaneChange {
                course,
                ..DoubleLaneChange::default()
            };
            let m = measure(&lane, &car);
            let get = |name: &str| m.get(name).unwrap();
            assert!(m.ending.outcome.is_completed(), "{}", m.ending);
            assert!(get("cone_clearance").abs() < 1e-3);
            let acceleration = get("lateral_acceleration_largest");
            // Less than mu g by the load transfer and, where the peak is short, by the lags of
            // hands and tires.
            assert!(
                (0.75..1.05).contains(&(acceleration / grip)),
                "{acceleration} {grip}"
            );
            let [gap, lanes] =
                [0.0, 0.5].map(|share| point_speed(&lane, car.geometry.width, acceleration, share));
            let speed = get("entry_speed");
            assert!(gap < speed && speed < lanes, "{gap} {speed} {lanes}");
        }
    }
}

/// With the throttle closed the tires' side forces and the engine slow the car down on the way. The
/// side force F_y of a tire at the slip angle alpha takes `F_y sin(alpha)`: at the limit, with
/// alpha about 0.1 rad, some 0.1 times the mean lateral acceleration, which is half the largest.
#[test]
fn val_speed_lost_on_the_way() {
    let m = measure(&DoubleLaneChange::default(), &model("bramble-solid"));
    let get = |name: &str| m.get(name).unwrap();
    let by_slip = 0.1 * 0.5 * get("lateral_acceleration_largest") * m.ending.time;
    let lost = get("entry_speed") - get("exit_speed");
    assert!(lost > by_slip && lost < 4.0 * by_slip, "{lost} {by_slip}");
}

/// Started elsewhere the search ends at the same speed, and more coefficients find little more.
#[test]
fn law_start_and_coefficients() {
    let speed = |lane: &DoubleLaneChange, name: &str| {
        let m = measure(lane, &model(name));
        m.get("entry_speed").unwrap()
    };
    let usual = DoubleLaneChange::default();
    let faster = DoubleLaneChange {
        easy_speed: 13.0,
        ..usual.clone()
    };
    let finer = DoubleLaneChange {
        coefficients: 20,
        ..usual.clone()
    };
    for (other, name) in [(faster, "bramble-solid"), (finer, "bramble-independent")] {
        close("speed", speed(&other, name), speed(&usual, name), 0.1);
    }
}

/// A clearance required at every cone costs the speed that the multipliers predict, and half the
/// step moves the speed by less than 0.1 %.
#[test]
fn val_price_and_step() {
    let car = model("bramble-independent");
    let lane = DoubleLaneChange::default();
    let free = measure(&lane, &car);
    let speed = free.get("entry_speed").unwrap();
    let reserve = 0.03;
    let kept = measure(
        &DoubleLaneChange {
            clearance_reserve: reserve,
            ..lane.clone()
        },
        &car,
    );
    close("kept", kept.get("cone_clearance").unwrap(), reserve, 1e-3);
    let price =
        0.5 * (free.get("speed_per_clearance").unwrap() + kept.get("speed_per_clearance").unwrap());
    let lost = speed - kept.get("entry_speed").unwrap();
    close("price", lost / (price * reserve), 1.0, 0.15);
    let fine = DoubleLaneChange {
        step: 0.5 * lane.step,
        ..lane
    };
    let fine = measure(&fine, &car).get("entry_speed").unwrap();
    close("step", fine, speed, 1e-3 * speed);
}

/// Less grip is slower: not below the square root of the friction, with which a point mass would
/// slow down, because the lags of car and hands weigh less at a lower speed.
#[test]
fn law_grip() {
    let car = model("bramble-independent");
    let at = |friction: f64| {
        let lane = DoubleLaneChange {
            friction,
            ..DoubleLaneChange::default()
        };
        measure(&lane, &car).get("entry_speed").unwrap()
    };
    let (dry, wet) = (at(1.0), at(0.6));
    assert!(
        wet < 0.95 * dry && wet > 0.98 * 0.6f64.sqrt() * dry,
        "{dry} {wet}"
    );
}

/// Hands too slow for any start: the search ends without a drive that reaches the end of the
/// course. A lane change of d = 2.7 m over L = 25 m needs the curvature 4 d/L^2 to either side, a
/// wheel angle of about 0.7 rad, and so a hand rate of 4 times that over L/V: 1.1 rad/s at 10 m/s,
/// 0.5 rad/s at the slowest start of 4.9 m/s. At 0.2 rad/s the car turns off the course and is not
/// brought back.
#[test]
fn val_hands_too_slow() {
    let mut slow = DoubleLaneChange::default();
    slow.hands.rate = 0.2;
    let m = measure(&slow, &model("bramble-solid"));
    assert_eq!(m.ending.outcome.name(), "not_converged", "{}", m.ending);
    assert!(m.get("entry_speed").unwrap().is_nan());
}

/// Settings out of range are errors; an interruption is an outcome.
#[test]
fn faults_and_interruption() {
    let few = DoubleLaneChange {
        coefficients: 3,
        ..DoubleLaneChange::default()
    };
    assert!(few.check().is_err());
    let car = model("bramble-solid");
    let stopped = DoubleLaneChange::default().measure(&car, Interrupt::when(&|| true));
    assert_eq!(stopped.unwrap().ending.outcome.name(), "interrupted");
}
