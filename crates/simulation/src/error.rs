//! What can be wrong with a request.

/// A setting of a maneuver that makes no sense. What happens to the car is not an error but an
/// [`Outcome`](crate::Outcome).
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ManeuverError {
    /// A setting is outside its range.
    #[error("{maneuver}.{setting} = {value} {unit}: allowed is {low} to {high} {unit}")]
    Setting {
        /// Name of the maneuver.
        maneuver: &'static str,
        /// Name of the setting.
        setting: &'static str,
        /// What was asked for.
        value: f64,
        /// Least allowed.
        low: f64,
        /// Most allowed.
        high: f64,
        /// Its unit.
        unit: &'static str,
    },
    /// Two settings exclude each other.
    #[error("{maneuver}.{setting} = {value} {unit} must lie below {other} = {limit} {unit}")]
    Order {
        /// Name of the maneuver.
        maneuver: &'static str,
        /// The setting that must be smaller.
        setting: &'static str,
        /// Its value.
        value: f64,
        /// The setting that must be larger.
        other: &'static str,
        /// Its value.
        limit: f64,
        /// Their unit.
        unit: &'static str,
    },
    /// A path has too few points or points that coincide.
    #[error(
        "a path needs at least {least} different points; point {index} is not different from the one before"
    )]
    Path {
        /// Fewest points.
        least: usize,
        /// Where the fault lies.
        index: usize,
    },
    /// Several faults at once.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Several(
        /// Each of them.
        Vec<ManeuverError>,
    ),
}

impl ManeuverError {
    /// Nothing, one fault, or several.
    pub fn all(mut faults: Vec<ManeuverError>) -> Result<(), ManeuverError> {
        match faults.len() {
            0 => Ok(()),
            1 => Err(faults.remove(0)),
            _ => Err(ManeuverError::Several(faults)),
        }
    }
}

/// Checks that a setting is finite and inside its range.
pub fn within(
    maneuver: &'static str,
    setting: &'static str,
    value: f64,
    (low, high): (f64, f64),
    unit: &'static str,
) -> Result<(), ManeuverError> {
    if value >= low && value <= high {
        Ok(())
    } else {
        Err(ManeuverError::Setting {
            maneuver,
            setting,
            value,
            low,
            high,
            unit,
        })
    }
}
