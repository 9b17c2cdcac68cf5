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

    /// The headline numbers, with no more recorded than they need.
    fn measure(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Measures, ManeuverError>;

    /// The headline numbers of several cars, in their order: the same bits as [`Self::measure`] gives for
    /// each, faster where cars can be driven side by side.
    fn measure_all(
        &self,
        models: &[&Model],
        interrupt: Interrupt<'_>,
    ) -> Vec<Result<Measures, ManeuverError>> {
        models
            .iter()
            .map(|model| self.measure(model, interrupt))
            .collect()
    }

    /// How many cars are worth handing to [`Self::measure_all`] at once.
    fn side_by_side(&self) -> usize {
        1
    }

    /// The same with every channel recorded.
    fn run(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Run, ManeuverError>;
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
    ) -> Vec<Result<Run, ManeuverError>>;
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

    fn measure(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Measures, ManeuverError> {
        let runs = self.perform(&[model], &|| self.recorder(), interrupt);
        Ok(several::only(runs)?.measures)
    }

    fn measure_all(
        &self,
        models: &[&Model],
        interrupt: Interrupt<'_>,
    ) -> Vec<Result<Measures, ManeuverError>> {
        several::measures(self.perform(models, &|| self.recorder(), interrupt))
    }

    fn side_by_side(&self) -> usize {
        several::MANY
    }

    fn run(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Run, ManeuverError> {
        several::only(self.perform(&[model], &Recorder::everything, interrupt))
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
