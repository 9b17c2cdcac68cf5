//! Cancellation and progress callbacks for long computations.

/// Cancellation and progress of a long computation.
///
/// Loops ask for a stop and report progress between integrations and about every tenth of a
/// simulated second.
///
/// ```
/// use axletree_numerics::Interrupt;
///
/// let stop = || true;
/// assert!(Interrupt::when(&stop).stopped());
/// assert!(!Interrupt::never().stopped());
/// ```
#[derive(Clone, Copy)]
pub struct Interrupt<'a> {
    stop: Option<&'a (dyn Fn() -> bool + Sync)>,
    progress: Option<&'a (dyn Fn(f64) + Sync)>,
}

impl<'a> Interrupt<'a> {
    /// Never stops and reports nothing.
    pub fn never() -> Interrupt<'static> {
        Interrupt {
            stop: None,
            progress: None,
        }
    }

    /// Stops as soon as `stop` returns true.
    pub fn when(stop: &'a (dyn Fn() -> bool + Sync)) -> Self {
        Interrupt {
            stop: Some(stop),
            progress: None,
        }
    }

    /// The same, with a callback that receives the share that is done `[-, 0 to 1]`.
    #[must_use]
    pub fn with_progress(self, progress: &'a (dyn Fn(f64) + Sync)) -> Self {
        Interrupt {
            progress: Some(progress),
            ..self
        }
    }

    /// The same without progress, for the inner loops of a longer computation.
    #[must_use]
    pub fn without_progress(self) -> Self {
        Interrupt {
            progress: None,
            ..self
        }
    }

    /// Whether the caller asks to stop.
    pub fn stopped(&self) -> bool {
        self.stop.is_some_and(|stop| stop())
    }

    /// Reports the share that is done `[-, 0 to 1]`.
    pub fn report(&self, share: f64) {
        if let Some(progress) = self.progress {
            progress(share);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Mutex;

    #[test]
    fn asks_and_tells() {
        assert!(!Interrupt::never().stopped());
        let seen = Mutex::new(Vec::new());
        let tell = |x: f64| seen.lock().unwrap().push(x);
        let watched = Interrupt::when(&|| true).with_progress(&tell);
        watched.report(0.5);
        watched.without_progress().report(0.7);
        assert!(watched.stopped());
        assert_eq!(*seen.lock().unwrap(), [0.5]);
    }
}
