//! Laws of whole cars: mirror symmetry, loads, rest, effects of bars and of the tires' pressure.

mod support;

use axletree_scalar::Real;
use axletree_vehicle::model::Inputs;
use axletree_vehicle::model::layout::{
    ATTITUDE, DEFLECTION, POSITION, RATE, SHAFT_DIFFERENCE, SPIN, STATES, TILT, TOE, TRAVEL,
    TRAVEL_RATE, TWIST, VELOCITY,
};
use axletree_vehicle::trim::{Condition, Trim, solve};
use axletree_vehicle::{Car, Model, bundled};
use support::{random_inputs, random_state, rng};

fn cars() -> [Car; 2] {
    ["bramble-solid", "bramble-independent"].map(|name| bundled(name).unwrap().unwrap())
}

fn models() -> [Model; 2] {
    cars().map(|car| car.assemble().unwrap())
}

/// The state seen in a mirror along the car's center plane.
fn mirrored(solid: bool, x: &[f64; STATES]) -> [f64; STATES] {
    let mut m = *x;
    for i in [
        POSITION + 1,
        ATTITUDE,
        ATTITUDE + 2,
        VELOCITY + 1,
        RATE,
        RATE + 2,
        TWIST,
        SHAFT_DIFFERENCE,
    ] {
        m[i] = -x[i];
    }
    let swap = |m: &mut [f64; STATES], a: usize, b: usize, sign: f64| {
        m[a] = sign * x[b];
        m[b] = sign * x[a];
    };
    for base in [TRAVEL, TRAVEL_RATE] {
        swap(&mut m, base, base + 1, 1.0);
        if solid {
            m[base + 3] = -x[base + 3];
        } else {
            swap(&mut m, base + 2, base + 3, 1.0);
        }
    }
    for end in [0, 2] {
        swap(&mut m, SPIN + end, SPIN + end + 1, 1.0);
        swap(&mut m, TOE + end, TOE + end + 1, -1.0);
        swap(&mut m, TILT + end, TILT + end + 1, -1.0);
        let (l, r) = (DEFLECTION + 2 * end, DEFLECTION + 2 * end + 2);
        swap(&mut m, l, r, 1.0);
        swap(&mut m, l + 1, r + 1, -1.0);
    }
    m
}

/// A symmetric car in a mirrored state moves in the mirror image, its propeller shaft turning the
/// other way.
#[test]
fn law_mirror_symmetry() {
    for model in models() {
        let solid = model.solid_rear();
        let mut image = model.clone();
        image.numbers.chassis.driveline.propshaft_sense *= -1.0;
        let mut r = rng(77);
        for _ in 0..200 {
            let state = random_state(solid, &mut r);
            let inputs = random_inputs(&mut r);
            let rate = model.rate(&state, &inputs);
            let mut other = inputs;
            other.steering_wheel *= -1.0;
            other.steering_wheel_rate *= -1.0;
            let seen = mirrored(solid, &image.rate(&mirrored(solid, &state), &other));
            let largest = rate.iter().fold(0.0f64, |a, x| a.max(x.abs()));
            for i in 0..STATES {
                assert!(
                    (seen[i] - rate[i]).abs() <= 1e-12 * largest,
                    "state {i}: {} against {} (largest {largest})",
                    seen[i],
                    rate[i]
                );
            }
            // The control: without turning the steering wheel over the law fails.
            let broken = mirrored(solid, &image.rate(&mirrored(solid, &state), &inputs));
            assert!((0..STATES).any(|i| (broken[i] - rate[i]).abs() > 1e-6 * largest));
        }
    }
}

/// In any equilibrium the wheel loads carry the weight less the lift.
#[test]
fn law_loads_carry_weight_less_lift() {
    for model in models() {
        for (speed, ay) in [(10.0, 0.0), (20.0, 6.0), (35.0, -5.0)] {
            let trim = solve(&model, Condition::cornering(speed, ay)).unwrap();
            let e = trim.evaluate(&model);
            let loads: f64 = e.contacts.iter().map(|c| c.load).sum();
            let u = trim.state[VELOCITY];
            let chassis = &model.numbers.chassis;
            let lift = (chassis.air.lift[0] + chassis.air.lift[1]) * u * u * e.frame.up.z();
            let weight = model.mass() * chassis.gravity;
            // Drag on the pitched body has a small vertical part too.
            let drag = chassis.air.drag * u * u * e.frame.rot_eb.0[0].z();
            let want = weight - lift + drag;
            assert!(
                (loads - want).abs() < 1e-7 * weight,
                "{loads} against {want} N"
            );
        }
    }
}

