//! Integration of a car and its controls along a schedule.
//!
//! - [`Integrator`]: fixed steps, or adaptive ones between the points of the same time grid.
//! - `state`: progress of one car through its schedule: steps, breaks, records, ending.
//! - [`drive_batch`]: many cars side by side.
//!
//! The state x of the car's [`STATES`] and the controls' own K states are integrated as one array,
//! `x' = f(t, x)` with `f` from [`joint_rate_on`]. A car driven with others computes the same bits as
//! one driven alone.

mod batch;
mod integrator;
mod state;

use axletree_scalar::{FusedTask, fused};
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{Inputs, STATES};
use axletree_vehicle::model::{Flat, Road};

use crate::channels::Moment;
use crate::outcome::{Ending, Outcome};
use crate::trace::Recorder;
use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::stepping::lagged_step;
use integrator::adaptive_grid_step;
use state::{DriveState, Next};

pub use batch::{Job, drive_batch};
pub use integrator::{ADAPTIVE_TOLERANCE, Integrator};

/// Step of sweeps `[s]`.
///
/// Every metric of the step steer then agrees with the adaptive integrator at 1e-10 to a twentieth of
/// the tolerance, 0.1 % or the metric's floor.
pub const FIXED_STEP: f64 = 0.004;

/// Longest step of the step steer `[s]`.
///
/// Stability would allow a little more, see [`step_at`]. Every metric then agrees with the adaptive
/// integrator at 1e-10 to a quarter of the tolerance, 0.1 % or the metric's floor, from 10 to 55 m/s;
/// a test says so.
pub const LONGEST_STEP: f64 = 0.005;

/// Fixed step times the fastest rate of the car, pure lags left out, which are taken exactly `[-]`.
/// The method is stable up to 2.78 for a decay and up to 2.83 for an oscillation.
const STEP_TIMES_RATE: f64 = 2.6;

/// Longest stable step of the driveline, at most the step asked for `[s]`: stiff shafts or light
/// wheels shorten it. `engine` says whether engine and clutch move.
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

/// Longest stable step up to a `speed` `[m/s]`, in any tire state, at most the step asked for `[s]`:
/// the relaxation rate of the slip grows with the rolling speed, and a sliding contact is limited by
/// the belt's time constant.
pub fn step_at(model: &Model, asked: f64, engine: bool, speed: f64) -> f64 {
    let memory = model.wheels().map(|wheel| wheel.tire.fastest_memory(speed));
    let fastest = memory.into_iter().fold(0.0, f64::max);
    step_for(model, asked, engine).min(STEP_TIMES_RATE / fastest)
}

pub use axletree_vehicle::model::layout::LAGS;

/// Inputs of the car and rates of the controls' own states at one moment.
#[derive(Clone, Copy, Debug)]
pub struct Action<const K: usize> {
    /// Inputs of the car.
    pub inputs: Inputs<f64>,
    /// Rates of the controls' own states.
    pub own_rate: [f64; K],
}

/// Controls of a car: a function from time, car and the controls' own states (hands, integrals) to
/// the car's inputs and the rates of the own states.
pub trait Controls<const K: usize> {
    /// The controls' action at a time. Jumps and kinks in time must be breaks of the schedule; at a
    /// break the action is the one that holds after it (steps that end there ask for the floating-point
    /// number before it).
    fn act(&self, time: f64, car: &[f64; STATES], own: &[f64; K]) -> Action<K>;

    /// Outcome that ends the run for a reason of the controls' own, as a cone hit; none to go on.
    fn judge(&self, _moment: &Moment<'_>, _own: &[f64; K]) -> Option<Outcome> {
        None
    }
}

/// The times of a drive and how it is integrated between them.
#[derive(Clone, Copy, Debug)]
pub struct Schedule<'a> {
    /// Start, every time at which an input has a jump or a kink, end, rising `[s]`.
    pub breaks: &'a [f64],
    /// Longest step of the time grid `[s]`; between two breaks the steps are equal.
    pub longest_step: f64,
    /// Number of steps between two recorded samples; every break is recorded too.
    pub sample_every: usize,
    /// Integrator between two points of the time grid.
    pub integrator: Integrator,
}

/// Limits beyond which a run ends: the model stops being valid there, or the run pointless.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Validity {
    /// Largest magnitude of the sideslip angle `[rad]`.
    pub sideslip: f64,
    /// Largest magnitude of the roll angle `[rad]`.
    pub roll: f64,
    /// Least speed `[m/s]`.
    pub speed: f64,
    /// Time for which both wheels of a side may be off the road `[s]`: a bump throws them up for a
    /// moment.
    pub lift: f64,
}

impl Default for Validity {
    fn default() -> Self {
        Validity {
            // Beyond it no driver recovers the car; common practice, no source.
            sideslip: 60f64.to_radians(),
            // The suspension's curves do not cover a car that lies half on its side.
            roll: 40f64.to_radians(),
            // Angles of a car that hardly moves are meaningless.
            speed: 1.0,
            lift: 0.0,
        }
    }
}

