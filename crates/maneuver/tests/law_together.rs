//! Cars driven side by side against cars driven alone.

use axletree_maneuver::{Maneuver, StepSteer};
use axletree_numerics::Interrupt;
use axletree_simulation::Measures;
use axletree_vehicle::{Model, car};

fn cars(count: usize) -> Vec<Model> {
    let both = ["bramble-solid", "bramble-independent"].map(|n| car::bundled(n).unwrap().unwrap());
    (0..count)
        .map(|i| {
            let bar = 0.014 + 0.0006 * i as f64;
            let edited = both[usize::from(i % 3 == 1)].edit([("rear.bar.outer_diameter", bar)]);
            let mut model = edited.unwrap().assemble().unwrap();
            // One lacks the power, one stands so high that it tips over, one has a lag of its own.
            if i == 7 {
                model.numbers.chassis.driveline.peak_power = 100.0;
            }
            if i == 6 {
                model.numbers.chassis.sprung.center[2] += 0.9;
            }
            if i == 9 {
                model.numbers.chassis.lag *= 3.0;
            }
            model
        })
        .collect()
}

fn assert_same(a: &Measures, b: &Measures, which: usize) {
    assert_eq!(a.ending, b.ending, "car {which}");
    for ((metric, x), (_, y)) in a.values.iter().zip(&b.values) {
        assert_eq!(x.to_bits(), y.to_bits(), "car {which}: {}", metric.name);
    }
}

/// More cars than lanes, of both topologies, one that fails among them: each gets the bits it gets alone,
/// whatever its neighbors and its place. The control: neighbors differ.
#[test]
fn law_cars_side_by_side_measure_what_each_does_alone() {
    let models = cars(21);
    let all: Vec<&Model> = models.iter().collect();
    let turned: Vec<&Model> = models.iter().rev().collect();
    for (hold_speed, steering_wheel_angle) in [(false, None), (true, None), (false, Some(2.5))] {
        let maneuver = StepSteer {
            hold_speed,
            lateral_acceleration: 5.0,
            steering_wheel_angle,
            ..StepSteer::default()
        };
        let never = Interrupt::never();
        let together = maneuver.measure_all(&all, never);
        let backward = maneuver.measure_all(&turned, never);
        assert_eq!(together.len(), all.len());
        let ending = |i: usize| together[i].as_ref().unwrap().ending;
        assert!(!ending(7).outcome.is_completed() && ending(7).time == 0.0);
        if steering_wheel_angle.is_some() {
            assert!(!ending(6).outcome.is_completed() && ending(6).time > 0.0);
        } else {
            assert!(ending(8).outcome.is_completed());
        }
        for (i, model) in all.iter().enumerate() {
            let alone = maneuver.measure(model, never).unwrap();
            assert_same(together[i].as_ref().unwrap(), &alone, i);
            let mirrored = backward[all.len() - 1 - i].as_ref().unwrap();
            assert_same(mirrored, &alone, i);
        }
        if steering_wheel_angle.is_none() {
            let gain = |i: usize| together[i].as_ref().unwrap().get("yaw_rate_gain");
            assert!(gain(0) != gain(3) && gain(0).unwrap().is_finite());
        }
    }
}
