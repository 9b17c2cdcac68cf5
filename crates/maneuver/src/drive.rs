//! Driving a model along a schedule with fixed steps.

use std::ops::ControlFlow;

use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ATTITUDE, Inputs, RATE, SPIN, STATES, VELOCITY};
use axletree_vehicle::model::{Flat, Road};

use crate::channels::Moment;
use crate::interrupt::Interrupt;
use crate::outcome::{Ending, Outcome};
use crate::stepping::rk4_run;
use crate::trace::Recorder;

/// The step of sweeps [s].
///
/// What bounds it is stability, 2.78 over the fastest rate: the lag of the compliances, 500/s, and the
/// slip memory of a contact that slides at speed, about 600/s at 50 m/s. Every metric of the step steer
/// then agrees with the adaptive reference at 1e-10 to a tenth of what is asked, 0.1 % or the metric's
/// floor; a test says so.
pub const FIXED_STEP: f64 = 0.004;

/// What the controls do at one moment.
#[derive(Clone, Copy, Debug)]
pub struct Action<const K: usize> {
    /// Inputs of the car.
    pub inputs: Inputs<f64>,
    /// Rates of the controls' own states.
    pub own_rate: [f64; K],
}

/// Whoever or whatever drives: a function from time, car and own states (hands, integrals) to the
/// car's inputs and the rates of the own states.
pub trait Controls<const K: usize> {
    /// What is done at a time. Jumps and kinks in time must be breaks of the schedule; at a break the
    /// answer is the one that holds after it (steps that end there ask for a time a hair before).
    fn act(&self, time: f64, car: &[f64; STATES], own: &[f64; K]) -> Action<K>;

    /// Whether the run is over for a reason of the controls' own.
    fn judge(&self, _moment: &Moment<'_>, _own: &[f64; K]) -> Option<Outcome> {
        None
    }
}

/// When to do what.
#[derive(Clone, Copy, Debug)]
pub struct Schedule<'a> {
    /// Start, every time at which an input has a jump or a kink, end [s], rising.
    pub breaks: &'a [f64],
    /// Longest step [s]; between two breaks the steps are equal. A car with a shorter lag of its
    /// compliances is driven in shorter steps.
    pub longest_step: f64,
    /// A sample is recorded every so many steps, and at every break.
    pub sample_every: usize,
}

/// Where the model stops being valid, or the run pointless.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Validity {
    /// Largest magnitude of the sideslip angle [rad].
    pub sideslip: f64,
    /// Largest magnitude of the roll angle [rad].
    pub roll: f64,
    /// Least speed [m/s].
    pub speed: f64,
    /// How long both wheels of a side may be off the road [s]: a bump throws them up for a moment.
    pub lift: f64,
}

impl Default for Validity {
    fn default() -> Self {
        Validity {
            // Beyond this no driver gets a car back; common practice, no source.
            sideslip: 60f64.to_radians(),
            // The suspension's curves say nothing about a car that lies half on its side.
            roll: 40f64.to_radians(),
            // Angles of a car that hardly moves mean nothing.
            speed: 1.0,
            lift: 0.0,
        }
    }
}

/// Longest step over the lag of the compliances: 2.78 is where the method stops being stable.
const STEP_OVER_LAG: f64 = 2.2;
/// How often the wheels' loads are looked at [s].
const LIFT_LOOK: f64 = 0.02;
/// How often the caller is asked whether to stop [s].
const ASK: f64 = 0.1;

/// Where a drive ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drive<const N: usize> {
    /// Why and when.
    pub ending: Ending,
    /// The last finite state of car and controls.
    pub state: [f64; N],
}

/// State of car and controls as one array.
///
/// # Panics
/// If N is not the sum of the two lengths.
pub fn join<const K: usize, const N: usize>(car: &[f64; STATES], own: &[f64; K]) -> [f64; N] {
    assert_eq!(N, STATES + K);
    let mut x = [0.0; N];
    x[..STATES].copy_from_slice(car);
    x[STATES..].copy_from_slice(own);
    x
}

/// The two parts of a joined state.
#[inline(always)]
pub fn split<const K: usize, const N: usize>(x: &[f64; N]) -> (&[f64; STATES], &[f64; K]) {
    let (car, own) = x.split_at(STATES);
    let both = (car.try_into(), own.try_into());
    match both {
        (Ok(car), Ok(own)) => (car, own),
        _ => panic!("{N} states are not {STATES} of a car and {K} of controls"),
    }
}

/// The rate of car and controls together on a flat road.
#[inline(always)]
pub fn joint_rate<const K: usize, const N: usize>(
    model: &Model,
    controls: &impl Controls<K>,
    time: f64,
    x: &[f64; N],
) -> [f64; N] {
    joint_rate_on(model, &Flat, controls, time, x)
}

/// The same on a road.
#[inline(always)]
pub fn joint_rate_on<const K: usize, const N: usize>(
    model: &Model,
    road: &dyn Road<f64>,
    controls: &impl Controls<K>,
    time: f64,
    x: &[f64; N],
) -> [f64; N] {
    let (car, own) = split(x);
    let action = controls.act(time, car, own);
    let rate = model.evaluate_on(car, &action.inputs, road).rate;
    join(&rate, &action.own_rate)
}