/// End of a drive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drive<const N: usize> {
    /// Outcome and time.
    pub ending: Ending,
    /// The last finite state of car and controls.
    pub state: [f64; N],
    /// Steps of the time grid taken; a fixed one costs four evaluations.
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

/// The controls' action at a time and a joined state.
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

/// Evaluates the controls in code compiled for FMA where the processor has it: a driver model is
/// arithmetic-heavy too. Same bits, faster.
struct Acting<'a, C, const K: usize> {
    controls: &'a C,
    time: f64,
    car: &'a [f64; STATES],
    own: &'a [f64; K],
}

impl<C: Controls<K>, const K: usize> FusedTask for Acting<'_, C, K> {
    type Out = Action<K>;
    #[inline(always)]
    fn run(self) -> Action<K> {
        self.controls.act(self.time, self.car, self.own)
    }
}

/// Asks the controls for their judgement in the same way.
struct Judging<'a, C, const K: usize> {
    controls: &'a C,
    moment: &'a Moment<'a>,
    own: &'a [f64; K],
}

impl<C: Controls<K>, const K: usize> FusedTask for Judging<'_, C, K> {
    type Out = Option<Outcome>;
    #[inline(always)]
    fn run(self) -> Option<Outcome> {
        self.controls.judge(self.moment, self.own)
    }
}

/// The rate of car and controls together on a road.
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

/// Drives from the joined state `start` through the schedule on a flat road and records on the way.
///
/// The drive ends at the schedule's end, where a limit of `validity` is passed, where the controls
/// judge so or where `interrupt` stops it; the ending says which.
///
/// ```
/// use axletree_numerics::Interrupt;
/// use axletree_simulation::drive::{Action, Controls, Integrator, Schedule, Validity, drive};
/// use axletree_simulation::Recorder;
/// use axletree_vehicle::model::Inputs;
/// use axletree_vehicle::model::STATES;
///
/// /// Hands off the wheel, clutch out.
/// struct Coast;
///
/// impl Controls<0> for Coast {
///     fn act(&self, _time: f64, _car: &[f64; STATES], _own: &[f64; 0]) -> Action<0> {
///         Action { inputs: Inputs::coasting(), own_rate: [] }
///     }
/// }
///
/// let model = axletree_vehicle::bundled("bramble-solid").unwrap()?.assemble()?;
/// let schedule = Schedule {
///     breaks: &[0.0, 1.0],
///     longest_step: 0.004,
///     sample_every: 1,
///     integrator: Integrator::Fixed,
/// };
/// let mut recorder = Recorder::metrics();
/// let driven = drive(
///     &model,
///     &Coast,
///     model.rolling_state(20.0),
///     &schedule,
///     &mut recorder,
///     &Validity::default(),
///     Interrupt::never(),
/// );
/// assert!(driven.ending.outcome.is_completed());
/// let speed = recorder.trace().get("speed").unwrap();
/// assert!(speed[speed.len() - 1] < 20.0);
/// # Ok::<(), axletree_vehicle::CarError>(())
/// ```
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

/// Drives as [`drive`] does, on a road.
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
    let mut run = DriveState::new(model, schedule, start);
    let mut x = start;
    loop {
        let action = act(controls, run.time(0), &x);
        let car = split::<K, N>(&x).0;
        let evaluation = model.evaluate_on(car, &action.inputs, road);
        let k1: [f64; N] = join(&evaluation.rate, &action.own_rate);
        let loads = evaluation.contacts.map(|c| c.load);
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
                    recorder.record_evaluated(model, moment, Some(&evaluation));
                } else {
                    recorder.record_on(model, road, moment);
                }
            },
        );
        match next {
            Next::Step => match schedule.integrator {
                Integrator::Fixed => {
                    let mut rate = |halves: usize, x: &[f64; N]| {
                        joint_rate_on(model, road, controls, run.time(halves), x)
                    };
                    x = lagged_step(&mut rate, &lags, run.weights(), &x, &k1);
                    run.stepped();
                }
                Integrator::Adaptive { tolerance } => {
                    let rate = |time: f64, x: &[f64; N]| {
                        joint_rate_on(model, road, controls, run.before_break(time), x)
                    };
                    match adaptive_grid_step(&rate, run.time(0), run.step(), &x, tolerance) {
                        Ok(next) => {
                            x = next;
                            run.stepped();
                        }
                        Err(outcome) => {
                            if !run.stop(outcome) {
                                let moment = Moment {
                                    time: run.time(0),
                                    state: split::<K, N>(&x).0,
                                    rate: split::<K, N>(&k1).0,
                                    inputs: &action.inputs,
                                };
                                recorder.record_evaluated(model, &moment, Some(&evaluation));
                            }
                            break;
                        }
                    }
                }
            },
            Next::Break => {}
            Next::Done => break,
        }
    }
    run.finish()
}