/// At rest nothing moves under any constant inputs: neither car nor tires drift.
#[test]
fn law_a_standing_car_stays_put() {
    for model in models() {
        let state = model.rolling_state(0.0);
        let inputs = Inputs::coasting();
        let rate = model.rate(&state, &inputs);
        let largest = rate.iter().fold(0.0f64, |a, x| a.max(x.abs()));
        assert!(largest < 1e-9, "{largest}");

        // Pushed by a hand for a moment, it settles again instead of creeping away.
        let mut x = state;
        x[VELOCITY + 1] = 0.02;
        let h = 1e-3;
        let step = |x: &[f64; STATES], k: &[f64; STATES], s: f64| -> [f64; STATES] {
            std::array::from_fn(|i| x[i] + s * k[i])
        };
        for _ in 0..4000 {
            let k1 = model.rate(&x, &inputs);
            let k2 = model.rate(&step(&x, &k1, h / 2.0), &inputs);
            let k3 = model.rate(&step(&x, &k2, h / 2.0), &inputs);
            let k4 = model.rate(&step(&x, &k3, h), &inputs);
            for i in 0..STATES {
                x[i] += h / 6.0 * (k1[i] + 2.0 * (k2[i] + k3[i]) + k4[i]);
            }
        }
        assert!(x.iter().all(|v| v.is_finite()));
        let moved = Real::hypot(x[POSITION], x[POSITION + 1]);
        assert!(moved < 2e-3, "crept {moved} m in 4 s");
        assert!(x[ATTITUDE + 2].abs() < 2e-3 && x[ATTITUDE].abs() < 2e-3);
    }
}

fn steer(trim: &Trim, model: &Model) -> f64 {
    trim.inputs.steering_wheel * model.numbers.chassis.steering.gain
}

/// Common practice, no source: a larger rear bar moves the balance toward oversteer: less steer is
/// needed for the same lateral acceleration, and less the nearer the limit.
#[test]
fn val_a_larger_rear_bar_moves_the_balance_toward_oversteer() {
    for car in cars() {
        let needed = |diameter: &str, ay: f64| {
            let model = car
                .edit([("rear.bar.outer_diameter", diameter)])
                .unwrap()
                .assemble()
                .unwrap();
            steer(
                &solve(&model, Condition::cornering(20.0, ay)).unwrap(),
                &model,
            )
        };
        for ay in [4.0, 7.0] {
            let steers = ["16 mm", "20 mm", "24 mm", "28 mm"].map(|d| needed(d, ay));
            assert!(
                steers.windows(2).all(|w| w[1] < w[0]),
                "{ay} m/s2: {steers:?}"
            );
        }
        // Beyond roll steer, the part that load transfer explains grows toward the limit.
        let change = |ay: f64| (needed("16 mm", ay) - needed("28 mm", ay)) / ay;
        assert!(change(8.0) > change(3.0));
    }
}

/// Common practice, no source: beyond the best pressure a tire loses grip.
#[test]
fn val_more_pressure_than_the_best_costs_grip() {
    for car in cars() {
        let limit = |pressure: &str| {
            let model = car
                .edit([
                    ("front.tire.pressure", pressure),
                    ("rear.tire.pressure", pressure),
                ])
                .unwrap()
                .assemble()
                .unwrap();
            // The last equilibrium on the way to more than any tire gives.
            match solve(&model, Condition::cornering(20.0, 12.0)) {
                Err(axletree_vehicle::trim::TrimError::NoEquilibrium { reached, .. }) => reached,
                other => panic!("{other:?}"),
            }
        };
        let limits = ["34 psi", "40 psi", "46 psi"].map(limit);
        assert!(
            limits[0] > limits[1] + 0.02 && limits[1] > limits[2] + 0.02,
            "{limits:?}"
        );
    }
}
