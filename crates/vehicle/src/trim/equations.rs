//! The equations of an equilibrium: unknowns, residuals and their exact derivatives.
//!
//! For every state x_i with an equation, with a weight w_i that makes the residuals comparable,
//!
//! ```text
//! r_i = w_i (x_i' - lambda x_i)      velocities, spins, housing, driveline
//! r_i = w_i x_i'                     all others
//! r   = V - V_0,  a_y - a_y0         the prescribed speed and lateral acceleration
//! ```

use axletree_numerics::Square;
use axletree_scalar::{LANES, Real};
use nalgebra::DMatrix;

use super::condition::Condition;
use crate::model::layout::{
    ATTITUDE, DEFLECTION, DRIVELINE, ENGINE, HOUSING, Inputs, POSITION, RATE, SHAFT_DIFFERENCE,
    SHAFT_MEAN, SPIN, STATES, TOE, TRAVEL, TRAVEL_RATE, VELOCITY, WINDUP,
};
use crate::model::{
    BRAKE_TORQUE, DRIVE_TORQUE, LATERAL_ACCELERATION, LOAD, Linearizer, Model, Numbers, SLIDING,
    SPEED, STEERING_WHEEL,
};

/// Number of unknowns.
pub const TRIM_UNKNOWNS: usize = 41;

/// Changes of the unknowns that matter to a cornering car.
pub const TRIM_SCALES: [f64; TRIM_UNKNOWNS] = {
    // Height, pitch and roll, travels, velocity, angular velocity, spins, deflections, lags, wind-up,
    // housing, twists, driveline speed, steering wheel, drive torque.
    let parts: [(f64, usize); 15] = [
        (0.02, 1),
        (0.05, 2),
        (0.02, 4),
        (5.0, 1),
        (1.0, 2),
        (0.1, 2),
        (0.3, 1),
        (20.0, 4),
        (0.01, 17),
        (0.01, 1),
        (1.0, 1),
        (0.05, 2),
        (20.0, 1),
        (1.0, 1),
        (500.0, 1),
    ];
    let mut scales = [0.0; TRIM_UNKNOWNS];
    let (mut part, mut at) = (0, 0);
    while part < parts.len() {
        let mut left = parts[part].1;
        while left > 0 {
            scales[at] = parts[part].0;
            at += 1;
            left -= 1;
        }
        part += 1;
    }
    assert!(at == TRIM_UNKNOWNS);
    scales
};

/// Residual per sliding speed of an unloaded wheel, whose spin the equations leave open `[s/m]`; it
/// falls with the load N as `1/(1 + N^2)`.
const AIRBORNE_SPIN_WEIGHT: f64 = 1e-3;

/// Places of the unknowns in the state. The last two unknowns are inputs: the steering wheel's
/// angle and the drive torque.
const PLACES: [usize; TRIM_UNKNOWNS - 2] = {
    let ranges = [
        POSITION + 2..POSITION + 3,
        ATTITUDE + 1..ATTITUDE + 3,
        TRAVEL..TRAVEL + 4,
        VELOCITY..VELOCITY + 6,
        SPIN..ENGINE,
    ];
    let mut places = [0; TRIM_UNKNOWNS - 2];
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
    assert!(at == TRIM_UNKNOWNS - 2);
    places
};

/// Retardation of a car whose last unknown, the torque, is negative.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slowing {
    /// The driveline, on the driven wheels alone.
    Driveline,
    /// The brakes, on all wheels by their balance.
    Brakes,
}

/// State and inputs from the unknowns.
pub fn unpack(
    u: &[f64; TRIM_UNKNOWNS],
    friction: f64,
    slowing: Slowing,
) -> ([f64; STATES], Inputs<f64>) {
    let mut state = [0.0; STATES];
    for (value, at) in u.iter().zip(PLACES) {
        state[at] = *value;
    }
    let torque = u[TRIM_UNKNOWNS - 1];
    let (drive_torque, brake_torque) = match slowing {
        Slowing::Driveline => (torque, 0.0),
        Slowing::Brakes => (torque.positive(), (-torque).positive()),
    };
    let inputs = Inputs {
        steering_wheel: u[TRIM_UNKNOWNS - 2],
        drive_torque,
        brake_torque,
        friction,
        ..Inputs::coasting()
    };
    (state, inputs)
}

