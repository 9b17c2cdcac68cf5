//! Long calls: without the interpreter lock, watched for Ctrl-C, telling how far they are.

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use axletree_maneuver::Interrupt;
use pyo3::prelude::*;

/// How often the interpreter is asked for pending signals.
const ASK: Duration = Duration::from_millis(100);

/// Runs `work` without the interpreter lock. An exception raised meanwhile, by Ctrl-C or by the
/// progress callback, stops the work and is raised.
pub fn interruptible<R: Send>(
    py: Python<'_>,
    progress: Option<Py<PyAny>>,
    work: impl FnOnce(Interrupt<'_>) -> R + Send,
) -> PyResult<R> {
    let stopped = AtomicBool::new(false);
    let raised: Mutex<Option<PyErr>> = Mutex::new(None);
    let asked = Mutex::new(Instant::now());
    let fail = |error: PyErr| {
        if let Ok(mut slot) = raised.lock() {
            slot.get_or_insert(error);
        }
        stopped.store(true, Ordering::SeqCst);
    };
    let due = || {
        // One thread at a time asks; the others go on.
        let Ok(mut last) = asked.try_lock() else {
            return false;
        };
        let now = last.elapsed() >= ASK;
        if now {
            *last = Instant::now();
        }
        now
    };
    let stop = || {
        if !stopped.load(Ordering::SeqCst) && due() {
            Python::attach(|py| {
                if let Err(error) = py.check_signals() {
                    fail(error);
                }
            });
        }
        stopped.load(Ordering::SeqCst)
    };
    let tell = |share: f64| {
        if let Some(callback) = &progress
            && !stopped.load(Ordering::SeqCst)
        {
            Python::attach(|py| {
                if let Err(error) = callback.call1(py, (share,)) {
                    fail(error);
                }
            });
        }
    };
    let result = py.detach(|| work(Interrupt::when(&stop).telling(&tell)));
    match raised.into_inner() {
        Ok(Some(error)) => Err(error),
        _ => {
            py.check_signals()?;
            Ok(result)
        }
    }
}
