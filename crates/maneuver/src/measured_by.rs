//! A metric together with the function that measures it.
//!
//! A maneuver lists its metrics once, as a table of [`MeasuredBy`] over what it finds with a car;
//! the names and the values come from the same table.

use axletree_simulation::metrics::{Measures, Metric};
use axletree_simulation::outcome::Ending;

/// A metric and its value as a function of the findings `F` of a maneuver.
pub struct MeasuredBy<F>(pub &'static Metric, pub fn(&F) -> f64);

/// The metrics of a table, in its order.
pub fn metrics<F>(table: &[MeasuredBy<F>]) -> Vec<&'static Metric> {
    table.iter().map(|measured| measured.0).collect()
}

/// The values of a table's metrics; not numbers without findings.
pub fn measures<F>(
    table: &[MeasuredBy<F>],
    maneuver: &'static str,
    ending: Ending,
    findings: Option<&F>,
) -> Measures {
    let value = |by: fn(&F) -> f64| findings.map_or(f64::NAN, by);
    Measures {
        maneuver,
        ending,
        values: table
            .iter()
            .map(|&MeasuredBy(metric, by)| (metric, value(by)))
            .collect(),
    }
}
