//! The equations of an equilibrium: unknowns, defects and their exact derivatives.

use axletree_scalar::{LANES, Real};
use nalgebra::DMatrix;

use super::Condition;
use crate::lu::Square;
use crate::model::layout::{
    ATTITUDE, DEFLECTION, DRIVELINE, ENGINE, HOUSING, Inputs, POSITION, RATE, SHAFT_DIFFERENCE,
    SHAFT_MEAN, SPIN, STATES, TOE, TRAVEL, TRAVEL_RATE, VELOCITY, WINDUP,
};
use crate::model::slopes::{
    BRAKE_TORQUE, DRIVE_TORQUE, LATERAL_ACCELERATION, LOAD, SLIDING, SPEED, STEERING_WHEEL,
};
use crate::model::{Lifted, Model, Numbers, Observation};

/// Number of unknowns.
pub const UNKNOWNS: usize = 41;

/// Weight of what only keeps a wheel off the road from spinning [1/m N^2].
const ROLLS: f64 = 1e-3;

/// The unknowns' places in the state; the last two are inputs, the steering wheel's angle and the drive
/// torque.
const PLACES: [usize; UNKNOWNS - 2] = {
    let ranges = [
        POSITION + 2..POSITION + 3,
        ATTITUDE + 1..ATTITUDE + 3,
        TRAVEL..TRAVEL + 4,
        VELOCITY..VELOCITY + 6,
        SPIN..ENGINE,
    ];
    let mut places = [0; UNKNOWNS - 2];
    let (mut range, mut at) = (0, 0);
    while range < ranges.len() {
        let mut place = ranges[range].start;
        while place < ranges[range].end {
            places[at] = place;
            place += 1;
            at += 1;
        }
        range += 1;
    }
    assert!(at == UNKNOWNS - 2);
    places
};

/// What slows the car where the last unknown, the torque, is negative.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slowing {
    /// The driveline, on the driven wheels alone.
    Driveline,
    /// The brakes, on all wheels by their balance.
    Brakes,
}

/// State and inputs from the unknowns.
pub fn unpack(u: &[f64; UNKNOWNS], friction: f64) -> ([f64; STATES], Inputs<f64>) {
    unpack_slowing(u, friction, Slowing::Driveline)
}

/// The same with a choice of what slows the car.
pub fn unpack_slowing(
    u: &[f64; UNKNOWNS],
    friction: f64,
    slowing: Slowing,
) -> ([f64; STATES], Inputs<f64>) {
    let mut state = [0.0; STATES];
    for (value, at) in u.iter().zip(PLACES) {
        state[at] = *value;
    }
    let torque = u[UNKNOWNS - 1];
    let (drive_torque, brake_torque) = match slowing {
        Slowing::Driveline => (torque, 0.0),
        Slowing::Brakes => (torque.positive(), (-torque).positive()),
    };
    let inputs = Inputs {
        steering_wheel: u[UNKNOWNS - 2],
        drive_torque,
        brake_torque,
        friction,
        ..Inputs::coasting()
    };
    (state, inputs)
}

/// The unknowns from state and inputs.
pub fn pack(state: &[f64; STATES], inputs: &Inputs<f64>) -> [f64; UNKNOWNS] {
    let mut u = [0.0; UNKNOWNS];
    for (value, at) in u.iter_mut().zip(PLACES) {
        *value = state[at];
    }
    u[UNKNOWNS - 2] = inputs.steering_wheel;
    u[UNKNOWNS - 1] = inputs.drive_torque - inputs.brake_torque;
    u
}

/// One equation `weight (x_i' - lambda x_i) = 0`; without `grows`, `weight x_i' = 0`.
#[derive(Clone, Copy)]
struct Equation {
    state: usize,
    weight: f64,
    grows: bool,
}

/// All but the last two, with typical sizes as weights, so that none outweighs the others.
fn equations(numbers: &Numbers<f64>, speed: f64) -> [Equation; UNKNOWNS - 2] {
    let groups = [
        (POSITION + 2..POSITION + 3, 1.0, false),
        (ATTITUDE + 1..ATTITUDE + 3, 1.0, false),
        (VELOCITY..VELOCITY + 3, 1.0, true),
        (RATE..RATE + 3, 1.0, false),
        (TRAVEL_RATE..TRAVEL_RATE + 4, 0.05, false),
        (SPIN..SPIN + 4, 0.05, true),
        (DEFLECTION..TOE, 1.0 / speed.max(1.0), false),
        (TOE..WINDUP, numbers.chassis.lag, false),
        (WINDUP..WINDUP + 1, 1.0, false),
        (SHAFT_MEAN..SHAFT_DIFFERENCE + 1, 1.0, false),
        (HOUSING..HOUSING + 1, 0.05, true),
        (DRIVELINE..DRIVELINE + 1, 0.05, true),
    ];
    let nothing = Equation {
        state: 0,
        weight: 0.0,
        grows: false,
    };
    let mut all = [nothing; UNKNOWNS - 2];
    let states = groups
        .into_iter()
        .flat_map(|(states, weight, grows)| states.map(move |state| (state, weight, grows)));
    for (equation, (state, weight, grows)) in all.iter_mut().zip(states) {
        *equation = Equation {
            state,
            weight,
            grows,
        };
    }
    all
}

