//! Maneuvers that are one drive of a car.

use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels::Channel;
use axletree_simulation::metrics::{Measures, Metric};
use axletree_simulation::{Ending, ManeuverError, Outcome, Recorder, Trace};
use axletree_vehicle::Model;

use crate::maneuver::{Maneuver, Run, single};
use crate::measured_by::{MeasuredBy, measures, metrics};
use crate::side_by_side::BATCH;

/// A maneuver that is one drive of a car. Implementors define only how a batch of cars is driven;
/// all of
/// [`Maneuver`] is derived from it.
pub(crate) trait DriveManeuver: Sync {
    /// Findings of a drive beside its trace.
    type Found: 'static;

    /// See [`Maneuver::name`].
    const NAME: &'static str;

    /// Channels that the metrics need.
    const CHANNELS: &'static [&'static Channel];

    /// The metrics, each with its function.
    const METRICS: &'static [MeasuredBy<Recorded<Self::Found>>];

    /// See [`Maneuver::check`].
    fn check(&self) -> Result<(), ManeuverError>;

    /// Drives every car, in their order, each with a recorder of its own.
    fn perform(
        &self,
        models: &[&Model],
        recorder: &dyn Fn() -> Recorder,
        interrupt: Interrupt<'_>,
    ) -> Vec<Performed<Self::Found>>;
}

/// The trace of a drive with the maneuver's findings.
pub(crate) struct Recorded<F> {
    pub trace: Trace,
    pub found: F,
}

impl<F> Recorded<F> {
    /// Samples of a channel; none where it was not recorded.
    pub fn column(&self, channel: &Channel) -> &[f64] {
        self.trace.get(channel.name()).unwrap_or(&[])
    }

    /// Largest magnitude of a channel; not a number where it was not recorded.
    pub fn largest_magnitude(&self, channel: &Channel) -> f64 {
        let magnitudes = |column: &[f64]| column.iter().fold(0.0, |a: f64, v| a.max(v.abs()));
        self.trace.get(channel.name()).map_or(f64::NAN, magnitudes)
    }
}

/// A drive that ended.
pub(crate) struct Performed<F> {
    pub ending: Ending,
    pub trace: Trace,
    /// None where the metrics have no values.
    pub found: Option<F>,
}

impl<F> Performed<F> {
    /// A drive that could not start.
    pub fn could_not_start(outcome: Outcome) -> Self {
        Performed {
            ending: Ending::at(outcome, 0.0),
            trace: Trace::default(),
            found: None,
        }
    }

    /// The metrics of a table.
    fn measured(self, maneuver: &'static str, table: &[MeasuredBy<Recorded<F>>]) -> Run {
        let Performed {
            ending,
            trace,
            found,
        } = self;
        let Some(found) = found else {
            let measures = measures(table, maneuver, ending, None);
            return Run { measures, trace };
        };
        let recorded = Recorded { trace, found };
        Run {
            measures: measures(table, maneuver, ending, Some(&recorded)),
            trace: recorded.trace,
        }
    }
}

/// Drives every car with a recorder and measures.
fn measured<D: DriveManeuver>(
    maneuver: &D,
    models: &[&Model],
    recorder: &dyn Fn() -> Recorder,
    interrupt: Interrupt<'_>,
) -> Vec<Run> {
    let performed = maneuver.perform(models, recorder, interrupt);
    performed
        .into_iter()
        .map(|one| one.measured(D::NAME, D::METRICS))
        .collect()
}

impl<D: DriveManeuver> Maneuver for D {
    fn name(&self) -> &'static str {
        D::NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        metrics(D::METRICS)
    }

    fn check(&self) -> Result<(), ManeuverError> {
        DriveManeuver::check(self)
    }

    fn measure_all(&self, models: &[&Model], interrupt: Interrupt<'_>) -> Vec<Measures> {
        let runs = measured(self, models, &|| Recorder::of(D::CHANNELS), interrupt);
        runs.into_iter().map(|run| run.measures).collect()
    }

    fn record(&self, model: &Model, interrupt: Interrupt<'_>) -> Run {
        single(measured(self, &[model], &Recorder::everything, interrupt))
    }

    fn side_by_side(&self) -> usize {
        BATCH
    }
}
