//! Rows over threads.

use std::sync::atomic::{AtomicUsize, Ordering};

use axletree_maneuver::Maneuver;
use axletree_numerics::Interrupt;
use axletree_simulation::{Ending, Measures, Outcome};
use axletree_vehicle::car::EntryValue;
use axletree_vehicle::{Car, CarError, Model};
use rayon::prelude::*;

use crate::error::StudyError;

/// How a study is carried out. The results do not depend on it.
#[derive(Clone, Copy)]
pub struct Options<'a> {
    /// Threads; as many as the machine has cores where not given.
    pub threads: Option<usize>,
    /// Whom to ask whether to stop, and whom to tell the share that is done.
    pub interrupt: Interrupt<'a>,
}

impl Default for Options<'_> {
    fn default() -> Self {
        Options {
            threads: None,
            interrupt: Interrupt::never(),
        }
    }
}

/// What one car did in every maneuver.
#[derive(Clone, Debug)]
pub(crate) struct Done {
    /// A value per metric of every maneuver, in their order; not a number where it does not exist.
    pub values: Vec<f64>,
    /// How each maneuver ended.
    pub endings: Vec<Ending>,
    /// What kept the car from being built.
    pub fault: Option<CarError>,
    /// What was read off the car's description; none where the caller stopped before or the description is at
    /// fault.
    pub settings: Option<Settings>,
}

/// What a row shows of its car's description.
pub(crate) type Settings = Vec<Option<EntryValue>>;

/// Checks a study's maneuvers before any row is computed.
pub(crate) fn check(maneuvers: &[&dyn Maneuver]) -> Result<(), StudyError> {
    if maneuvers.is_empty() {
        return Err(StudyError::Empty {
            what: "maneuver",
            given: 0,
        });
    }
    for (i, one) in maneuvers.iter().enumerate() {
        one.check()?;
        if maneuvers[..i]
            .iter()
            .any(|other| other.name() == one.name())
        {
            return Err(StudyError::Twice {
                what: "the maneuver",
                name: one.name().to_owned(),
            });
        }
    }
    Ok(())
}

/// Most rows that one thread takes at once: enough to keep lanes full, few enough that the threads end
/// together and that little is held beside the table.
const MOST_TOGETHER: usize = 64;
/// The same where a maneuver takes its cars one by one.
const FEW: usize = 4;

/// Computes every row, in order, on the threads asked for.
///
/// `car` gives a row's car and what to keep of its description. A thread takes several rows at once, so that
/// maneuvers can drive their cars side by side; what a row gives does not depend on its neighbors.
pub(crate) fn rows(
    count: usize,
    car: impl Fn(usize) -> Result<(Car, Settings), CarError> + Sync,
    maneuvers: &[&dyn Maneuver],
    options: &Options<'_>,
) -> Result<Vec<Done>, StudyError> {
    let finished = AtomicUsize::new(0);
    let worth = maneuvers.iter().map(|m| m.side_by_side()).max();
    // A maneuver that takes cars one by one is a slow one: threads should not wait for each other's.
    let one_by_one = maneuvers.iter().any(|m| m.side_by_side() == 1);
    let most = if one_by_one { FEW } else { MOST_TOGETHER };
    let worth = worth.unwrap_or(1).clamp(1, most);
    let one = |chunk: usize, together: usize| {
        let rows = chunk * together..count.min((chunk + 1) * together);
        let done = rows_of(&car, rows, maneuvers, options.interrupt.quiet());
        let so_far = finished.fetch_add(done.len(), Ordering::Relaxed) + done.len();
        options.interrupt.tell(so_far as f64 / count as f64);
        done
    };
    let all = || -> Vec<Done> {
        // Few rows are shared out evenly.
        let share = count.div_ceil(rayon::current_num_threads());
        let together = worth.min(share).max(1);
        let chunks: Vec<Vec<Done>> = (0..count.div_ceil(together))
            .into_par_iter()
            .map(|chunk| one(chunk, together))
            .collect();
        chunks.into_iter().flatten().collect()
    };
    match options.threads {
        None => Ok(all()),
        Some(threads) => rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .map(|pool| pool.install(all))
            .map_err(|_| StudyError::Threads { threads }),
    }
}

fn rows_of(
    car: &(impl Fn(usize) -> Result<(Car, Settings), CarError> + Sync),
    rows: std::ops::Range<usize>,
    maneuvers: &[&dyn Maneuver],
    interrupt: Interrupt<'_>,
) -> Vec<Done> {
    // Rows that were not begun when the caller stopped cost nothing.
    let mut all: Vec<Done> = Vec::with_capacity(rows.len());
    let mut built: Vec<Option<Result<Model, CarError>>> = Vec::with_capacity(rows.len());
    for row in rows {
        let described = (!interrupt.stopped()).then(|| car(row));
        let (described, settings) = match described {
            Some(Ok((car, settings))) => (Some(Ok(car)), Some(settings)),
            Some(Err(fault)) => (Some(Err(fault)), None),
            None => (None, None),
        };
        built.push(described.map(|car| car.and_then(|car| car.assemble())));
        all.push(Done {
            values: Vec::new(),
            endings: Vec::new(),
            fault: None,
            settings,
        });
    }
    let models: Vec<&Model> = built.iter().flatten().flatten().collect();
    for maneuver in maneuvers {
        let measured = if interrupt.stopped() {
            Vec::new()
        } else {
            maneuver.measure_all(&models, interrupt)
        };
        let mut measured = measured.into_iter();
        for (done, model) in all.iter_mut().zip(&built) {
            let measures = match model {
                // The settings were checked before; what is left are outcomes.
                Some(Ok(_)) => measured.next().and_then(Result::ok),
                _ => None,
            };
            let measures = measures.unwrap_or_else(|| {
                let outcome = if matches!(model, Some(Err(_))) {
                    Outcome::NotBuilt
                } else {
                    Outcome::Interrupted
                };
                let ending = Ending { outcome, time: 0.0 };
                Measures::empty(maneuver.name(), ending, maneuver.metrics())
            });
            done.values.extend(measures.values.iter().map(|(_, v)| *v));
            done.endings.push(measures.ending);
        }
    }
    for (done, model) in all.iter_mut().zip(built) {
        done.fault = model.and_then(Result::err);
    }
    all
}
