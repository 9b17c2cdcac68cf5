//! Long calls: run on a worker thread without the interpreter lock, stopped by Ctrl-C, with
//! progress reports.

use std::any::Any;
use std::cell::RefCell;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Duration;

use axletree_numerics::Interrupt;
use pyo3::exceptions::PyKeyboardInterrupt;
use pyo3::prelude::*;

use crate::errors::AxletreeError;

/// Interval at which the interpreter is polled for pending signals.
const SIGNAL_POLL_INTERVAL: Duration = Duration::from_millis(50);
/// Stack size of the worker thread, in bytes: the equations on dual numbers need large frames.
const WORKER_STACK: usize = 16 << 20;

thread_local! {
    /// Whether the call whose progress callback this thread runs is to stop.
    static CALLER_STOPPED: RefCell<Option<Arc<AtomicBool>>> = const { RefCell::new(None) };
}

/// Runs a progress callback; the calls that it makes stop together with the call that it reports.
fn called_back(callback: &Py<PyAny>, share: f64, stopped: &Arc<AtomicBool>) -> PyResult<()> {
    let outer = CALLER_STOPPED.replace(Some(stopped.clone()));
    let result = Python::attach(|py| callback.call1(py, (share,)).map(|_| ()));
    CALLER_STOPPED.set(outer);
    result
}

/// Runs `work` on a worker thread. The calling thread releases the interpreter lock, waits and
/// polls for signals, since only Python's main thread receives them. An exception raised meanwhile,
/// by Ctrl-C or by the progress callback, stops the work and is raised. A call out of a progress
/// callback stops with the call that it belongs to. A panic is raised as `AxletreeError`.
pub fn interruptible<R: Send>(
    py: Python<'_>,
    progress: Option<Py<PyAny>>,
    work: impl FnOnce(Interrupt<'_>) -> R + Send,
) -> PyResult<R> {
    let stopped = Arc::new(AtomicBool::new(false));
    let outer = CALLER_STOPPED.with_borrow(Clone::clone);
    let outer_stopped = || {
        outer
            .as_ref()
            .is_some_and(|outer| outer.load(Ordering::SeqCst))
    };
    let raised: Mutex<Option<PyErr>> = Mutex::new(None);
    let fail = |error: PyErr| {
        if let Ok(mut slot) = raised.lock() {
            slot.get_or_insert(error);
        }
        stopped.store(true, Ordering::SeqCst);
    };
    let stop = || stopped.load(Ordering::SeqCst);
    let tell = |share: f64| {
        if let Some(callback) = &progress
            && !stop()
            && let Err(error) = called_back(callback, share, &stopped)
        {
            fail(error);
        }
    };
    let done = py.detach(|| {
        thread::scope(|scope| {
            let (send, receive) = channel::<()>();
            let handle = thread::Builder::new()
                .stack_size(WORKER_STACK)
                .spawn_scoped(scope, || {
                    // Dropped when the work ends, however it ends.
                    let _send = send;
                    work(Interrupt::when(&stop).with_progress(&tell))
                })?;
            while receive.recv_timeout(SIGNAL_POLL_INTERVAL) == Err(RecvTimeoutError::Timeout) {
                if outer_stopped() {
                    fail(PyKeyboardInterrupt::new_err(()));
                } else if !stop() {
                    Python::attach(|py| {
                        if let Err(error) = py.check_signals() {
                            fail(error);
                        }
                    });
                }
            }
            Ok(handle.join())
        })
    });
    if let Ok(Some(error)) = raised.into_inner() {
        return Err(error);
    }
    match done {
        Ok(Ok(result)) => {
            py.check_signals()?;
            Ok(result)
        }
        Ok(Err(panic)) => Err(AxletreeError::new_err(format!(
            "internal error in axletree: {}",
            message(&*panic)
        ))),
        Err(error) => {
            let error: std::io::Error = error;
            Err(error.into())
        }
    }
}

/// Message of a panic.
fn message(panic: &(dyn Any + Send)) -> &str {
    panic
        .downcast_ref::<String>()
        .map(String::as_str)
        .or_else(|| panic.downcast_ref::<&str>().copied())
        .unwrap_or("no message")
}
