//! Quantities of a closed orbit.

use axletree_scalar::Real;
use axletree_simulation::channels::Moment;
use axletree_simulation::{MOST_SAMPLES, Recorder, Trace};
use axletree_vehicle::model::Observed;
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, STATES, VELOCITY};

use super::super::result::OrbitSummary;
use super::orbit::{CONSTRAINTS, Lap, Period};
use super::plant::{CRUISE, HANDS, PlantState, TIME, sideslip};

/// Records one point of the grid: a state, the speed and the steering-wheel angle wanted there.
pub(crate) fn record(
    period: &Period,
    recorder: &mut Recorder,
    state: &PlantState,
    speed: f64,
    wanted: f64,
) {
    let all = period.plant.rate_in_time(state, speed, wanted);
    let inputs = period.plant.act(state, speed, wanted).inputs;
    let (mut car, mut rate) = ([0.0; STATES], [0.0; STATES]);
    car.copy_from_slice(&state[..STATES]);
    rate.copy_from_slice(&all[..STATES]);
    recorder.record(
        period.plant.model,
        &Moment {
            time: state[TIME],
            state: &car,
            rate: &rate,
            inputs: &inputs,
        },
    );
}

/// Summary of an orbit and its channels over one period; `multipliers` are those of the search's
/// constraints.
pub(crate) fn summarize(
    period: &Period,
    lap: &Lap,
    multipliers: &[f64; CONSTRAINTS],
) -> Option<(OrbitSummary, Trace)> {
    let steering = period.steering(lap);
    let mut recorder = Recorder::everything();
    let mut start = [0.0; STATES];
    start.copy_from_slice(&lap.start[..STATES]);
    let [a, b, c, d, sideslip_guard, power_guard] = *multipliers;
    let mut orbit = OrbitSummary {
        margins: lap.margins(),
        hand_rate: 0.0,
        steering_wheel_angle: 0.0,
        steering_wheel_torque: 0.0,
        steering_effort: 0.0,
        sideslip: 0.0,
        lateral_acceleration: 0.0,
        roll: 0.0,
        least_load: f64::INFINITY,
        least_speed: f64::INFINITY,
        path_amplitude: 0.0,
        multipliers: [a + b, c + d, sideslip_guard, power_guard],
        start,
        hands: lap.start[HANDS],
        cruise: lap.start[CRUISE],
        open: lap.open,
    };
    let (mut work, mut time) = (0.0, 0.0);
    let (mut left, mut right) = (f64::NEG_INFINITY, f64::INFINITY);
    let raise = |largest: &mut f64, x: f64| *largest = largest.max(x.abs());
    let stride = period.grid.steps / MOST_SAMPLES + 1;
    period.lap_observed(&lap.period_start(), &mut |i, point| {
        let x = &point.state.all();
        let wanted = steering.command(x[POSITION]);
        if i.is_multiple_of(stride) || i == period.grid.steps {
            record(period, &mut recorder, x, lap.design.speed, wanted);
        }
        let inputs = period.plant.act(x, lap.design.speed, wanted).inputs;
        let mut car = [0.0; STATES];
        car.copy_from_slice(&x[..STATES]);
        let Observed {
            observation: observed,
            evaluation,
        } = period.plant.model.observe(&car, &inputs);
        raise(&mut orbit.hand_rate, inputs.steering_wheel_rate);
        raise(&mut orbit.steering_wheel_angle, x[HANDS]);
        raise(
            &mut orbit.steering_wheel_torque,
            observed.steering_wheel_torque,
        );
        raise(&mut orbit.sideslip, sideslip(x));
        raise(
            &mut orbit.lateral_acceleration,
            observed.lateral_acceleration,
        );
        raise(&mut orbit.roll, x[ATTITUDE + 2]);
        for contact in &evaluation.contacts {
            orbit.least_load = orbit.least_load.min(contact.load);
        }
        orbit.least_speed = orbit.least_speed.min(x[VELOCITY]);
        (left, right) = (left.max(x[POSITION + 1]), right.min(x[POSITION + 1]));
        // Over time; both ends of the period are the same point.
        if i < period.grid.steps {
            let rate = point.rate.at(TIME);
            work += Real::sq(observed.steering_wheel_torque) * rate;
            time += rate;
        }
    })?;
    orbit.steering_effort = (work / time).sqrt();
    orbit.path_amplitude = 0.5 * (left - right);
    Some((orbit, recorder.finish()))
}
