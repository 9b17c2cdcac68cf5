//! Driving models along schedules with fixed steps.
//!
//! - `run`: one car's way through its schedule: steps, breaks, records, endings.
//! - [`together`]: many cars side by side.
//!
//! A car driven with others computes the same bits as one driven alone.

mod run;
pub mod together;

use axletree_scalar::lanes::{Work, fused};
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{Inputs, STATES};
use axletree_vehicle::model::{Flat, Road};

use crate::channels::Moment;
use crate::outcome::{Ending, Outcome};
use crate::trace::Recorder;
use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::stepping::lagged_step;
use run::{Next, Run};

pub use together::{Job, drive_together};

/// The step of sweeps [s].
///
/// Every metric of the step steer then agrees with the adaptive reference at 1e-10 to a twentieth of what is
/// asked, 0.1 % or the metric's floor.
pub const FIXED_STEP: f64 = 0.004;

/// The longest step of the step steer [s].
///
/// Stability would allow a little more, see [`step_at`]. Every metric then agrees with the adaptive reference at
/// 1e-10 to a quarter of what is asked, 0.1 % or the metric's floor, from 10 to 55 m/s; a test says so.
pub const LONGEST_STEP: f64 = 0.005;

/// Fixed step times fastest rate that is not a pure lag (those are taken exactly): 2.78 is where the method
/// stops being stable for what decays, 2.83 for what swings.
const STEP_TIMES_RATE: f64 = 2.6;

/// The step that a car of stiff shafts or a light driveline allows: the one asked for, or a shorter one [s].
/// `engine` says whether engine and clutch move.
pub fn step_for(model: &Model, asked: f64, engine: bool) -> f64 {
    let line = &model.numbers.chassis.driveline;
    let spin = model.wheels().map(|wheel| wheel.spin_inertia);
    let spin = spin[2].min(spin[3]);
    let gears = model
        .gears
        .iter()
        .filter(|_| engine)
        .map(|gear| Some(*gear));
    let rates = gears
        .chain([None])
        .map(|gear| line.fastest_rate(spin, gear));
    asked.min(STEP_TIMES_RATE / rates.fold(0.0, f64::max))
}

/// The same for a car that drives at up to a speed [m/s], whatever its tires do: the slip memory is the
/// faster, the faster the wheels roll, and a contact that slides turns its force within the time of the
/// belt.
pub fn step_at(model: &Model, asked: f64, engine: bool, speed: f64) -> f64 {
    let memory = model.wheels().map(|wheel| wheel.tire.fastest_memory(speed));
    let fastest = memory.into_iter().fold(0.0, f64::max);
    step_for(model, asked, engine).min(STEP_TIMES_RATE / fastest)
}

pub use axletree_vehicle::model::layout::LAGS;

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
    /// Longest step [s]; between two breaks the steps are equal.
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

/// Where a drive ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drive<const N: usize> {
    /// Why and when.
    pub ending: Ending,
    /// The last finite state of car and controls.
    pub state: [f64; N],
    /// Steps taken, of four evaluations each.
    pub steps: usize,
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

/// What the controls do at a time and a joined state.
#[inline(always)]
pub fn act<C: Controls<K>, const K: usize, const N: usize>(
    controls: &C,
    time: f64,
    x: &[f64; N],
) -> Action<K> {
    let (car, own) = split::<K, N>(x);
    fused(Acting {
        controls,
        time,
        car,
        own,
    })
}

/// Controls asked by a processor that fuses products and sums where this is one: drivers' equations are
/// numbers' work too.
struct Acting<'a, C, const K: usize> {
    controls: &'a C,
    time: f64,
    car: &'a [f64; STATES],
    own: &'a [f64; K],
}

impl<C: Controls<K>, const K: usize> Work for Acting<'_, C, K> {
    type Out = Action<K>;
    #[inline(always)]
    fn run(self) -> Action<K> {
        self.controls.act(self.time, self.car, self.own)
    }
}

/// Judging for the same reason.
struct Judging<'a, C, const K: usize> {
    controls: &'a C,
    moment: &'a Moment<'a>,
    own: &'a [f64; K],
}

impl<C: Controls<K>, const K: usize> Work for Judging<'_, C, K> {
    type Out = Option<Outcome>;
    #[inline(always)]
    fn run(self) -> Option<Outcome> {
        self.controls.judge(self.moment, self.own)
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
    let action = act(controls, time, x);
    let car = split::<K, N>(x).0;
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
    let lags = LAGS;
    let mut run = Run::new(model, schedule, start);
    let mut x = start;
    loop {
        let action = act(controls, run.time(0), &x);
        let car = split::<K, N>(&x).0;
        let seen = model.evaluate_on(car, &action.inputs, road);
        let k1: [f64; N] = join(&seen.rate, &action.own_rate);
        let loads = seen.contacts.map(|c| c.load);
        let next = run.arrive(
            controls,
            &action,
            &x,
            &k1,
            loads,
            schedule,
            validity,
            interrupt,
            &mut |moment| {
                // At a break the inputs may be others.
                if *moment.inputs == action.inputs {
                    recorder.record_seen(model, moment, Some(&seen));
                } else {
                    recorder.record_on(model, road, moment);
                }
            },
        );
        match next {
            Next::Step => {
                let mut rate = |halves: usize, x: &[f64; N]| {
                    joint_rate_on(model, road, controls, run.time(halves), x)
                };
                x = lagged_step(&mut rate, &lags, run.weights(), &x, &k1);
                run.stepped();
            }
            Next::Break => {}
            Next::Done => break,
        }
    }
    run.finish()
}
