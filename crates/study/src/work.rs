//! Rows of a study, computed on several threads.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use axletree_maneuver::Maneuver;
use axletree_numerics::Interrupt;
use axletree_simulation::{Ending, Measures, Outcome};
use axletree_vehicle::EntryValue;
use axletree_vehicle::{Car, CarError, Model};

use crate::error::StudyError;
use crate::vary::first_repeated;

/// Threads of one study, at most: several times the cores of any machine.
pub const MOST_THREADS: usize = 1024;
/// Stack of a thread, in bytes: the equations on dual numbers need large frames. Only what is used
/// takes memory.
const THREAD_STACK: usize = 8 << 20;

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
    let threads = options
        .threads
        .unwrap_or_else(|| thread::available_parallelism().map_or(1, NonZero::get))
        .min(MOST_THREADS);
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
    let chunks = in_order(count.div_ceil(together), threads, |chunk| {
        let rows = chunk * together..count.min((chunk + 1) * together);
        let done = chunk_results(&car, rows, maneuvers, options.interrupt.without_progress());
        let so_far = finished.fetch_add(done.len(), Ordering::Relaxed) + done.len();
        options.interrupt.report(so_far as f64 / count as f64);
        done
    });
    chunks.into_iter().flatten().collect()
}

/// Results of `work` for the numbers from zero to `count`, in their order, by this thread and at
/// most `threads - 1` others that live no longer than this call.
///
/// No pool outlives a study: its threads would be missing in a forked process, and a study that a
/// progress callback starts would wait for those of the outer one. Where the system refuses a
/// thread, those that there are do its work.
fn in_order<R: Send>(count: usize, threads: usize, work: impl Fn(usize) -> R + Sync) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let share = || {
        let _others = EndOnPanic { next: &next, count };
        let mut done = Vec::new();
        loop {
            let number = next.fetch_add(1, Ordering::Relaxed);
            if number >= count {
                return done;
            }
            done.push((number, work(number)));
        }
    };
    let mut all = thread::scope(|scope| {
        let others: Vec<_> = (1..threads.min(count))
            .map_while(|_| {
                let thread = thread::Builder::new().stack_size(THREAD_STACK);
                thread.spawn_scoped(scope, share).ok()
            })
            .collect();
        let mut all = share();
        for other in others {
            all.extend(other.join().unwrap_or_else(|panic| resume_unwind(panic)));
        }
        all
    });
    all.sort_unstable_by_key(|(number, _)| *number);
    all.into_iter().map(|(_, result)| result).collect()
}

/// Ends the work of all threads when one of them panics: nobody waits for the rest of the rows.
struct EndOnPanic<'a> {
    next: &'a AtomicUsize,
    count: usize,
}

impl Drop for EndOnPanic<'_> {
    fn drop(&mut self) {
        if thread::panicking() {
            self.next.store(self.count, Ordering::Relaxed);
        }
    }
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
                let ending = Ending { outcome, time: 0.0 };
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
