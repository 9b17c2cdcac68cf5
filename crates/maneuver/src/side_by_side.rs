//! Several cars in one maneuver, side by side where that is faster.
//!
//! A maneuver that drives a car along a schedule says how a drive begins ([`Ready`]) and what a driven car
//! shows; [`drive_all`] drives as many cars as there are, and [`perform`] carries a whole maneuver of one
//! drive a car out. One car goes the same way as many, and what it computes does not depend on the
//! others.

use std::cell::RefCell;

use axletree_scalar::LANES;
use axletree_vehicle::Model;
use axletree_vehicle::model::{Flat, Road};

use crate::initial_state as begin;
use crate::maneuver::{Maneuver, Run};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::drive::{
    Controls, Drive, Job, Schedule, Validity, drive_on, drive_together,
};
use axletree_simulation::error::ManeuverError;
use axletree_simulation::metrics::Measures;
use axletree_simulation::outcome::Outcome;
use axletree_simulation::trace::Recorder;

/// How many cars maneuvers of some seconds ask for at once: lanes that become free early find another
/// car.
pub const MANY: usize = 4 * LANES;

/// A car ready to be driven.
pub struct Ready<'m, C, const N: usize> {
    /// The car.
    pub model: &'m Model,
    /// The road, where it is not flat.
    pub road: Option<Box<dyn Road<f64>>>,
    /// Who drives it.
    pub controls: C,
    /// State of car and controls at the start.
    pub start: [f64; N],
    /// Start, every time at which an input has a jump or a kink, end [s], rising.
    pub breaks: Vec<f64>,
    /// Longest step [s].
    pub step: f64,
    /// A sample is recorded every so many steps.
    pub sample_every: usize,
    /// What sees it.
    pub recorder: Recorder,
}

/// A car that was driven.
pub struct Driven<C, const N: usize> {
    /// Who drove it.
    pub controls: C,
    /// How it went.
    pub drive: Drive<N>,
    /// What was seen.
    pub recorder: Recorder,
}

/// Drives every car, in their order: those of one rear end side by side.
pub fn drive_all<C: Controls<K>, const K: usize, const N: usize>(
    mut ready: Vec<Ready<'_, C, N>>,
    validity: &Validity,
    interrupt: Interrupt<'_>,
) -> Vec<Driven<C, N>> {
    let alone = ready.len() == 1;
    let interrupt = if alone { interrupt } else { interrupt.quiet() };
    let mut driven: Vec<Option<(Drive<N>, Recorder)>> = ready.iter().map(|_| None).collect();
    // Taken, not cloned: they have room for their samples.
    let none = || Recorder::of(&[]);
    let recorders: Vec<RefCell<Recorder>> = ready
        .iter_mut()
        .map(|one| RefCell::new(std::mem::replace(&mut one.recorder, none())))
        .collect();
    let take = |i: usize| recorders[i].replace(none());
    for solid in [true, false] {
        let group: Vec<usize> = (0..ready.len())
            .filter(|&i| ready[i].model.solid_rear() == solid)
            .collect();
        let jobs: Vec<Job<'_, C, N>> = group.iter().map(|&i| ready[i].job()).collect();
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
    ready
        .into_iter()
        .zip(driven)
        .filter_map(|(ready, driven)| {
            driven.map(|(drive, recorder)| Driven {
                controls: ready.controls,
                drive,
                recorder,
            })
        })
        .collect()
}

impl<C, const N: usize> Ready<'_, C, N> {
    fn job(&self) -> Job<'_, C, N> {
        Job {
            model: self.model,
            road: self.road.as_deref(),
            controls: &self.controls,
            start: self.start,
            schedule: Schedule {
                breaks: &self.breaks,
                longest_step: self.step,
                sample_every: self.sample_every,
            },
        }
    }
}

/// Carries a maneuver of one drive a car out with several cars: `begin` prepares a car, its outcome says why
/// it cannot be driven; `end` measures one that was, with what `begin` found.
pub fn perform<'m, P, C: Controls<K>, const K: usize, const N: usize>(
    maneuver: &dyn Maneuver,
    models: &[&'m Model],
    begin: impl Fn(&'m Model) -> Result<Result<(P, Ready<'m, C, N>), Outcome>, ManeuverError>,
    end: impl Fn(P, Driven<C, N>) -> Run,
    validity: &Validity,
    interrupt: Interrupt<'_>,
) -> Vec<Result<Run, ManeuverError>> {
    if let Err(fault) = maneuver.check() {
        return models.iter().map(|_| Err(fault.clone())).collect();
    }
    let mut all = Vec::with_capacity(models.len());
    let (mut plans, mut ready) = (Vec::new(), Vec::new());
    for (i, model) in models.iter().enumerate() {
        let begun = if interrupt.stopped() {
            Ok(Err(Outcome::Interrupted))
        } else {
            begin(model)
        };
        all.push(match begun {
            Ok(Ok((plan, one))) => {
                plans.push((i, plan));
                ready.push(one);
                None
            }
            Ok(Err(outcome)) => {
                let metrics = maneuver.metrics();
                Some(Ok(begin::not_begun(maneuver.name(), outcome, metrics)))
            }
            Err(fault) => Some(Err(fault)),
        });
    }
    let driven = drive_all(ready, validity, interrupt);
    for ((i, plan), driven) in plans.into_iter().zip(driven) {
        all[i] = Some(Ok(end(plan, driven)));
    }
    all.into_iter().flatten().collect()
}

/// The one run of one car.
pub fn only(mut all: Vec<Result<Run, ManeuverError>>) -> Result<Run, ManeuverError> {
    match (all.pop(), all.len()) {
        (Some(run), 0) => run,
        (_, more) => unreachable!("one car gives one run, not {more} more"),
    }
}

/// The headline numbers of every car.
pub fn measures(all: Vec<Result<Run, ManeuverError>>) -> Vec<Result<Measures, ManeuverError>> {
    all.into_iter()
        .map(|run| run.map(|run| run.measures))
        .collect()
}