/// The unknowns from state and inputs.
pub fn pack(state: &[f64; STATES], inputs: &Inputs<f64>) -> [f64; TRIM_UNKNOWNS] {
    let mut u = [0.0; TRIM_UNKNOWNS];
    for (value, at) in u.iter_mut().zip(PLACES) {
        *value = state[at];
    }
    u[TRIM_UNKNOWNS - 2] = inputs.steering_wheel;
    u[TRIM_UNKNOWNS - 1] = inputs.drive_torque - inputs.brake_torque;
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
fn equations(numbers: &Numbers<f64>, speed: f64) -> [Equation; TRIM_UNKNOWNS - 2] {
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
    let mut all = [nothing; TRIM_UNKNOWNS - 2];
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

/// Residuals of the equations at the unknowns `u`; the last two are the speed and the lateral
/// acceleration less their prescribed values. For continuation along a curve of equilibria.
pub fn residual(
    model: &Model,
    u: &[f64; TRIM_UNKNOWNS],
    condition: &Condition,
    slowing: Slowing,
) -> [f64; TRIM_UNKNOWNS] {
    let (state, inputs) = unpack(u, condition.friction, slowing);
    let observed = model.observe(&state, &inputs);
    let (e, motion) = (&observed.evaluation, &observed.observation);
    let lambda = condition.longitudinal_acceleration / condition.speed;
    let mut r = [0.0; TRIM_UNKNOWNS];
    let all = equations(&model.numbers, condition.speed);
    for (r, equation) in r.iter_mut().zip(all) {
        let i = equation.state;
        let growth = if equation.grows {
            lambda * state[i]
        } else {
            0.0
        };
        *r = equation.weight * (e.rate[i] - growth);
        // A wheel off the road has no torque at any spin: it is taken to roll. The term vanishes
        // with load.
        if (SPIN..SPIN + 4).contains(&i) {
            let contact = &e.contacts[i - SPIN];
            *r += AIRBORNE_SPIN_WEIGHT * contact.sliding[0] / (1.0 + contact.load * contact.load);
        }
    }
    r[TRIM_UNKNOWNS - 2] = motion.speed - condition.speed;
    r[TRIM_UNKNOWNS - 1] = motion.lateral_acceleration - condition.lateral_acceleration;
    r
}

/// Derivatives of [`residual`] by the unknowns, exact to rounding.
pub fn jacobian(
    model: &Model,
    linearizer: &Linearizer,
    u: &[f64; TRIM_UNKNOWNS],
    condition: &Condition,
    slowing: Slowing,
) -> DMatrix<f64> {
    let square = square(model, linearizer, u, condition, slowing);
    DMatrix::from_fn(TRIM_UNKNOWNS, TRIM_UNKNOWNS, |i, j| square.0[i][j])
}

/// As [`jacobian`], in the form that the solver takes.
pub(super) fn square(
    model: &Model,
    linearizer: &Linearizer,
    u: &[f64; TRIM_UNKNOWNS],
    condition: &Condition,
    slowing: Slowing,
) -> Box<Square<TRIM_UNKNOWNS>> {
    let (state, inputs) = unpack(u, condition.friction, slowing);
    let braked = slowing == Slowing::Brakes && u[TRIM_UNKNOWNS - 1] < 0.0;
    let mut variables = [0; TRIM_UNKNOWNS];
    variables[..TRIM_UNKNOWNS - 2].copy_from_slice(&PLACES);
    variables[TRIM_UNKNOWNS - 2] = STEERING_WHEEL;
    variables[TRIM_UNKNOWNS - 1] = if braked { BRAKE_TORQUE } else { DRIVE_TORQUE };
    let by_variable = linearizer.jacobian(&state, &inputs, &variables);

    let lambda = condition.longitudinal_acceleration / condition.speed;
    let mut square = Box::new(Square::zero());
    let rows = &mut square.0;
    for (row, equation) in rows
        .iter_mut()
        .zip(equations(&model.numbers, condition.speed))
    {
        let i = equation.state;
        for (block, part) in row.chunks_mut(LANES).enumerate() {
            let by = by_variable.row(i, block * LANES);
            for (entry, by) in part.iter_mut().zip(by) {
                *entry = equation.weight * by;
            }
        }
        if equation.grows
            && let Some(own) = PLACES.iter().position(|place| *place == i)
        {
            row[own] -= equation.weight * lambda;
        }
        if (SPIN..SPIN + 4).contains(&i) {
            let wheel = i - SPIN;
            let load = by_variable.values[LOAD + wheel];
            let by_sliding = AIRBORNE_SPIN_WEIGHT / (1.0 + load * load);
            let by_load = -2.0 * load * by_sliding * by_variable.values[SLIDING + wheel]
                / (1.0 + load * load);
            for (block, part) in row.chunks_mut(LANES).enumerate() {
                let sliding = by_variable.row(SLIDING + wheel, block * LANES);
                let load = by_variable.row(LOAD + wheel, block * LANES);
                for (entry, (sliding, load)) in part.iter_mut().zip(sliding.iter().zip(load)) {
                    *entry += by_sliding * sliding + by_load * load;
                }
            }
        }
    }
    for (row, quantity) in [SPEED, LATERAL_ACCELERATION].into_iter().enumerate() {
        for (block, part) in rows[TRIM_UNKNOWNS - 2 + row].chunks_mut(LANES).enumerate() {
            part.copy_from_slice(by_variable.row(quantity, block * LANES));
        }
    }
    if braked {
        for row in rows.iter_mut() {
            row[TRIM_UNKNOWNS - 1] = -row[TRIM_UNKNOWNS - 1];
        }
    }
    square
}
