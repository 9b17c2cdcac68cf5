//! Rows of a study, computed on several threads.

use std::sync::atomic::{AtomicUsize, Ordering};

use axletree_maneuver::Maneuver;
use axletree_numerics::Interrupt;
use axletree_simulation::{Ending, Measures, Outcome};
use axletree_vehicle::EntryValue;
use axletree_vehicle::{Car, CarError, Model};

use crate::error::StudyError;
use crate::threads::{MOST_THREADS, cores, in_order};
use crate::vary::first_repeated;

/// Threads, interruption and progress of a study. The results do not depend on them.
#[derive(Clone, Copy)]
pub struct StudyOptions<'a> {
    /// Number of threads, 1 to 1024; a study starts no more than it has rows. Default: the number
    /// of cores.
    pub threads: Option<usize>,
    /// Interruption, and report of the completed share.
    pub interrupt: Interrupt<'a>,
}

impl Default for StudyOptions<'_> {
    fn default() -> Self {
        StudyOptions {
            threads: None,
            interrupt: Interrupt::never(),
        }
    }
}

/// Results of one row: a car in every maneuver.
#[derive(Clone, Debug)]
pub(crate) struct RowResult {
    /// A value per metric of every maneuver, in their order; not a number where it does not exist.
    pub values: Vec<f64>,
    /// Ending of each maneuver.
    pub endings: Vec<Ending>,
    /// Why the car could not be built, where it could not.
    pub fault: Option<CarError>,
    /// Settings read from the car's description; none where the car was not built.
    pub settings: Option<Settings>,
}

impl RowResult {
    /// A row that was interrupted before it started.
    fn interrupted(maneuvers: &[&dyn Maneuver]) -> Self {
        let ending = Ending::at(Outcome::Interrupted, 0.0);
        let values: usize = maneuvers.iter().map(|m| m.metrics().len()).sum();
        RowResult {
            values: vec![f64::NAN; values],
            endings: vec![ending; maneuvers.len()],
            fault: None,
            settings: None,
        }
    }
}

/// Values of a row's settings in its car's description.
pub(crate) type Settings = Vec<Option<EntryValue>>;

/// Checks a study's maneuvers and threads before any row is computed.
pub(crate) fn check(
    maneuvers: &[&dyn Maneuver],
    options: &StudyOptions<'_>,
) -> Result<(), StudyError> {
    if let Some(threads) = options.threads
        && !(1..=MOST_THREADS).contains(&threads)
    {
        return Err(StudyError::Threads {
            threads,
            most: MOST_THREADS,
        });
    }
    if maneuvers.is_empty() {
        return Err(StudyError::Empty {
            what: "maneuver",
            given: 0,
        });
    }
    for one in maneuvers {
        one.check()?;
    }
    match first_repeated(maneuvers.iter().map(|one| one.name())) {
        None => Ok(()),
        Some(twice) => Err(StudyError::Twice {
            what: "the maneuver",
            name: twice.to_owned(),
        }),
    }
}

/// Most rows that one thread takes at once: enough to keep lanes full, few enough that the threads
/// end together and that little is held beside the table.
const LARGEST_CHUNK: usize = 64;
/// The same where a maneuver takes its cars one by one.
const LARGEST_SLOW_CHUNK: usize = 4;