/// What is left of the equations at the unknowns `u`; the last two are the speed and the lateral
/// acceleration less the ones asked for. For continuation along a curve of equilibria.
pub fn defect(model: &Model, u: &[f64; UNKNOWNS], condition: &Condition) -> [f64; UNKNOWNS] {
    defect_slowing(model, u, condition, Slowing::Driveline)
}

/// The same with a choice of what slows the car.
pub fn defect_slowing(
    model: &Model,
    u: &[f64; UNKNOWNS],
    condition: &Condition,
    slowing: Slowing,
) -> [f64; UNKNOWNS] {
    let (state, inputs) = unpack_slowing(u, condition.friction, slowing);
    let e = model.evaluate(&state, &inputs);
    let seen = Observation::of(&model.numbers, &state, &e);
    let lambda = condition.longitudinal_acceleration / condition.speed;
    let mut r = [0.0; UNKNOWNS];
    let all = equations(&model.numbers, condition.speed);
    for (r, equation) in r.iter_mut().zip(all) {
        let i = equation.state;
        let growth = if equation.grows {
            lambda * state[i]
        } else {
            0.0
        };
        *r = equation.weight * (e.rate[i] - growth);
        // A wheel off the road feels no torque at any spin: it is taken to roll. The term is nothing for a
        // wheel that carries a load.
        if (SPIN..SPIN + 4).contains(&i) {
            let contact = &e.contacts[i - SPIN];
            *r += ROLLS * contact.sliding[0] / (1.0 + contact.load * contact.load);
        }
    }
    r[UNKNOWNS - 2] = seen.speed - condition.speed;
    r[UNKNOWNS - 1] = seen.lateral_acceleration - condition.lateral_acceleration;
    r
}

/// Derivatives of [`defect`] by the unknowns, exact to rounding.
pub fn jacobian(
    model: &Model,
    lifted: &Lifted,
    u: &[f64; UNKNOWNS],
    condition: &Condition,
) -> DMatrix<f64> {
    jacobian_slowing(model, lifted, u, condition, Slowing::Driveline)
}

/// The same with a choice of what slows the car.
pub fn jacobian_slowing(
    model: &Model,
    lifted: &Lifted,
    u: &[f64; UNKNOWNS],
    condition: &Condition,
    slowing: Slowing,
) -> DMatrix<f64> {
    let square = square(model, lifted, u, condition, slowing);
    DMatrix::from_fn(UNKNOWNS, UNKNOWNS, |i, j| square.0[i][j])
}

/// The same for the solver.
pub(super) fn square(
    model: &Model,
    lifted: &Lifted,
    u: &[f64; UNKNOWNS],
    condition: &Condition,
    slowing: Slowing,
) -> Box<Square<UNKNOWNS>> {
    let (state, inputs) = unpack_slowing(u, condition.friction, slowing);
    let braked = slowing == Slowing::Brakes && u[UNKNOWNS - 1] < 0.0;
    let mut variables = [0; UNKNOWNS];
    variables[..UNKNOWNS - 2].copy_from_slice(&PLACES);
    variables[UNKNOWNS - 2] = STEERING_WHEEL;
    variables[UNKNOWNS - 1] = if braked { BRAKE_TORQUE } else { DRIVE_TORQUE };
    let slopes = lifted.slopes(&state, &inputs, &variables);

    let lambda = condition.longitudinal_acceleration / condition.speed;
    let mut square = Box::new(Square::zero());
    let rows = &mut square.0;
    for (row, equation) in rows
        .iter_mut()
        .zip(equations(&model.numbers, condition.speed))
    {
        let i = equation.state;
        for (block, part) in row.chunks_mut(LANES).enumerate() {
            let by = slopes.row(i, block * LANES);
            for (slope, by) in part.iter_mut().zip(by) {
                *slope = equation.weight * by;
            }
        }
        if equation.grows
            && let Some(own) = PLACES.iter().position(|place| *place == i)
        {
            row[own] -= equation.weight * lambda;
        }
        if (SPIN..SPIN + 4).contains(&i) {
            let wheel = i - SPIN;
            let load = slopes.values[LOAD + wheel];
            let by_sliding = ROLLS / (1.0 + load * load);
            let by_load =
                -2.0 * load * by_sliding * slopes.values[SLIDING + wheel] / (1.0 + load * load);
            for (block, part) in row.chunks_mut(LANES).enumerate() {
                let sliding = slopes.row(SLIDING + wheel, block * LANES);
                let load = slopes.row(LOAD + wheel, block * LANES);
                for (slope, (sliding, load)) in part.iter_mut().zip(sliding.iter().zip(load)) {
                    *slope += by_sliding * sliding + by_load * load;
                }
            }
        }
    }
    for (row, quantity) in [SPEED, LATERAL_ACCELERATION].into_iter().enumerate() {
        for (block, part) in rows[UNKNOWNS - 2 + row].chunks_mut(LANES).enumerate() {
            part.copy_from_slice(slopes.row(quantity, block * LANES));
        }
    }
    if braked {
        for row in rows.iter_mut() {
            row[UNKNOWNS - 1] = -row[UNKNOWNS - 1];
        }
    }
    square
}
