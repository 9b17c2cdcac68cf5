//! The gravity arm, from the roll stiffness of the body on rigid tires.
//!
//! The wheels follow the body with their tires as at rest; at each roll angle the body takes the
//! height of least potential energy `E(phi)`. With `E'' = (E(d) - 2 E(0) + E(-d))/d^2` and K the
//! roll stiffness of springs, bars and binding, the arm is `(K - E'')/(m_s g)`.

use crate::model::layout::{ATTITUDE, POSITION, TRAVEL};
use crate::model::{Inputs, Model, STATES, energy_and_momentum};

/// Step of roll of the second derivative `[rad]`.
const ROLL_STEP: f64 = 0.01;
/// Steps of height by which the least energy is found, one after the other `[m]`.
const HEIGHT_STEPS: [f64; 2] = [1e-3, 1e-4];
/// Error of a tire's deflection at which the wheels have followed the body `[m]`.
const DEFLECTION_TOLERANCE: f64 = 1e-13;
/// Most passes in which the wheels follow the body.
const MOST_PASSES: usize = 60;

/// Potential energy at a roll and a height, the wheels following with their tires deflected as at
/// rest `[J]`.
fn potential(
    model: &Model,
    rest: &[f64; STATES],
    deflection: [f64; 4],
    roll: f64,
    height: f64,
) -> f64 {
    let still = Inputs::coasting();
    let mut state = *rest;
    state[ATTITUDE + 2] = roll;
    state[POSITION + 2] += height;
    for _ in 0..MOST_PASSES {
        let e = model.evaluate(&state, &still);
        let excess: [f64; 4] = std::array::from_fn(|i| e.contacts[i].deflection - deflection[i]);
        state[TRAVEL] += excess[0];
        state[TRAVEL + 1] += excess[1];
        if model.solid_rear() {
            state[TRAVEL + 2] += (excess[2] + excess[3]) / 2.0;
            state[TRAVEL + 3] += (excess[2] - excess[3]) / model.geometry.track[1];
        } else {
            state[TRAVEL + 2] += excess[2];
            state[TRAVEL + 3] += excess[3];
        }
        if excess.iter().all(|x| x.abs() < DEFLECTION_TOLERANCE) {
            break;
        }
    }
    energy_and_momentum(&model.numbers, &state, &still).potential
}

/// Loss of the body's roll stiffness on rigid tires against that of springs, bars and binding, over
/// the sprung weight `[m]`.
pub(super) fn gravity_arm(model: &Model, rest: &[f64; STATES], stiffness: f64) -> f64 {
    let deflection = model
        .evaluate(rest, &Inputs::coasting())
        .contacts
        .map(|c| c.deflection);
    let potential = |roll, height| potential(model, rest, deflection, roll, height);
    // The body settles at the height of least energy: the vertex of a parabola.
    let least = |roll: f64| {
        let mut height = 0.0;
        for d in HEIGHT_STEPS {
            let (a, b, c) = (
                potential(roll, height - d),
                potential(roll, height),
                potential(roll, height + d),
            );
            height -= d * (c - a) / (2.0 * (c - 2.0 * b + a));
        }
        potential(roll, height)
    };
    let d = ROLL_STEP;
    let effective = (least(d) - 2.0 * least(0.0) + least(-d)) / (d * d);
    let chassis = &model.numbers.chassis;
    (stiffness - effective) / (chassis.sprung.mass * chassis.gravity)
}
