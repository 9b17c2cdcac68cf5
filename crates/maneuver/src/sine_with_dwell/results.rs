//! Metrics of the sine with dwell.

use axletree_numerics::interrupt::Interrupt;
use axletree_scalar::LANES;
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::{Ending, ManeuverError, Outcome};
use axletree_vehicle::Model;

use super::criteria::{Assessment, is_responsive};
use super::series::{DwellRun, DwellSeries};
use super::settings::{NAME, SineWithDwell};
use crate::maneuver::{Maneuver, Run, single};
use crate::measured_by::{MeasuredBy, measures, metrics};

/// The metrics of a series.
const METRICS: &[MeasuredBy<DwellSeries>] = &[
    MeasuredBy(&m::REFERENCE_ANGLE, |s| s.reference),
    MeasuredBy(&m::LARGEST_AMPLITUDE, |s| s.last().amplitude),
    MeasuredBy(&m::YAW_RATE_LEFT_EARLY, |s| s.worst(|a| a.yaw_rate_left[0])),
    MeasuredBy(&m::YAW_RATE_LEFT_LATE, |s| s.worst(|a| a.yaw_rate_left[1])),
    MeasuredBy(&m::LATERAL_DISPLACEMENT, DwellSeries::displacement),
    MeasuredBy(&m::CRITERIA_MET, |s| {
        s.judged(|s| f64::from(s.not_met().is_none()))
    }),
    MeasuredBy(&m::AMPLITUDE_NOT_MET, |s| {
        s.judged(|s| s.not_met().map_or(f64::NAN, |run| run.amplitude))
    }),
    MeasuredBy(&m::SIDESLIP_LARGEST, |s| s.worst(|a| a.sideslip)),
    MeasuredBy(&m::ROLL_ANGLE_LARGEST, |s| s.worst(|a| a.roll_angle)),
];

impl DwellSeries {
    /// The last run of the series.
    fn last(&self) -> &DwellRun {
        &self.runs[self.runs.len() - 1]
    }

    /// Largest of a quantity over the runs.
    fn worst(&self, read: impl Fn(&Assessment) -> f64) -> f64 {
        self.runs
            .iter()
            .map(|run| read(&run.assessment))
            .fold(f64::NAN, f64::max)
    }

    /// Least displacement of the runs in which it counts `[m]`.
    fn displacement(&self) -> f64 {
        self.runs
            .iter()
            .filter(|run| is_responsive(run.amplitude, self.reference))
            .map(|run| run.assessment.displacement)
            .fold(f64::NAN, f64::min)
    }

    /// The first run that does not meet the criteria.
    fn not_met(&self) -> Option<&DwellRun> {
        self.runs.iter().find(|run| !run.met)
    }

    /// A verdict on the whole series; not a number for an interrupted one.
    fn judged(&self, verdict: impl Fn(&Self) -> f64) -> f64 {
        if self.last().ending.outcome == Outcome::Interrupted {
            return f64::NAN;
        }
        verdict(self)
    }
}

/// Metrics of a series, or none.
fn measured(series: &Result<DwellSeries, Outcome>) -> Measures {
    let ending = match series {
        Ok(series) => series.last().ending,
        Err(outcome) => Ending::at(*outcome, 0.0),
    };
    measures(METRICS, NAME, ending, series.as_ref().ok())
}

impl Maneuver for SineWithDwell {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        metrics(METRICS)
    }

    fn check(&self) -> Result<(), ManeuverError> {
        self.checked()
    }

    fn measure_all(&self, models: &[&Model], interrupt: Interrupt<'_>) -> Vec<Measures> {
        let all = self.series(models, interrupt);
        all.iter().map(measured).collect()
    }

    /// The amplitudes of a car fill the lanes; only the slow steer needs other cars beside it.
    fn side_by_side(&self) -> usize {
        LANES
    }

    /// Records the last run of the series.
    fn record(&self, model: &Model, interrupt: Interrupt<'_>) -> Run {
        let series = single(self.series(&[model], interrupt));
        let trace = series
            .as_ref()
            .ok()
            .and_then(|series| self.last_run(model, series, interrupt));
        Run {
            measures: measured(&series),
            trace: trace.unwrap_or_default(),
        }
    }
}
