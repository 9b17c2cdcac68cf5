//! The sine with dwell: its steering, its criteria, whole cars.

use std::ops::ControlFlow::Continue;

use axletree_maneuver::{
    Assessment, CHECK_TIMES, DwellSine, FrequencyResponse, Maneuver, SineWithDwell, reference_angle,
};
use axletree_numerics::Interrupt;
use axletree_simulation::FIXED_STEP;
use axletree_test_support::cars::{BOTH, model};
use axletree_test_support::rk4::rk4_run;
use axletree_test_support::single_track::ABE;
use axletree_test_support::{close, near};
use axletree_vehicle::trim::{self, Condition};

const SINE: DwellSine = DwellSine {
    amplitude: 1.0,
    frequency: 0.7,
    dwell: 0.5,
};

/// Times and angles of the steering (validation case Y10 after 49 CFR 571.126, from memory; 1e-9).
#[test]
fn val_y10_steering() {
    let [second, dwelt, end] = SINE.kinks();
    close("first peak", 0.25 / SINE.frequency, 0.35714285714, 1e-9);
    close("second peak", second, 1.0714285714, 1e-9);
    close("end of dwell", dwelt, 1.5714285714, 1e-9);
    close("end of steer", end, 1.9285714286, 1e-9);
    close("first check", end + CHECK_TIMES[0], 2.9285714286, 1e-9);
    close("second check", end + CHECK_TIMES[1], 3.6785714286, 1e-9);
    for (t, want) in [
        (0.1, 0.42577929157),
        (0.5, 0.80901699437),
        (1.0, -0.9510565163),
        (1.3, -1.0),
        (1.7, -0.8443279255),
        (1.9, -0.12533323356),
    ] {
        close("steer", SINE.at(t)[0], want, 1e-9);
        let h = 1e-6;
        let slope = (SINE.at(t + h)[0] - SINE.at(t - h)[0]) / (2.0 * h);
        close("its rate", SINE.at(t)[1], slope, 1e-6);
    }
}

/// The linear single-track car after Abe at 80 km/h (validation case Y10, from memory):
/// displacement, second peak and what is left of it, 1e-4 relative and 1e-3 percent.
#[test]
fn val_y10_linear_car() {
    let v = 80.0 / 3.6;
    let (a, b) = ABE.matrices(v);
    let per_g = (ABE.wheelbase() / (v * v) + ABE.understeer()) * 0.3 * 9.80665;
    near("A", per_g.to_degrees(), 1.4253284, 1e-6);
    for side in [1.0, -1.0] {
        let sine = DwellSine {
            amplitude: side * 5.0 * per_g,
            ..SINE
        };
        let mut breaks = vec![0.0];
        breaks.extend(sine.kinks());
        breaks.extend(CHECK_TIMES.map(|t| sine.end() + t));
        let (mut time, mut r, mut ay) = (Vec::new(), Vec::new(), Vec::new());
        let mut x = [0.0; 2];
        for pair in breaks.windows(2) {
            let inside = pair[1].next_down();
            let rate = |t: f64, x: &[f64; 2]| {
                let d = sine.at(t.min(inside))[0];
                [0, 1].map(|i| a[(i, 0)] * x[0] + a[(i, 1)] * x[1] + b[i] * d)
            };
            let (_, end, _) = rk4_run(
                &mut { rate },
                (pair[0], pair[1]),
                &x,
                400,
                &mut |_, t, x, k| {
                    if time.last() != Some(&t) {
                        time.push(t);
                        r.push(x[1]);
                        ay.push(k[0] + v * x[1]);
                    }
                    Continue(())
                },
            );
            x = end;
        }
        let nothing = vec![0.0; time.len()];
        let seen = Assessment::of(&sine, &time, &r, &ay, &nothing, &nothing);
        near("displacement", seen.displacement, 3.756727, 1e-4);
        near("second peak", seen.second_peak, -0.6861267, 1e-4);
        close(
            "left early",
            100.0 * seen.yaw_rate_left[0],
            0.02317242,
            1e-3,
        );
        close(
            "left late",
            100.0 * seen.yaw_rate_left[1],
            -0.0001007189,
            1e-3,
        );
        assert!(seen.meets(true));
    }
}