/// Computes every row, in order, on several threads.
///
/// `car` gives the car and the settings of a row. A thread takes several rows at once, so that
/// maneuvers can drive their cars side by side; the results of a row do not depend on its
/// neighbors.
pub(crate) fn rows(
    count: usize,
    car: impl Fn(usize) -> Result<(Car, Settings), CarError> + Sync,
    maneuvers: &[&dyn Maneuver],
    options: &StudyOptions<'_>,
) -> Vec<RowResult> {
    let threads = options.threads.unwrap_or_else(cores);
    let worth = maneuvers.iter().map(|m| m.side_by_side()).max();
    // A maneuver that takes cars one by one is a slow one: threads should not wait for each
    // other's.
    let one_by_one = maneuvers.iter().any(|m| m.side_by_side() == 1);
    let most = if one_by_one {
        LARGEST_SLOW_CHUNK
    } else {
        LARGEST_CHUNK
    };
    // Few rows are shared out evenly.
    let share = count.div_ceil(threads).max(1);
    let together = worth.unwrap_or(1).clamp(1, most).min(share);
    let finished = AtomicUsize::new(0);
    let rows_of = |chunk: usize| chunk * together..count.min((chunk + 1) * together);
    let chunks = in_order(count.div_ceil(together), threads, |chunk| {
        if options.interrupt.stopped() {
            return None;
        }
        let rows = rows_of(chunk);
        let done = chunk_results(&car, rows, maneuvers, options.interrupt.without_progress());
        let so_far = finished.fetch_add(done.len(), Ordering::Relaxed) + done.len();
        options.interrupt.report(so_far as f64 / count as f64);
        Some(done)
    });
    // A million rows that never started must cost no time.
    let never = RowResult::interrupted(maneuvers);
    let mut all = Vec::with_capacity(count);
    for (chunk, done) in chunks.into_iter().enumerate() {
        match done {
            Some(done) => all.extend(done),
            None => all.extend(rows_of(chunk).map(|_| never.clone())),
        }
    }
    all
}

/// The car of a row, as far as it was built.
enum RowCar {
    Built(Box<Model>),
    NotBuilt(CarError),
    /// The row was interrupted before it started.
    NotStarted,
}

impl RowCar {
    fn of(described: Result<Car, CarError>) -> Self {
        match described.and_then(|car| car.assemble()) {
            Ok(model) => RowCar::Built(Box::new(model)),
            Err(fault) => RowCar::NotBuilt(fault),
        }
    }
}

/// The results of some rows.
fn chunk_results(
    car: &(impl Fn(usize) -> Result<(Car, Settings), CarError> + Sync),
    rows: std::ops::Range<usize>,
    maneuvers: &[&dyn Maneuver],
    interrupt: Interrupt<'_>,
) -> Vec<RowResult> {
    // Rows that were interrupted before they started cost nothing.
    let mut cars: Vec<RowCar> = Vec::with_capacity(rows.len());
    let mut all: Vec<RowResult> = Vec::with_capacity(rows.len());
    for row in rows {
        let (car, settings) = if interrupt.stopped() {
            (RowCar::NotStarted, None)
        } else {
            match car(row) {
                Ok((car, settings)) => (RowCar::of(Ok(car)), Some(settings)),
                Err(fault) => (RowCar::of(Err(fault)), None),
            }
        };
        cars.push(car);
        all.push(RowResult {
            values: Vec::new(),
            endings: Vec::new(),
            fault: None,
            settings,
        });
    }
    let models: Vec<&Model> = cars
        .iter()
        .filter_map(|car| match car {
            RowCar::Built(model) => Some(&**model),
            RowCar::NotBuilt(_) | RowCar::NotStarted => None,
        })
        .collect();
    for maneuver in maneuvers {
        // None where the caller stopped before this maneuver.
        let measured = (!interrupt.stopped()).then(|| maneuver.measure_all(&models, interrupt));
        if let Some(measured) = &measured {
            assert_eq!(measured.len(), models.len(), "{}", maneuver.name());
        }
        let mut measured = measured.into_iter().flatten();
        for (result, car) in all.iter_mut().zip(&cars) {
            let measures = match car {
                RowCar::Built(_) => measured.next().ok_or(Outcome::Interrupted),
                RowCar::NotBuilt(_) => Err(Outcome::NotBuilt),
                RowCar::NotStarted => Err(Outcome::Interrupted),
            };
            let measures = measures.unwrap_or_else(|outcome| {
                let ending = Ending::at(outcome, 0.0);
                Measures::empty(maneuver.name(), ending, maneuver.metrics())
            });
            result
                .values
                .extend(measures.values.iter().map(|(_, v)| *v));
            result.endings.push(measures.ending);
        }
    }
    for (result, car) in all.iter_mut().zip(cars) {
        if let RowCar::NotBuilt(fault) = car {
            result.fault = Some(fault);
        }
    }
    all
}
