//! Breaking off and watching long computations.

/// What a long loop asks now and then: whether to stop, and whom to tell how far it is.
///
/// Loops ask between integrations and about every tenth of a simulated second.
#[derive(Clone, Copy)]
pub struct Interrupt<'a> {
    stop: Option<&'a (dyn Fn() -> bool + Sync)>,
    progress: Option<&'a (dyn Fn(f64) + Sync)>,
}

impl<'a> Interrupt<'a> {
    /// Never stops, tells nobody.
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

    /// The same, and tells `progress` the share that is done, from 0 to 1.
    #[must_use]
    pub fn telling(self, progress: &'a (dyn Fn(f64) + Sync)) -> Self {
        Interrupt {
            progress: Some(progress),
            ..self
        }
    }

    /// The same without progress, for the inner loops of a longer work.
    #[must_use]
    pub fn quiet(self) -> Self {
        Interrupt {
            progress: None,
            ..self
        }
    }

    /// Whether to stop now.
    pub fn stopped(&self) -> bool {
        self.stop.is_some_and(|stop| stop())
    }

    /// Tells the share that is done [-, 0 to 1].
    pub fn tell(&self, share: f64) {
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
        let watched = Interrupt::when(&|| true).telling(&tell);
        watched.tell(0.5);
        watched.quiet().tell(0.7);
        assert!(watched.stopped());
        assert_eq!(*seen.lock().unwrap(), [0.5]);
    }
}
