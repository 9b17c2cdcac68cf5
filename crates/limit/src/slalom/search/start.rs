//! First orbit of a car: every car starts by the same rule, never from another car's answer, so
//! that a sweep does not depend on its order.
//!
//! ```text
//! V = share (S/pi) sqrt(a_y/A),   path y = A cos(pi X/S),   A = 1.16 (half width + cone radius)
//! ```
//!
//! a_y is the sum of the tires' friction at rest over the mass. With the linear response `G(s)` of
//! the car's states to the steering wheel, linearized in straight running, and `s = j pi V/S`, the
//! steering wheel is `A/G_y(s)` and the states are `G(s) A/G_y(s)`: the steering's lead follows
//! from the car instead of from a rule of thumb. The command leads the wheel by the lag tau of the
//! hands, `1 + s tau`.

use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::driver::available_torque;
use axletree_simulation::{Gap, Outcome};
use axletree_vehicle::Linearization;
use axletree_vehicle::Model;
use axletree_vehicle::model::Inputs;
use axletree_vehicle::model::layout::{POSITION, SPIN, STATES};
use nalgebra::{Complex, DVector};

use super::super::geometry::SlalomGeometry;
use super::super::period::{
    HANDS, Lap, OrbitDesign, Period, PeriodStart, Plant, Sensitivity, close_from_rough_start,
};
use super::super::settings::Slalom;

/// Path amplitude at the start over the offset that grazes a cone `[-]`.
const AMPLITUDE_RATIO: f64 = 1.16;
/// Shares of the grip's speed that are tried for a start `[-]`.
const GRIP_SHARES: [f64; 4] = [0.85, 0.7, 0.55, 0.4];
/// Gap to which the first orbit is closed `[largest unit of the slow states]`.
const START_GAP: f64 = 1e-4;
/// Share of the driveline's bound that straight running may take at the start `[-]`: the rest is
/// for the resistance of the slalom.
const START_TORQUE_SHARE: f64 = 0.6;
/// Factor between the speeds tried for that share `[-]`, their largest number, and the least speed
/// `[m/s]`.
const SLOWER_FACTOR: f64 = 0.85;
const SPEEDS_TRIED: usize = 20;
const LEAST_SPEED: f64 = 1.0;

/// Period of a car with a closed orbit.
pub(crate) struct StartedSearch<'a> {
    /// The period.
    pub period: Period<'a>,
    /// The orbit.
    pub closed: (Lap, Sensitivity),
}

/// Lateral acceleration that the tires' friction allows at the loads of rest `[m/s^2]`.
fn grip(plant: &Plant) -> f64 {
    let model = plant.model;
    let rest = model.evaluate(&model.rolling_state(0.0), &Inputs::coasting());
    let force: f64 = model
        .wheels()
        .iter()
        .zip(&rest.contacts)
        .map(|(w, c)| w.tire.contact(c.load, 0.0, plant.friction()).peak[1])
        .sum();
    force / model.mass()
}

/// Amplitude of the path at the start of the search, A `[m]`.
fn amplitude(plant: &Plant, geometry: &SlalomGeometry) -> f64 {
    AMPLITUDE_RATIO * geometry.grazing_offset(plant.model.geometry.width)
}

