//! Many cars driven side by side, as many at once as there are lanes.
//!
//! The cars have one topology; parameters, controls, schedules and step lengths are each car's own.
//! A car that has ended makes room for the next. The bits of a car do not depend on its neighbors.
//! Cars with the adaptive integrator are driven one after the other.

use axletree_scalar::{LANES, LaneRow};
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{Inputs, LAGS, STATES};
use axletree_vehicle::model::{Batch, BatchExtras, Evaluation, Flat, Road};

use super::controls::{Action, Controls, act};
use super::integrator::Integrator;
use super::joined::Drive;
use super::schedule::{Schedule, Validity};
use super::single::drive_on;
use super::state::{DriveState, Next};
use crate::trace::Recorder;
use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::stepping::rows::{Rows, Stage, lane};

/// One car to be driven.
#[derive(Clone, Copy)]
pub struct Job<'a, C, const N: usize> {
    /// The car.
    pub model: &'a Model,
    /// Road; none for a flat one.
    pub road: Option<&'a dyn Road<f64>>,
    /// Its controls.
    pub controls: &'a C,
    /// State of car and controls at the start.
    pub start: [f64; N],
    /// Times and integrator.
    pub schedule: Schedule<'a>,
}

/// A car being driven.
struct RunningCar<'a, const N: usize> {
    job: usize,
    run: DriveState<'a, N>,
    recorder: Recorder,
}

