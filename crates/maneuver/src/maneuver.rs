//! What every maneuver offers.

use axletree_vehicle::Model;

use crate::side_by_side as several;
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::error::ManeuverError;
use axletree_simulation::metrics::{Measures, Metric};
use axletree_simulation::trace::{Recorder, Trace};

/// A maneuver: settings that say what is done with a car, and what is measured.
///
/// `run` and `measure` never fail for what happens to the car, which is an
/// [`Outcome`](axletree_simulation::Outcome); they fail for settings that make no sense.
pub trait Maneuver: Sync {
    /// Name, snake case; the prefix of its metrics in tables.
    fn name(&self) -> &'static str;

    /// The metrics it measures, in the order of [`Measures::values`].
    fn metrics(&self) -> Vec<&'static Metric>;

    /// Checks the settings.
    fn check(&self) -> Result<(), ManeuverError>;

    /// Headline numbers of several cars, in their order, with settings that passed [`Self::check`].
    ///
    /// Whatever happens to a car is an outcome: no car of a study is lost to an error. A car's bits do not
    /// depend on the others.
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
        Ok(several::single(self.measure_all(&[model], interrupt)))
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

/// A maneuver of one drive a car. How it is carried out with several cars says it all: what [`Maneuver`] offers
/// beyond follows from it.
pub trait DriveManeuver: Sync {
    /// See [`Maneuver::name`].
    fn name(&self) -> &'static str;

    /// See [`Maneuver::metrics`].
    fn metrics(&self) -> Vec<&'static Metric>;

    /// See [`Maneuver::check`].
    fn check(&self) -> Result<(), ManeuverError>;

    /// What records the little that the metrics need.
    fn recorder(&self) -> Recorder;

    /// Carries it out with every car, in their order, each seen by a recorder of its own.
    fn perform(
        &self,
        models: &[&Model],
        recorder: &dyn Fn() -> Recorder,
        interrupt: Interrupt<'_>,
    ) -> Vec<Run>;
}

impl<D: DriveManeuver> Maneuver for D {
    fn name(&self) -> &'static str {
        DriveManeuver::name(self)
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        DriveManeuver::metrics(self)
    }

    fn check(&self) -> Result<(), ManeuverError> {
        DriveManeuver::check(self)
    }

    fn measure_all(&self, models: &[&Model], interrupt: Interrupt<'_>) -> Vec<Measures> {
        let runs = self.perform(models, &|| self.recorder(), interrupt);
        runs.into_iter().map(|run| run.measures).collect()
    }

    fn side_by_side(&self) -> usize {
        several::MANY
    }

    fn record(&self, model: &Model, interrupt: Interrupt<'_>) -> Run {
        several::single(self.perform(&[model], &Recorder::everything, interrupt))
    }
}

/// A recorded run.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// The headline numbers and how it ended.
    pub measures: Measures,
    /// Everything recorded.
    pub trace: Trace,
}