/// Design, steering constant and state of the linear car on the path; none where the response is
/// singular.
pub(crate) fn linear_start(
    plant: &Plant,
    slalom: &Slalom,
    lin: &Linearization,
) -> Option<PeriodStart> {
    let geometry = SlalomGeometry::of(slalom);
    let speed = lin.trim.condition.speed;
    let s = Complex::new(0.0, geometry.angular_frequency(speed));
    // Response of every state to the steering wheel; angle and rate move together.
    let mut system = lin.a.map(|x| Complex::new(-x, 0.0));
    for i in 0..STATES {
        system[(i, i)] += s;
    }
    let by_wheel = DVector::from_fn(STATES, |i, _| {
        Complex::new(lin.b[(i, 0)], 0.0) + s * lin.b[(i, 1)]
    });
    let response = system.lu().solve(&by_wheel)?;
    let wheel = Complex::new(amplitude(plant, &geometry), 0.0) / response[POSITION + 1];
    let command = wheel * (Complex::new(1.0, 0.0) + s * plant.hand_lag());
    let gain = plant.steering_gain();
    let mut amplitudes = vec![[0.0; 2]; slalom.harmonics];
    amplitudes[0] = [command.re * gain, -command.im * gain];
    // A quarter of a cycle before the cone.
    let then = wheel * Complex::new(0.0, -1.0);
    let mut state = plant.straight_state(&lin.trim);
    for i in 0..STATES {
        state[i] += (response[i] * then).re;
    }
    state[HANDS] += then.re;
    state.iter().all(|x| x.is_finite()).then_some(())?;
    let constant = lin.trim.inputs.steering_wheel * gain;
    Some(PeriodStart {
        design: OrbitDesign {
            speed,
            offset: state[POSITION + 1],
            amplitudes,
        },
        constant,
        state,
    })
}

/// Linearization of straight running at a speed `[m/s]`, or at the highest one below that leaves
/// the driveline room.
fn affordable(plant: &Plant, wanted: f64) -> Result<Linearization, Outcome> {
    let driveline = &plant.model.numbers.chassis.driveline;
    let mut speed = wanted;
    let mut outcome = Outcome::NoSteadyState {
        speed,
        lateral_acceleration: 0.0,
    };
    for _ in 0..SPEEDS_TRIED {
        let Some(lin) = plant.straight(speed) else {
            return Err(outcome);
        };
        let omega = 0.5 * (lin.trim.state[SPIN + 2] + lin.trim.state[SPIN + 3]);
        let most = available_torque(driveline.peak_torque, driveline.peak_power, omega);
        let torque = lin.trim.inputs.drive_torque;
        if torque - START_TORQUE_SHARE * most <= 0.0 {
            return Ok(lin);
        }
        outcome = Outcome::NotEnoughPower {
            speed,
            missing_torque: Some(torque - most),
        };
        speed *= SLOWER_FACTOR;
        if speed < LEAST_SPEED {
            break;
        }
    }
    Err(outcome)
}

/// First closed orbit: at a share of the speed that the tires' grip allows times `speed_factor`, at
/// most at `most_speed` `[m/s]`, slower where the car is weak.
///
/// # Errors
/// The outcome of the last start tried.
pub(crate) fn first_orbit<'a>(
    slalom: &Slalom,
    model: &'a Model,
    most_speed: f64,
    speed_factor: f64,
    interrupt: Interrupt<'_>,
) -> Result<StartedSearch<'a>, Outcome> {
    let plant = Plant::new(model, slalom);
    let geometry = SlalomGeometry::of(slalom);
    let by_grip = geometry.sine_speed(grip(&plant), amplitude(&plant, &geometry));
    let mut failure = Outcome::NotConverged {
        passes: 0,
        gap: Gap::NoStart,
    };
    for share in GRIP_SHARES {
        if interrupt.stopped() {
            return Err(Outcome::Interrupted);
        }
        let wanted = (speed_factor * share * by_grip)
            .min(most_speed)
            .max(LEAST_SPEED);
        let lin = match affordable(&plant, wanted) {
            Ok(lin) => lin,
            Err(outcome) => {
                failure = outcome;
                continue;
            }
        };
        let Some(start) = linear_start(&plant, slalom, &lin) else {
            continue;
        };
        let step = plant.step(slalom.step) * start.design.speed;
        let period = Period::new(plant.clone(), slalom, step);
        match close_from_rough_start(&period, &start, START_GAP) {
            Ok(closed) => return Ok(StartedSearch { period, closed }),
            Err(not_closed) => {
                failure = Outcome::NotConverged {
                    passes: not_closed.rounds,
                    gap: Gap::Closure(not_closed.open),
                };
            }
        }
    }
    Err(failure)
}
