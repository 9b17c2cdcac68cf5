//! The declaration of a metric and the flat table of measured values.

use crate::outcome::Ending;

/// One metric, declared once: tables, labels and documentation come from this.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Metric {
    /// Name, snake case, unique within a maneuver.
    pub name: &'static str,
    /// Its SI unit; "-" for a pure number.
    pub unit: &'static str,
    /// What it means, with its sign where it has one.
    pub meaning: &'static str,
    /// Where its definition is from.
    pub source: &'static str,
    /// Differences below this are nothing: the resolution to which runs must agree [its unit].
    pub floor: f64,
}

/// The headline numbers of one maneuver with one car.
///
/// A value that does not exist for a run (a peak that never came, a run that ended before) is not a
/// number; the ending says why.
#[derive(Clone, Debug, PartialEq)]
pub struct Measures {
    /// Name of the maneuver.
    pub maneuver: &'static str,
    /// How it ended.
    pub ending: Ending,
    /// Every metric of the maneuver with its value, always the same ones in the same order.
    pub values: Vec<(&'static Metric, f64)>,
}

impl Measures {
    /// All metrics of a maneuver, none measured yet.
    pub fn empty(
        maneuver: &'static str,
        ending: Ending,
        metrics: impl IntoIterator<Item = &'static Metric>,
    ) -> Self {
        Measures {
            maneuver,
            ending,
            values: metrics.into_iter().map(|m| (m, f64::NAN)).collect(),
        }
    }

    /// The value of a metric by name; none where the maneuver has no such metric.
    pub fn get(&self, name: &str) -> Option<f64> {
        self.values
            .iter()
            .find(|(m, _)| m.name == name)
            .map(|(_, v)| *v)
    }

    /// Sets a value.
    ///
    /// # Panics
    /// If the metric is not one of the maneuver's: a mistake in the maneuver.
    pub fn set(&mut self, metric: &'static Metric, value: f64) {
        let slot = self
            .values
            .iter_mut()
            .find(|(m, _)| m.name == metric.name)
            .unwrap_or_else(|| panic!("{} is no metric of this maneuver", metric.name));
        slot.1 = value;
    }
}