/// Drives from the joined state `start` through the schedule on a flat road; records on the way; stops
/// where the model stops being valid, where the controls say so and where the caller asks for it.
pub fn drive<const K: usize, const N: usize>(
    model: &Model,
    controls: &impl Controls<K>,
    start: [f64; N],
    schedule: &Schedule<'_>,
    recorder: &mut Recorder,
    validity: &Validity,
    interrupt: Interrupt<'_>,
) -> Drive<N> {
    drive_on(
        model, &Flat, controls, start, schedule, recorder, validity, interrupt,
    )
}

/// The same on a road.
pub fn drive_on<const K: usize, const N: usize>(
    model: &Model,
    road: &dyn Road<f64>,
    controls: &impl Controls<K>,
    start: [f64; N],
    schedule: &Schedule<'_>,
    recorder: &mut Recorder,
    validity: &Validity,
    interrupt: Interrupt<'_>,
) -> Drive<N> {
    let breaks = schedule.breaks;
    let (begin, end) = (breaks[0], breaks[breaks.len() - 1]);
    let longest_step = schedule
        .longest_step
        .min(STEP_OVER_LAG * model.numbers.chassis.lag);
    let mut ended: Option<Ending> = None;
    let mut x = start;
    let mut last = start;
    let (mut looked, mut asked) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
    let mut lifted_since = f64::INFINITY;
    for pair in breaks.windows(2) {
        let span = pair[1] - pair[0];
        if span <= 0.0 {
            continue;
        }
        // What holds after the break must not leak into the last stage of the step that ends on it.
        let inside = pair[1].next_down();
        let mut rate =
            |t: f64, x: &[f64; N]| joint_rate_on(model, road, controls, t.min(inside), x);
        let steps = (span / longest_step - 1e-9).ceil().max(1.0) as usize;
        let (_, to, flow) = rk4_run(
            &mut rate,
            (pair[0], pair[1]),
            &x,
            steps,
            &mut |i, t, x, k| {
                if let Some(outcome) = not_finite(x, k) {
                    ended = Some(Ending { outcome, time: t });
                    return ControlFlow::Break(());
                }
                last = *x;
                let (car, own) = split::<K, N>(x);
                let action = controls.act(t, car, own);
                let (car_rate, _) = split::<K, N>(k);
                let moment = Moment {
                    time: t,
                    state: car,
                    rate: car_rate,
                    inputs: &action.inputs,
                };
                if i % schedule.sample_every == 0 || i == steps {
                    recorder.record_on(model, road, &moment);
                }
                let mut outcome = judge(&moment, validity).or_else(|| controls.judge(&moment, own));
                if outcome.is_none() && t - looked >= LIFT_LOOK {
                    looked = t;
                    outcome = two_wheel_lift(model, road, &moment);
                    lifted_since = outcome.map_or(f64::INFINITY, |_| lifted_since.min(t));
                    outcome = outcome.filter(|_| t - lifted_since >= validity.lift);
                }
                if outcome.is_none() && t - asked >= ASK {
                    asked = t;
                    interrupt.tell((t - begin) / (end - begin));
                    outcome = interrupt.stopped().then_some(Outcome::Interrupted);
                }
                if let Some(outcome) = outcome {
                    recorder.record_on(model, road, &moment);
                    ended = Some(Ending { outcome, time: t });
                    return ControlFlow::Break(());
                }
                ControlFlow::Continue(())
            },
        );
        if flow.is_break() {
            break;
        }
        x = to;
    }
    Drive {
        ending: ended.unwrap_or(Ending::completed(end)),
        state: last,
    }
}

/// Names the first group of states that is not finite.
fn not_finite<const N: usize>(x: &[f64; N], k: &[f64; N]) -> Option<Outcome> {
    let bad = x.iter().zip(k).position(|(a, b)| !(a + b).is_finite())?;
    let channel = match bad {
        ..ATTITUDE => "position",
        i if i < VELOCITY => "attitude",
        i if i < RATE => "velocity",
        i if i < SPIN => "rate",
        i if i < STATES => "wheels",
        _ => "controls",
    };
    Some(Outcome::NotFinite { channel })
}

fn judge(moment: &Moment<'_>, validity: &Validity) -> Option<Outcome> {
    let roll = moment.state[ATTITUDE + 2];
    if roll.abs() > validity.roll {
        return Some(Outcome::RolledOver { roll });
    }
    let speed = moment.speed();
    if speed < validity.speed {
        return Some(Outcome::Stopped { speed });
    }
    let sideslip = moment.sideslip();
    (sideslip.abs() > validity.sideslip).then_some(Outcome::Spun { sideslip })
}

fn two_wheel_lift(model: &Model, road: &dyn Road<f64>, moment: &Moment<'_>) -> Option<Outcome> {
    let contacts = model
        .evaluate_on(moment.state, moment.inputs, road)
        .contacts;
    for (left, wheels) in [(true, [0, 2]), (false, [1, 3])] {
        if wheels.iter().all(|&w: &usize| contacts[w].load <= 0.0) {
            return Some(Outcome::TwoWheelLift { left });
        }
    }
    None
}
