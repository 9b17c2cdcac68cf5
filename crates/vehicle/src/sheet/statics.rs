//! The quantities of a car at rest that the rows of the sheet combine.

use super::ends::{EndStatics, ends};
use super::gravity_arm::gravity_arm;
use crate::model::layout::ATTITUDE;
use crate::model::{Inputs, Model, STATES};
use crate::trim::{Condition, Trim, TrimError, solve};

/// Speed of the equilibria of the gradients `[m/s]`.
const GRADIENT_SPEED: f64 = 20.0;
/// Lateral accelerations of the equilibria of the gradients `[m/s^2]`.
const GRADIENT_ACCELERATIONS: [f64; 2] = [0.5, 1.0];

/// Ride of one end on its tires.
pub(super) struct Ride {
    /// Wheel rate and tire in series `[N/m]`.
    pub rate: f64,
    /// Frequency of the sprung mass on it `[Hz]`.
    pub frequency: f64,
    /// Damping ratio on the wheel rate `[-]`.
    pub damping_ratio: f64,
}

/// A car at rest.
pub(super) struct Statics<'a> {
    pub model: &'a Model,
    /// The state at rest.
    pub state: [f64; STATES],
    /// Wheel loads `[N]`.
    pub loads: [f64; 4],
    /// Their sum `[N]`.
    pub weight: f64,
    pub front: EndStatics,
    pub rear: EndStatics,
    pub front_ride: Ride,
    pub rear_ride: Ride,
    /// Roll stiffness with the tires in series, front and rear `[N*m/rad]`.
    pub roll_with_tires: [f64; 2],
    /// Arm on which the sprung weight adds to roll `[m]`.
    pub gravity_arm: f64,
    /// Roll per lateral acceleration `[rad*s^2/m]`.
    pub roll_gradient: f64,
    /// Mean steer of the road wheels per lateral acceleration less the Ackermann steer's
    /// `[rad*s^2/m]`.
    pub understeer_gradient: f64,
}

impl<'a> Statics<'a> {
    pub fn of(model: &'a Model) -> Result<Self, TrimError> {
        let state = model.rolling_state(0.0);
        let rest = model.evaluate(&state, &Inputs::coasting());
        let loads = rest.contacts.map(|c| c.load);
        let [front, rear] = ends(model, &rest);
        let gravity_arm = gravity_arm(model, &state, front.roll() + rear.roll());
        let [roll_gradient, understeer_gradient] = gradients(model)?;
        Ok(Statics {
            front_ride: ride(model, &front, &loads, 0),
            rear_ride: ride(model, &rear, &loads, 2),
            roll_with_tires: [
                roll_with_tires(model, &front, 0),
                roll_with_tires(model, &rear, 2),
            ],
            model,
            state,
            loads,
            weight: loads.iter().sum(),
            front,
            rear,
            gravity_arm,
            roll_gradient,
            understeer_gradient,
        })
    }

    /// Slope of the line from the contact to the center of mass over the wheelbase, h/L `[-]`.
    pub fn height_over_wheelbase(&self) -> f64 {
        self.model.numbers.chassis.height / self.model.geometry.wheelbase
    }
}

/// Roll and understeer gradient, from two equilibria at one speed.
fn gradients(model: &Model) -> Result<[f64; 2], TrimError> {
    let chassis = &model.numbers.chassis;
    let (speed, [a, b]) = (GRADIENT_SPEED, GRADIENT_ACCELERATIONS);
    let one = solve(model, Condition::cornering(speed, a))?;
    let two = solve(model, Condition::cornering(speed, b))?;
    let roll = |t: &Trim| t.state[ATTITUDE + 2];
    let roll_gradient = (roll(&two) - roll(&one)) / (b - a);
    // At constant speed the Ackermann steer is L/V^2 per a_y.
    let steer = |t: &Trim| t.inputs.steering_wheel * chassis.steering.gain;
    let understeer =
        (steer(&two) - steer(&one)) / (b - a) - model.geometry.wheelbase / (speed * speed);
    Ok([roll_gradient, understeer])
}

/// Ride of the end whose wheels start at number `i`.
fn ride(model: &Model, end: &EndStatics, loads: &[f64; 4], i: usize) -> Ride {
    let g = model.numbers.chassis.gravity;
    let tire = model.wheels()[i].tire.vertical_stiffness;
    let rate = end.wheel_rate * tire / (end.wheel_rate + tire);
    let carried = (loads[i] + loads[i + 1]) / (2.0 * g) - end.unsprung;
    Ride {
        rate,
        frequency: (rate / carried).sqrt() / std::f64::consts::TAU,
        damping_ratio: end.damping / (2.0 * (end.wheel_rate * carried).sqrt()),
    }
}

/// Roll stiffness of an end with its tires in series.
fn roll_with_tires(model: &Model, end: &EndStatics, i: usize) -> f64 {
    let tire = model.wheels()[i].tire.vertical_stiffness * end.track * end.track / 2.0;
    end.roll() * tire / (end.roll() + tire)
}