/// Drives every job as [`drive`](super::drive) or [`drive_on`] would.
///
/// `recorder` makes the recorder of a job by its number; `done` receives every car that has ended:
/// the job's number, the end of its drive, its records.
///
/// # Panics
/// If the cars have different rear ends.
#[expect(
    clippy::too_many_lines,
    reason = "one loop over the lanes whose steps share all of its state"
)]
pub fn drive_batch<'a, C: Controls<K>, const K: usize, const N: usize>(
    jobs: &[Job<'a, C, N>],
    recorder: &dyn Fn(usize) -> Recorder,
    validity: &Validity,
    interrupt: Interrupt<'_>,
    done: &mut dyn FnMut(usize, Drive<N>, Recorder),
) {
    let (side_by_side, alone): (Vec<usize>, Vec<usize>) =
        (0..jobs.len()).partition(|&job| jobs[job].schedule.integrator == Integrator::Fixed);
    // The adaptive integrator has steps of each car's own.
    for number in alone {
        let (job, mut recorder) = (&jobs[number], recorder(number));
        let drive = drive_on(
            job.model,
            job.road.unwrap_or(&Flat),
            job.controls,
            job.start,
            &job.schedule,
            &mut recorder,
            validity,
            interrupt,
        );
        done(number, drive, recorder);
    }
    let Some(&first) = side_by_side.first() else {
        return;
    };
    let first = &jobs[first];
    let mut batch = Batch::of(first.model);
    let mut rows = Rows::<N>::new();
    let mut inputs = Inputs::coasting().map(|x: &f64| [*x; LANES]);
    let mut loads = [[0.0; LANES]; 4];
    let mut cars: [Option<RunningCar<'a, N>>; LANES] = std::array::from_fn(|_| None);
    let mut waiting = side_by_side.into_iter();
    // Flat roads are not evaluated.
    let uneven = jobs.iter().any(|job| job.road.is_some());

    // Fills free lanes with the jobs that wait.
    let fill = |cars: &mut [Option<RunningCar<'a, N>>; LANES],
                rows: &mut Rows<N>,
                batch: &mut Batch,
                waiting: &mut std::vec::IntoIter<usize>| {
        let mut put = Vec::new();
        for (lane, car) in cars.iter_mut().enumerate() {
            if car.is_some() {
                continue;
            }
            let Some(next) = waiting.next() else { break };
            let job = &jobs[next];
            let run = DriveState::new(job.model, &job.schedule, job.start);
            rows.put_state(lane, &job.start);
            rows.put_weights(lane, run.weights());
            put.push((lane, job.model));
            *car = Some(RunningCar {
                job: next,
                run,
                recorder: recorder(next),
            });
        }
        if !put.is_empty() {
            batch.put(put);
        }
    };
    fill(&mut cars, &mut rows, &mut batch, &mut waiting);

    loop {
        let mut live: [bool; LANES] = std::array::from_fn(|i| cars[i].is_some());
        if !live.contains(&true) {
            return;
        }
        // At the point of the grid.
        let mut actions: [Option<Action<K>>; LANES] = [None; LANES];
        let Rows { x, k, .. } = &mut *rows;
        for (i, car) in cars.iter().enumerate() {
            let Some(car) = car else { continue };
            let action = act(jobs[car.job].controls, car.run.time(0), &lane(x, i));
            put_action(&mut inputs, &mut k[0], i, &action);
            actions[i] = Some(action);
        }
        let mut roads: [&dyn Road<f64>; LANES] = [&Flat; LANES];
        if uneven {
            for (road, car) in roads.iter_mut().zip(&cars) {
                if let Some(own) = car.as_ref().and_then(|car| jobs[car.job].road) {
                    *road = own;
                }
            }
        }
        let roads = uneven.then_some(&roads);
        let observes = |car: &RunningCar<'_, N>| car.recorder.observes();
        let mut observed: [Option<Evaluation<f64>>; LANES] = [None; LANES];
        let observe = cars.iter().flatten().any(observes).then_some(&mut observed);
        evaluate(
            &batch, x, &inputs, roads, live, &mut k[0], &mut loads, observe,
        );
        let mut keep: [Option<[f64; N]>; LANES] = [None; LANES];
        let mut through = false;
        for i in 0..LANES {
            let (Some(car), Some(action)) = (&mut cars[i], &actions[i]) else {
                continue;
            };
            let job = &jobs[car.job];
            let own = lane(&rows.x, i);
            let RunningCar { run, recorder, .. } = car;
            let next = run.arrive(
                job.controls,
                action,
                &own,
                &lane(&rows.k[0], i),
                lane(&loads, i),
                &job.schedule,
                validity,
                interrupt,
                &mut |moment| match &observed[i] {
                    // At a break the inputs may be others.
                    Some(evaluation) if *moment.inputs == action.inputs => {
                        recorder.record_evaluated(job.model, moment, Some(evaluation));
                    }
                    _ => recorder.record_on(job.model, job.road.unwrap_or(&Flat), moment),
                },
            );
            if next == Next::Step {
                continue;
            }
            live[i] = false;
            keep[i] = Some(own);
            if next == Next::Break {
                let weights = *car.run.weights();
                rows.put_weights(i, &weights);
            } else if let Some(car) = cars[i].take() {
                done(car.job, car.run.finish(), car.recorder);
                through = true;
            }
        }
        // The step, for the cars that take one.
        if live.contains(&true) {
            for (number, stage) in [(1, Stage::A), (2, Stage::B), (3, Stage::C)] {
                rows.advance(stage, &LAGS);
                let Rows { stage, k, .. } = &mut *rows;
                let (x, k) = (&stage[number - 1], &mut k[number]);
                let halves = if number == 3 { 2 } else { 1 };
                for (i, car) in cars.iter().enumerate() {
                    if let (Some(car), true) = (car, live[i]) {
                        let action = act(jobs[car.job].controls, car.run.time(halves), &lane(x, i));
                        put_action(&mut inputs, k, i, &action);
                    }
                }
                evaluate(&batch, x, &inputs, roads, live, k, &mut loads, None);
            }
            rows.advance(Stage::End, &LAGS);
            for (i, car) in cars.iter_mut().enumerate() {
                match (car, &keep[i]) {
                    (_, Some(own)) => rows.put_state(i, own),
                    (Some(car), None) => car.run.stepped(),
                    _ => {}
                }
            }
        }
        if through {
            fill(&mut cars, &mut rows, &mut batch, &mut waiting);
        }
    }
}

/// Puts an action into a lane of the inputs and of the rates.
#[inline(always)]
fn put_action<const K: usize, const N: usize>(
    inputs: &mut Inputs<LaneRow>,
    k: &mut [LaneRow; N],
    lane: usize,
    action: &Action<K>,
) {
    inputs.put(lane, &action.inputs);
    for i in 0..K {
        k[STATES + i][lane] = action.own_rate[i];
    }
}

/// Rates and loads of all live lanes, with roads and evaluations where they are wanted.
#[expect(
    clippy::too_many_arguments,
    reason = "the parts of one evaluation, each used once"
)]
fn evaluate<const N: usize>(
    batch: &Batch,
    x: &[LaneRow; N],
    inputs: &Inputs<LaneRow>,
    roads: Option<&[&dyn Road<f64>; LANES]>,
    live: [bool; LANES],
    k: &mut [LaneRow; N],
    loads: &mut [LaneRow; 4],
    observed: Option<&mut [Option<Evaluation<f64>>; LANES]>,
) {
    if let (Some(x), Some(k)) = (x.first_chunk::<STATES>(), k.first_chunk_mut::<STATES>()) {
        if roads.is_some() || observed.is_some() {
            let extras = BatchExtras {
                roads,
                evaluations: observed,
            };
            batch.observe(x, inputs, &live, k, loads, extras);
        } else {
            batch.rate(x, inputs, &live, k, loads);
        }
    }
}
