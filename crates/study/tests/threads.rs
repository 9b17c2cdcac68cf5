//! Threads of a study: as many as there is work for, none that outlive it.

use std::collections::HashSet;
use std::panic::AssertUnwindSafe;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::channel;
use std::thread;
use std::time::Duration;

use axletree_maneuver::{Maneuver, Run};
use axletree_numerics::Interrupt;
use axletree_report::Quantity;
use axletree_simulation::{Ending, ManeuverError, Measures, Metric};
use axletree_study::{
    MOST_THREADS, StudyError, StudyOptions, SweepDesign, SweepTable, Vary, sweep,
};
use axletree_vehicle::{Car, Model, Value, bundled};

static MASS: Metric = Metric {
    quantity: Quantity::new("mass", "kg", "mass of the car").after("this test"),
    floor: 1e-9,
    missing: "every car has a mass",
};

/// Weighs each car, and calls a function on the way.
struct Weigh<F>(F);

impl<F: Fn() + Sync> Maneuver for Weigh<F> {
    fn name(&self) -> &'static str {
        "weigh"
    }
    fn metrics(&self) -> Vec<&'static Metric> {
        vec![&MASS]
    }
    fn check(&self) -> Result<(), ManeuverError> {
        Ok(())
    }
    fn measure_all(&self, models: &[&Model], _: Interrupt<'_>) -> Vec<Measures> {
        (self.0)();
        let weighed = |model: &&Model| {
            let mut measures = Measures::empty("weigh", Ending::completed(0.0), self.metrics());
            measures.set(&MASS, model.mass());
            measures
        };
        models.iter().map(weighed).collect()
    }
    fn record(&self, _: &Model, _: Interrupt<'_>) -> Run {
        unreachable!("studies measure")
    }
}

fn car() -> Car {
    bundled("bramble-solid").unwrap().unwrap()
}

/// Weighs `rows` cars.
fn weighed(
    rows: usize,
    options: &StudyOptions<'_>,
    on_the_way: impl Fn() + Sync,
) -> Result<SweepTable, StudyError> {
    let drag = (0..rows).map(|i| Value::Number(0.5 + 1e-4 * i as f64));
    let vary = [Vary::new("air.drag_area", drag)];
    let weigh = Weigh(on_the_way);
    sweep(&car(), &vary, SweepDesign::Grid, &[&weigh], options)
}

/// Threads of this process.
#[cfg(target_os = "linux")]
fn threads_now() -> usize {
    std::fs::read_dir("/proc/self/task").unwrap().count()
}

/// No more threads are started than there are rows, whatever is asked for, and all have ended when
/// the study has.
#[test]
#[cfg(target_os = "linux")]
fn no_more_threads_than_rows() {
    // Other tests of this file run beside this one, with a few threads each.
    const OTHERS: usize = 40;
    let before = threads_now();
    let most = AtomicUsize::new(0);
    let options = StudyOptions {
        threads: Some(MOST_THREADS),
        ..StudyOptions::default()
    };
    let count = || {
        most.fetch_max(threads_now(), Ordering::Relaxed);
    };
    weighed(2, &options, count).unwrap();
    assert!(most.load(Ordering::Relaxed) < before + OTHERS);
    assert!(threads_now() < before + OTHERS);
    // The control: many rows have as many threads as are asked for.
    let ids = Mutex::new(HashSet::new());
    let options = StudyOptions {
        threads: Some(60),
        ..StudyOptions::default()
    };
    let meet = || {
        ids.lock().unwrap().insert(thread::current().id());
        count();
        thread::sleep(Duration::from_millis(100));
    };
    weighed(60, &options, meet).unwrap();
    assert!(most.load(Ordering::Relaxed) > before + OTHERS);
    assert!(ids.lock().unwrap().len() > OTHERS);
}

#[test]
fn a_number_of_threads_out_of_range_is_refused() {
    for threads in [0, MOST_THREADS + 1, usize::MAX] {
        let options = StudyOptions {
            threads: Some(threads),
            ..StudyOptions::default()
        };
        let refused = weighed(2, &options, || ()).unwrap_err();
        let message = format!("threads = {threads} is out of range: 1 to 1024 are allowed");
        assert_eq!(refused.to_string(), message);
    }
}

/// A study out of a progress callback ends, with and without a number of threads.
#[test]
fn a_progress_callback_may_start_a_study() {
    let (send, receive) = channel();
    thread::spawn(move || {
        let inner = AtomicUsize::new(0);
        let tell = |_: f64| {
            let table = weighed(3, &StudyOptions::default(), || ()).unwrap();
            inner.fetch_add(table.rows.len(), Ordering::Relaxed);
        };
        for threads in [None, Some(2)] {
            let options = StudyOptions {
                threads,
                interrupt: Interrupt::never().with_progress(&tell),
            };
            assert_eq!(weighed(50, &options, || ()).unwrap().rows.len(), 50);
        }
        send.send(inner.load(Ordering::Relaxed)).unwrap();
    });
    // The time guards against a hang; it is no measure.
    let inner = receive.recv_timeout(Duration::from_secs(120));
    assert_eq!(inner, Ok(300));
}

/// A panic in one row is the study's, and ends the work on the others.
#[test]
fn a_panic_ends_the_study() {
    let done = AtomicUsize::new(0);
    let options = StudyOptions {
        threads: Some(2),
        ..StudyOptions::default()
    };
    // The others take a while, so that the report of the panic is not longer than all of them.
    let third_fails = || {
        assert!(done.fetch_add(1, Ordering::SeqCst) != 2, "the third row");
        thread::sleep(Duration::from_millis(5));
    };
    let study = AssertUnwindSafe(|| weighed(2000, &options, third_fails));
    let result = std::panic::catch_unwind(study);
    let panic = result.unwrap_err();
    assert_eq!(panic.downcast_ref::<&str>(), Some(&"the third row"));
    assert!(done.load(Ordering::SeqCst) < 1000);
}
