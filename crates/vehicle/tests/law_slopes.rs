//! Exact derivatives: the same bits in every width of lanes, and agreement with differences.

use axletree_scalar::{Real, Width};
use axletree_vehicle::model::{Linearizer, QUANTITIES, STATES, VARIABLES, quantities};
use axletree_vehicle::trim::{Condition, Equilibria, Trim, solve};
use axletree_vehicle::{Model, bundled};

fn cars() -> [Model; 2] {
    ["bramble-solid", "bramble-independent"]
        .map(|name| bundled(name).unwrap().unwrap().assemble().unwrap())
}

/// A point off an equilibrium, where nothing is at rest.
fn point(model: &Model) -> Trim {
    let mut trim = solve(model, Condition::cornering(20.0, 5.0)).unwrap();
    for (i, x) in trim.state.iter_mut().enumerate() {
        *x += 1e-3 * Real::sin(i as f64);
    }
    trim.inputs.steering_wheel_rate = 0.4;
    trim.inputs.brake_torque = 90.0;
    trim
}

/// Every width of lanes that this machine has gives the same bits as no lanes, for any number of
/// variables. The control: not all derivatives vanish.
#[test]
fn law_every_width_gives_the_same_bits() {
    for model in cars() {
        let at = point(&model);
        let all: Vec<usize> = (0..VARIABLES).collect();
        let some: Vec<usize> = (0..VARIABLES).rev().step_by(5).collect();
        let alone = Linearizer::with_width(&model.numbers, Width::One);
        for variables in [all, some] {
            let want = alone.jacobian(&at.state, &at.inputs, &variables);
            let mut nonzero = 0;
            for width in Width::all() {
                let linearizer = Linearizer::with_width(&model.numbers, width);
                let got = linearizer.jacobian(&at.state, &at.inputs, &variables);
                for quantity in 0..QUANTITIES {
                    assert_eq!(
                        got.values[quantity].to_bits(),
                        want.values[quantity].to_bits()
                    );
                    for number in 0..variables.len() {
                        let (a, b) = (got.at(quantity, number), want.at(quantity, number));
                        assert_eq!(a.to_bits(), b.to_bits(), "{width:?} {quantity} {number}");
                        nonzero += usize::from(a != 0.0);
                    }
                }
            }
            assert!(nonzero > 10 * variables.len(), "{nonzero}");
        }
    }
}

/// Against central differences: within 3e-5 of the largest derivative of the quantity, and the
/// rounding of the difference.
#[test]
fn val_derivatives_agree_with_differences() {
    for model in cars() {
        let at = point(&model);
        let linearizer = Linearizer::of(&model.numbers);
        let variables: Vec<usize> = (0..STATES + 4).collect();
        let jacobian = linearizer.jacobian(&at.state, &at.inputs, &variables);
        let value = |variable: usize, by: f64| -> [f64; QUANTITIES] {
            let (mut state, mut inputs) = (at.state, at.inputs);
            match variable.checked_sub(STATES) {
                None => state[variable] += by,
                Some(0) => inputs.steering_wheel += by,
                Some(1) => inputs.steering_wheel_rate += by,
                Some(2) => inputs.drive_torque += by,
                Some(_) => inputs.brake_torque += by,
            }
            quantities(&model.numbers, &state, &model.evaluate(&state, &inputs))
        };
        for quantity in 0..QUANTITIES {
            let largest = variables
                .iter()
                .map(|v| jacobian.at(quantity, *v).abs())
                .fold(1e-9, f64::max);
            for variable in &variables {
                let step = 1e-6;
                let (a, b) = (
                    value(*variable, -step)[quantity],
                    value(*variable, step)[quantity],
                );
                let want = (b - a) / (2.0 * step);
                let got = jacobian.at(quantity, *variable);
                let noise = 1e-9 * (1.0 + a.abs()) / step;
                assert!(
                    (got - want).abs() < 3e-5 * largest + noise,
                    "{}: {quantity} by {variable}: {got} and {want}",
                    model.name
                );
            }
        }
    }
}

/// Equilibria found one after another have the same bits as those found alone, in any order, and
/// the second of two at the same speed takes less work.
#[test]
fn law_equilibria_do_not_depend_on_those_found_before() {
    for model in cars() {
        let speed = 22.0;
        // With each: whether the straight running of the one before serves again.
        let conditions = [
            (Condition::straight(speed), false),
            (Condition::cornering(speed, 4.0), true),
            (Condition::cornering(speed, -6.5), true),
            (Condition::cornering(speed + 5.0, 3.0), false),
            (Condition::cornering(speed, 2.0), false),
        ];
        let mut equilibria = Equilibria::of(&model);
        for (condition, again) in conditions {
            let before = equilibria.work();
            let got = equilibria.solve(condition).unwrap();
            let mut alone = Equilibria::of(&model);
            let want = alone.solve(condition).unwrap();
            for (a, b) in got.state.iter().zip(&want.state) {
                assert_eq!(a.to_bits(), b.to_bits());
            }
            let steering = |t: &Trim| (t.inputs.steering_wheel, t.inputs.drive_torque);
            assert_eq!(steering(&got), steering(&want));
            let (spent, alone) = (
                equilibria.work().derivatives - before.derivatives,
                alone.work(),
            );
            assert_eq!(spent < alone.derivatives, again);
        }
    }
}
