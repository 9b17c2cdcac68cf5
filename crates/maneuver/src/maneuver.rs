//! The interface of every maneuver.

use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::metrics::{Measures, Metric};
use axletree_simulation::{Ending, ManeuverError, Outcome, Trace};
use axletree_vehicle::Model;

/// A maneuver: settings that say how a car is driven, and the metrics measured on the way.
///
/// Whatever happens to a car is an [`Outcome`], never an error. Errors are settings that fail
/// [`Maneuver::check`]; implementors may rely on checked settings in [`Maneuver::measure_all`] and
/// [`Maneuver::record`].
pub trait Maneuver: Sync {
    /// Name, snake case; the prefix of its metrics in tables.
    fn name(&self) -> &'static str;

    /// The measured metrics, in the order of [`Measures::values`].
    fn metrics(&self) -> Vec<&'static Metric>;

    /// Checks the settings.
    ///
    /// # Errors
    /// [`ManeuverError`] for a setting outside its range, and for settings that contradict each
    /// other.
    fn check(&self) -> Result<(), ManeuverError>;

    /// Metrics of several cars, in their order, with settings that passed [`Self::check`].
    ///
    /// The bits of a car do not depend on the others.
    fn measure_all(&self, models: &[&Model], interrupt: Interrupt<'_>) -> Vec<Measures>;

    /// A run with every channel recorded, with settings that passed [`Self::check`].
    fn record(&self, model: &Model, interrupt: Interrupt<'_>) -> Run;

    /// Number of cars worth handing to [`Self::measure_all`] at once.
    fn side_by_side(&self) -> usize {
        1
    }

    /// Checks the settings, then measures one car.
    ///
    /// # Errors
    /// [`ManeuverError`] for settings that fail [`Self::check`].
    fn measure(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Measures, ManeuverError> {
        self.check()?;
        Ok(single(self.measure_all(&[model], interrupt)))
    }

    /// Checks the settings, then runs one car with every channel recorded.
    ///
    /// # Errors
    /// [`ManeuverError`] for settings that fail [`Self::check`].
    fn run(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Run, ManeuverError> {
        self.check()?;
        Ok(self.record(model, interrupt))
    }
}

/// A recorded run.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Metrics and ending.
    pub measures: Measures,
    /// Recorded channels.
    pub trace: Trace,
}

impl Run {
    /// A run that could not start: no metrics, no records.
    pub fn could_not_start(
        maneuver: &'static str,
        outcome: Outcome,
        metrics: impl IntoIterator<Item = &'static Metric>,
    ) -> Self {
        Run {
            measures: Measures::empty(maneuver, Ending::at(outcome, 0.0), metrics),
            trace: Trace::default(),
        }
    }
}

/// The one result of one car.
///
/// # Panics
/// If there is none or more than one: a mistake in a maneuver.
pub(crate) fn single<T>(mut all: Vec<T>) -> T {
    match (all.pop(), all.len()) {
        (Some(one), 0) => one,
        (_, more) => unreachable!("one car gives one result, not {more} more"),
    }
}
