//! Faults of a maneuver's settings.

use std::fmt;

/// A fault of a maneuver's settings. What happens to the car is an [`Outcome`](crate::Outcome), not
/// an error.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ManeuverError {
    /// A setting is outside its range.
    #[error(
        "{maneuver}.{setting} = {} is out of range (allowed: {low} to {})",
        InUnit(*value, unit), InUnit(*high, unit)
    )]
    Setting {
        /// Name of the maneuver.
        maneuver: &'static str,
        /// Name of the setting.
        setting: &'static str,
        /// Its value.
        value: f64,
        /// Least allowed.
        low: f64,
        /// Most allowed.
        high: f64,
        /// Its unit.
        unit: &'static str,
    },
    /// Two settings are in the wrong order.
    #[error(
        "{maneuver}.{setting} = {} must be below {other} = {}",
        InUnit(*value, unit), InUnit(*limit, unit)
    )]
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
    /// A path has too few points, or two neighbors coincide.
    #[error(
        "a path needs at least {least} points, each at least 1 mm from the one before: point {index}, counted from 0, is missing, not finite or too near"
    )]
    Path {
        /// Fewest points.
        least: usize,
        /// Index of the point, counted from zero.
        index: usize,
    },
    /// Several faults at once.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Several(
        /// Each of them.
        Vec<ManeuverError>,
    ),
}

/// A value with its SI unit, with degrees beside radians; a pure number has no unit.
struct InUnit<'a>(f64, &'a str);

impl fmt::Display for InUnit<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let InUnit(value, unit) = *self;
        match unit.strip_prefix("rad") {
            _ if unit == "-" => write!(f, "{value}"),
            Some(rest) if !unit.contains("m/") => {
                write!(f, "{value} {unit} ({:.1} deg{rest})", value.to_degrees())
            }
            _ => write!(f, "{value} {unit}"),
        }
    }
}

impl ManeuverError {
    /// Ok without faults; else the one fault, or all of them together.
    ///
    /// # Errors
    /// The faults.
    pub fn all(mut faults: Vec<ManeuverError>) -> Result<(), ManeuverError> {
        match faults.len() {
            0 => Ok(()),
            1 => Err(faults.remove(0)),
            _ => Err(ManeuverError::Several(faults)),
        }
    }
}

/// Checks that a setting is inside its range; NaN is not.
///
/// # Errors
/// [`ManeuverError::Setting`] with the value and the range.
///
/// ```
/// use axletree_simulation::within;
///
/// assert!(within("step_steer", "speed", 20.0, (1.0, 100.0), "m/s").is_ok());
/// let fault = within("step_steer", "speed", 0.0, (1.0, 100.0), "m/s").unwrap_err();
/// assert_eq!(
///     fault.to_string(),
///     "step_steer.speed = 0 m/s is out of range (allowed: 1 to 100 m/s)"
/// );
/// ```
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
