//! Where the search starts: every car by the same rule, never from another car's answer.
//!
//! ```text
//! V = share (S/pi) sqrt(a_y/A),   path y = A cos(pi X/S),   A = 1.16 (half width + cone)
//! ```
//!
//! with a_y the sum of the tires' friction at rest over the mass. Steering and state follow from the
//! car's own linear response at that speed and frequency: that takes the steering's lead from the car
//! instead of from a rule of thumb.

use std::f64::consts::PI;

use axletree_vehicle::model::Inputs;
use axletree_vehicle::model::layout::{POSITION, STATES};
use axletree_vehicle::trim::{self, Condition, Trim};
use axletree_vehicle::{Linearization, linearize};
use nalgebra::{Complex, DVector};

use super::orbit::{Design, Start};
use super::plant::{CRUISE, HANDS, LENGTH, Plant, State};
use super::settings::Slalom;

/// Path amplitude over half the width and a cone's radius [-].
const DETOUR: f64 = 1.16;

/// Lateral acceleration that the tires' friction allows at the loads of rest [m/s^2].
pub fn grip(plant: &Plant, friction: f64) -> f64 {
    let model = plant.model;
    let rest = model.evaluate(&model.rolling_state(0.0), &Inputs::coasting());
    let force: f64 = model
        .wheels()
        .iter()
        .zip(&rest.contacts)
        .map(|(w, c)| w.tire.contact(c.load, 0.0, friction).peak[1])
        .sum();
    force / model.mass()
}

/// The path's amplitude at the start of the search [m].
pub fn amplitude(plant: &Plant, slalom: &Slalom) -> f64 {
    DETOUR * (0.5 * plant.model.geometry.width + slalom.cone_radius)
}

/// Straight running at a speed.
pub fn straight(plant: &Plant, slalom: &Slalom, speed: f64) -> Option<Trim> {
    trim::solve(
        plant.model,
        Condition {
            friction: slalom.friction,
            ..Condition::straight(speed)
        },
    )
    .ok()
}

/// State of car and driver in straight running.
pub fn straight_state(plant: &Plant, trim: &Trim) -> State {
    let mut state = [0.0; LENGTH];
    state[..STATES].copy_from_slice(&trim.state);
    state[HANDS] = trim.inputs.steering_wheel;
    state[CRUISE] = plant.integral_for(trim.inputs.drive_torque);
    state
}

/// Design, steering constant and state of the linear car on the path.
pub fn linear_start(
    plant: &Plant,
    slalom: &Slalom,
    lin: &Linearization,
    harmonics: usize,
) -> Option<Start> {
    let speed = lin.trim.condition.speed;
    let omega = PI * speed / slalom.spacing;
    let s = Complex::new(0.0, omega);
    // Response of every state to the steering wheel; angle and rate move together.
    let mut system = lin.a.map(|x| Complex::new(-x, 0.0));
    for i in 0..STATES {
        system[(i, i)] += s;
    }
    let by_wheel = DVector::from_fn(STATES, |i, _| {
        Complex::new(lin.b[(i, 0)], 0.0) + s * lin.b[(i, 1)]
    });
    let response = system.lu().solve(&by_wheel)?;
    let wheel = Complex::new(amplitude(plant, slalom), 0.0) / response[POSITION + 1];
    // The hands follow the command with their lag.
    let command = wheel * (Complex::new(1.0, 0.0) + s * slalom.neuromuscular_lag);
    let gain = plant.model.numbers.chassis.steering.gain;
    let mut amplitudes = vec![[0.0; 2]; harmonics];
    amplitudes[0] = [command.re * gain, -command.im * gain];
    // A quarter of a cycle before the cone.
    let then = wheel * Complex::new(0.0, -1.0);
    let mut state = straight_state(plant, &lin.trim);
    for i in 0..STATES {
        state[i] += (response[i] * then).re;
    }
    state[HANDS] += then.re;
    state.iter().all(|x| x.is_finite()).then_some(())?;
    let constant = lin.trim.inputs.steering_wheel * gain;
    Some(Start {
        design: Design {
            speed,
            offset: state[POSITION + 1],
            amplitudes,
        },
        constant,
        state,
    })
}

/// Linearization of straight running.
pub fn linear(plant: &Plant, slalom: &Slalom, speed: f64) -> Option<Linearization> {
    Some(linearize(plant.model, &straight(plant, slalom, speed)?))
}
