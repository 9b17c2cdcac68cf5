//! One car driven along its schedule.

use axletree_numerics::adaptive::{AdaptiveError, adaptive_step};
use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::stepping::lagged_step;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::LAGS;
use axletree_vehicle::model::{Flat, Road};

use super::controls::{Controls, act};
use super::integrator::Integrator;
use super::joined::{Drive, join_states, split_states};
use super::schedule::{Schedule, Validity};
use super::state::{DriveState, Next, group_of};
use crate::channels::Moment;
use crate::outcome::Outcome;
use crate::trace::Recorder;

/// Adaptive steps between two points of the time grid, at most: at 1e-12 a step of 4 ms takes some
/// hundred, and the caller can interrupt only between points of the grid.
const MOST_STEPS: u32 = 20_000;

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
    let car = split_states::<K, N>(x).0;
    let rate = model.evaluate_on(car, &action.inputs, road).rate;
    join_states(&rate, &action.own_rate)
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
#[expect(
    clippy::too_many_arguments,
    reason = "the parts of one evaluation, each used once"
)]
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
        let car = split_states::<K, N>(&x).0;
        let evaluation = model.evaluate_on(car, &action.inputs, road);
        let k1: [f64; N] = join_states(&evaluation.rate, &action.own_rate);
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
                                    state: split_states::<K, N>(&x).0,
                                    rate: split_states::<K, N>(&k1).0,
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

/// From one point of the time grid to the next with adaptive steps; an outcome where there is no
/// way.
fn adaptive_grid_step<const N: usize>(
    rate: &impl Fn(f64, &[f64; N]) -> [f64; N],
    time: f64,
    step: f64,
    x: &[f64; N],
    tolerance: f64,
) -> Result<[f64; N], Outcome> {
    adaptive_step(rate, time, step, x, (tolerance, tolerance), MOST_STEPS).map_err(|error| {
        match error {
            AdaptiveError::NotFinite { component, .. } => Outcome::NotFinite {
                group: group_of(component),
            },
            _ => Outcome::StepTooSmall { tolerance },
        }
    })
}