/// The series of amplitudes: from 1.5 A by halves to the larger of 6.5 A and 270 deg, never over
/// 300 deg.
#[test]
fn val_y10_series() {
    let series = |a: f64| -> Vec<f64> {
        let rad = SineWithDwell::default().amplitudes(a.to_radians());
        rad.iter().map(|x| x.to_degrees()).collect()
    };
    let quick = series(30.0);
    close("first", quick[0], 45.0, 1e-9);
    close("second", quick[1], 60.0, 1e-9);
    close("last", *quick.last().unwrap(), 270.0, 1e-9);
    close("6.5 A", *series(45.0).last().unwrap(), 292.5, 1e-9);
    close("bound", *series(60.0).last().unwrap(), 300.0, 1e-9);
}

/// The reference angle lies near the equilibrium's at 0.3 g; left and right give the same but for
/// the propeller shaft; what a series says is what its single runs say; halving the step moves
/// nothing.
#[test]
fn law_whole_cars() {
    for name in BOTH {
        let car = model(name);
        let never = Interrupt::never();
        let speed = 80.0 / 3.6;
        let straight = trim::solve(&car, Condition::straight(speed)).unwrap();
        let angle = reference_angle(&car, &straight, FIXED_STEP, never).unwrap();
        let corner = trim::solve(&car, Condition::cornering(speed, 0.3 * 9.80665)).unwrap();
        // The slow steer runs ahead by the car's lag at low frequency: 13.5 deg/s times its delay.
        let slow = FrequencyResponse {
            frequencies: [0.02, 0.2],
            ..FrequencyResponse::default()
        };
        let phase = slow.respond(&car, never).unwrap().phases(1)[0];
        let delay = -phase / (std::f64::consts::TAU * 0.02);
        let want = corner.inputs.steering_wheel + 13.5f64.to_radians() * delay;
        assert!(delay > 0.05);
        near("reference", angle, want, 0.01);

        let series = SineWithDwell::default().measure(&car, never).unwrap();
        assert!(series.get("largest_amplitude").unwrap() > 5.0 * angle);
        let one = |multiple: f64, step: f64, to_left: bool| {
            SineWithDwell {
                amplitude: Some(multiple * angle),
                step,
                to_left,
                ..SineWithDwell::default()
            }
            .measure(&car, never)
            .unwrap()
        };
        let gentle = one(2.0, FIXED_STEP, true);
        assert_eq!(gentle.get("criteria_met"), Some(1.0));
        for (metric, value) in &gentle.values {
            let finer = one(2.0, 0.5 * FIXED_STEP, true).get(metric.name()).unwrap();
            if value.is_nan() {
                assert!(finer.is_nan());
            } else {
                let allowed = (1e-3 * value.abs()).max(metric.floor);
                close(metric.name(), finer, *value, allowed);
            }
        }
        // Alike to both sides but for a little by the driveshaft's torque on a solid axle.
        let right = one(2.0, FIXED_STEP, false);
        for metric in ["sideslip_largest", "roll_angle_largest"] {
            near(
                metric,
                right.get(metric).unwrap(),
                gentle.get(metric).unwrap(),
                0.02,
            );
        }
        // Harder is worse.
        let hard = one(5.0, FIXED_STEP, true);
        assert!(hard.get("sideslip_largest") > gentle.get("sideslip_largest"));
    }
}

/// On a slippery road the car does not get to 0.375 g: a named outcome, no numbers.
#[test]
fn outcomes() {
    let ice = SineWithDwell {
        friction: 0.25,
        ..SineWithDwell::default()
    };
    let measures = ice
        .measure(&model("bramble-solid"), Interrupt::never())
        .unwrap();
    assert!(
        !measures.ending.outcome.is_completed(),
        "{}",
        measures.ending
    );
    assert!(measures.get("criteria_met").unwrap().is_nan());
    let gear = SineWithDwell {
        gear: Some(9),
        ..SineWithDwell::default()
    };
    let measures = gear
        .measure(&model("bramble-solid"), Interrupt::never())
        .unwrap();
    assert_eq!(measures.ending.outcome.name(), "wrong_gear");
}
