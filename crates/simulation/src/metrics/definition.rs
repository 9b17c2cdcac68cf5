//! The declaration of a metric and the flat table of measured values.

use axletree_report::Quantity;

use crate::outcome::Ending;

/// A metric: its declaration and its resolution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Metric {
    /// Name (unique within a maneuver), unit, meaning and source of the definition.
    pub quantity: Quantity,
    /// Resolution to which two runs must agree, in the metric's unit: smaller differences mean
    /// nothing.
    pub floor: f64,
    /// Reason why a completed run may leave the metric undefined.
    pub missing: &'static str,
}

impl Metric {
    /// Name, snake case.
    pub const fn name(&self) -> &'static str {
        self.quantity.key
    }
}

/// The metrics of one maneuver with one car, and their values.
///
/// A value that does not exist for a run (no peak, a run that ended early) is NaN; the ending says
/// why.
#[derive(Clone, Debug, PartialEq)]
pub struct Measures {
    /// Name of the maneuver.
    pub maneuver: &'static str,
    /// Ending of the run.
    pub ending: Ending,
    /// Every metric of the maneuver with its value, always the same ones in the same order.
    pub values: Vec<(&'static Metric, f64)>,
}

impl Measures {
    /// All metrics of a maneuver, without values yet.
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

    /// The outcome as a sentence, with the reason of every missing value.
    ///
    /// A run that ended early is missing values because it did: the outcome is their reason.
    ///
    /// ```
    /// use axletree_simulation::metrics::{Measures, list};
    /// use axletree_simulation::Ending;
    ///
    /// let metrics = [&list::SPEED_AT_LIMIT, &list::WHEEL_LIFT_LATERAL_ACCELERATION];
    /// let mut measures = Measures::empty("circle", Ending::completed(0.0), metrics);
    /// measures.set(&list::SPEED_AT_LIMIT, 30.0);
    /// assert_eq!(
    ///     measures.message(),
    ///     "completed; no wheel_lift_lateral_acceleration: no wheel leaves the road up to the limit"
    /// );
    /// ```
    pub fn message(&self) -> String {
        ending_message(&self.ending, self.values.iter().copied())
    }

    /// The value of a metric by name; none where the maneuver has no such metric.
    pub fn get(&self, name: &str) -> Option<f64> {
        self.values
            .iter()
            .find(|(m, _)| m.name() == name)
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
            .find(|(m, _)| m.name() == metric.name())
            .unwrap_or_else(|| panic!("{} is no metric of this maneuver", metric.name()));
        slot.1 = value;
    }
}

/// The outcome of a run as a sentence, with the reason of every missing value; as
/// [`Measures::message`], from the ending and the values.
pub fn ending_message(
    ending: &Ending,
    values: impl IntoIterator<Item = (&'static Metric, f64)>,
) -> String {
    let outcome = ending.outcome.to_string();
    if !ending.outcome.is_completed() {
        return outcome;
    }
    // Metrics with the same reason are named together, in the order of the first.
    let mut reasons: Vec<(&str, Vec<&str>)> = Vec::new();
    for (metric, value) in values {
        if value.is_finite() {
            continue;
        }
        match reasons.iter_mut().find(|(r, _)| *r == metric.missing) {
            Some((_, names)) => names.push(metric.name()),
            None => reasons.push((metric.missing, vec![metric.name()])),
        }
    }
    let missing = reasons
        .into_iter()
        .map(|(reason, names)| format!("no {}: {reason}", names.join(", ")));
    let parts: Vec<String> = std::iter::once(outcome).chain(missing).collect();
    parts.join("; ")
}
