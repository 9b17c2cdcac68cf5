//! Several cars in one maneuver, side by side where that is faster.
//!
//! A maneuver that drives a car along a schedule prepares each car ([`PreparedCar`]) and measures
//! each driven one ([`DrivenCar`]). [`drive_all`] drives as many cars as there are; [`perform`]
//! carries out a whole maneuver of one drive per car. One car takes the same path as many, and its
//! bits do not depend on the others.

use std::cell::RefCell;

use axletree_numerics::interrupt::Interrupt;
use axletree_scalar::LANES;
use axletree_simulation::drive::{
    Controls, Drive, Integrator, Job, Schedule, Validity, drive_on, drive_together,
};
use axletree_simulation::outcome::Outcome;
use axletree_simulation::trace::Recorder;
use axletree_vehicle::Model;
use axletree_vehicle::model::{Flat, Road};

/// Batch size for short maneuvers: four times the lane count, so that lanes that finish early can
/// be refilled.
pub(crate) const BATCH: usize = 4 * LANES;

/// How a drive is integrated.
#[derive(Clone, Copy)]
pub(crate) struct Integration {
    /// Longest step of the time grid `[s]`.
    pub step: f64,
    /// Integrator between two points of the grid.
    pub integrator: Integrator,
}

/// A car ready to be driven.
pub(crate) struct PreparedCar<'m, C, const N: usize> {
    pub model: &'m Model,
    /// The road, where it is not flat.
    pub road: Option<Box<dyn Road<f64>>>,
    pub controls: C,
    /// State of car and controls at the start.
    pub start: [f64; N],
    /// Start, every time at which an input has a jump or a kink, end, rising `[s]`.
    pub breaks: Vec<f64>,
    pub integration: Integration,
    /// Number of steps between two recorded samples.
    pub sample_every: usize,
    pub recorder: Recorder,
}

/// A car that was driven.
pub(crate) struct DrivenCar<C, const N: usize> {
    pub controls: C,
    pub drive: Drive<N>,
    pub recorder: Recorder,
}

impl<C, const N: usize> PreparedCar<'_, C, N> {
    fn job(&self) -> Job<'_, C, N> {
        Job {
            model: self.model,
            road: self.road.as_deref(),
            controls: &self.controls,
            start: self.start,
            schedule: Schedule {
                breaks: &self.breaks,
                longest_step: self.integration.step,
                sample_every: self.sample_every,
                integrator: self.integration.integrator,
            },
        }
    }
}

/// Drives every car; the results are in the order of the cars. Cars of one rear end go side by
/// side.
pub(crate) fn drive_all<C: Controls<K>, const K: usize, const N: usize>(
    mut prepared: Vec<PreparedCar<'_, C, N>>,
    validity: &Validity,
    interrupt: Interrupt<'_>,
) -> Vec<DrivenCar<C, N>> {
    let alone = prepared.len() == 1;
    let interrupt = if alone { interrupt } else { interrupt.quiet() };
    let mut driven: Vec<Option<(Drive<N>, Recorder)>> = prepared.iter().map(|_| None).collect();
    // Taken, not cloned: they have room for their samples.
    let none = || Recorder::of(&[]);
    let recorders: Vec<RefCell<Recorder>> = prepared
        .iter_mut()
        .map(|one| RefCell::new(std::mem::replace(&mut one.recorder, none())))
        .collect();
    let take = |i: usize| recorders[i].replace(none());
    for solid in [true, false] {
        let group: Vec<usize> = (0..prepared.len())
            .filter(|&i| prepared[i].model.solid_rear() == solid)
            .collect();
        let jobs: Vec<Job<'_, C, N>> = group.iter().map(|&i| prepared[i].job()).collect();
        if let [job] = jobs.as_slice() {
            let mut recorder = take(group[0]);
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
            driven[group[0]] = Some((drive, recorder));
        } else {
            drive_together(
                &jobs,
                &|job| take(group[job]),
                validity,
                interrupt,
                &mut |job, drive, recorder| driven[group[job]] = Some((drive, recorder)),
            );
        }
    }
    prepared
        .into_iter()
        .zip(driven)
        .filter_map(|(prepared, driven)| {
            driven.map(|(drive, recorder)| DrivenCar {
                controls: prepared.controls,
                drive,
                recorder,
            })
        })
        .collect()
}

/// Carries out a maneuver of one drive per car: `prepare` gives a car with a plan, or the outcome
/// of one that cannot start; `finish` takes plan and driven car, `could_not_start` the outcome.
pub(crate) fn perform<'m, P, T, C: Controls<K>, const K: usize, const N: usize>(
    models: &[&'m Model],
    prepare: impl Fn(&'m Model) -> Result<(P, PreparedCar<'m, C, N>), Outcome>,
    finish: impl Fn(P, DrivenCar<C, N>) -> T,
    could_not_start: impl Fn(Outcome) -> T,
    validity: &Validity,
    interrupt: Interrupt<'_>,
) -> Vec<T> {
    let mut all = Vec::with_capacity(models.len());
    let (mut plans, mut prepared) = (Vec::new(), Vec::new());
    for (i, model) in models.iter().enumerate() {
        let one = if interrupt.stopped() {
            Err(Outcome::Interrupted)
        } else {
            prepare(model)
        };
        all.push(match one {
            Ok((plan, one)) => {
                plans.push((i, plan));
                prepared.push(one);
                None
            }
            Err(outcome) => Some(could_not_start(outcome)),
        });
    }
    let driven = drive_all(prepared, validity, interrupt);
    for ((i, plan), driven) in plans.into_iter().zip(driven) {
        all[i] = Some(finish(plan, driven));
    }
    all.into_iter().flatten().collect()
}
