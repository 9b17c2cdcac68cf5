//! What is read off a closed orbit.

use axletree_scalar::Real;
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, STATES, VELOCITY};

use super::orbit::{Lap, Period};
use super::plant::{self, CRUISE, HANDS, State, TIME};
use super::result::{Limit, Rhythm};
use super::search::Found;
use super::settings::Slalom;
use axletree_simulation::channels::Moment;
use axletree_simulation::trace::{Recorder, Trace};

/// Records one point of the grid: a state, the steering and the speed wanted there.
pub fn record(period: &Period, recorder: &mut Recorder, state: &State, speed: f64, wanted: f64) {
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

/// The orbit's summary and its channels.
pub fn summarize(period: &Period, found: &Found) -> Option<(Rhythm, Trace)> {
    let lap: &Lap = &found.lap;
    let steering = period.steering(lap);
    let mut recorder = Recorder::everything();
    let mut start = [0.0; STATES];
    start.copy_from_slice(&lap.start[..STATES]);
    let [a, b, c, d, sideslip, power] = found.multipliers;
    let mut rhythm = Rhythm {
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
        multipliers: [a + b, c + d, sideslip, power],
        start,
        hands: lap.start[HANDS],
        cruise: lap.start[CRUISE],
        open: lap.open,
    };
    let (mut work, mut time) = (0.0, 0.0);
    let (mut left, mut right) = (f64::NEG_INFINITY, f64::INFINITY);
    let most = |seen: &mut f64, x: f64| *seen = seen.max(x.abs());
    period.lap_seen(&lap.begin(), &mut |i, point| {
        let x = &point.state.all();
        let wanted = steering.wanted(x[POSITION]);
        record(period, &mut recorder, x, lap.design.speed, wanted);
        let inputs = period.plant.act(x, lap.design.speed, wanted).inputs;
        let mut car = [0.0; STATES];
        car.copy_from_slice(&x[..STATES]);
        let observed = period.plant.model.observe(&car, &inputs);
        let (seen, evaluation) = (observed.observation, observed.evaluation);
        most(&mut rhythm.hand_rate, inputs.steering_wheel_rate);
        most(&mut rhythm.steering_wheel_angle, x[HANDS]);
        most(
            &mut rhythm.steering_wheel_torque,
            seen.steering_wheel_torque,
        );
        most(&mut rhythm.sideslip, plant::sideslip(x));
        most(&mut rhythm.lateral_acceleration, seen.lateral_acceleration);
        most(&mut rhythm.roll, x[ATTITUDE + 2]);
        for contact in &evaluation.contacts {
            rhythm.least_load = rhythm.least_load.min(contact.load);
        }
        rhythm.least_speed = rhythm.least_speed.min(x[VELOCITY]);
        (left, right) = (left.max(x[POSITION + 1]), right.min(x[POSITION + 1]));
        // Over time; both ends of the period are the same point.
        if i < period.steps {
            let rate = point.rate.at(TIME);
            work += Real::sq(seen.steering_wheel_torque) * rate;
            time += rate;
        }
    })?;
    rhythm.steering_effort = (work / time).sqrt();
    rhythm.path_amplitude = 0.5 * (left - right);
    Some((rhythm, recorder.finish()))
}

/// The share of a soft bound from which it counts as reached.
const REACHED: f64 = 0.85;
/// A multiplier below this is nothing [1/s].
const NOTHING: f64 = 0.05;

/// What limited the speed.
pub fn limit(slalom: &Slalom, rhythm: &Rhythm) -> Limit {
    let [_, _, sideslip, power] = rhythm.multipliers;
    if rhythm.steering_wheel_angle > REACHED * slalom.steering_lock {
        Limit::SteeringLock
    } else if power > NOTHING {
        Limit::Power
    } else if sideslip > NOTHING {
        Limit::Sideslip
    } else if rhythm.hand_rate > REACHED * slalom.hand_rate {
        Limit::SteeringRate
    } else if rhythm.least_load <= 0.0 {
        Limit::WheelLift
    } else {
        Limit::Cone
    }
}
