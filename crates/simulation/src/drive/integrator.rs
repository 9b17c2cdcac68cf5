//! The choice of an integrator for a drive.

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use crate::error::{ManeuverError, within};

/// Relative and absolute tolerance of the adaptive integrator where none is stated.
///
/// The metrics of a step steer then agree with those at 1e-10 to a hundredth of their floors.
pub const ADAPTIVE_TOLERANCE: f64 = 1e-9;
/// Tolerances that make sense: above, the lags of the compliances are no longer followed; below,
/// rounding decides.
const TOLERANCES: (f64, f64) = (1e-12, 1e-4);

/// Integrator of a drive.
///
/// Both integrators meet the same points of the time grid, so that records, judgements and breaks
/// fall on the same times. As a setting it is written `"fixed"`, `"adaptive"` (with
/// [`ADAPTIVE_TOLERANCE`]) or `{"adaptive": 1e-9}`.
///
/// ```
/// use axletree_simulation::drive::{ADAPTIVE_TOLERANCE, Integrator};
///
/// assert_eq!(Integrator::default(), Integrator::Fixed);
/// let adaptive = Integrator::Adaptive { tolerance: ADAPTIVE_TOLERANCE };
/// assert_eq!(adaptive.check("step_steer"), Ok(()));
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Integrator {
    /// One step of the classical Runge-Kutta method, with pure lags exact, from point to point of
    /// the grid: [`axletree_numerics::stepping`]. The same bits on every machine.
    #[default]
    Fixed,
    /// Steps of the method of Dormand and Prince within a tolerance:
    /// [`axletree_numerics::adaptive`]. Slower, an independent check of the fixed step.
    Adaptive {
        /// Relative and absolute tolerance `[-]` and `[unit of the state]`.
        tolerance: f64,
    },
}

impl Integrator {
    /// Checks the tolerance of a maneuver's integrator.
    ///
    /// # Errors
    /// [`ManeuverError::Setting`] for a tolerance outside 1e-12 to 1e-4.
    pub fn check(&self, maneuver: &'static str) -> Result<(), ManeuverError> {
        match *self {
            Integrator::Fixed => Ok(()),
            Integrator::Adaptive { tolerance } => {
                within(maneuver, "integrator", tolerance, TOLERANCES, "-")
            }
        }
    }
}

/// The forms of the setting.
#[derive(Deserialize)]
#[serde(untagged)]
enum Written {
    Name(String),
    Tolerance(Tolerance),
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Tolerance {
    adaptive: f64,
}

impl Serialize for Integrator {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match *self {
            Integrator::Fixed => serializer.serialize_str("fixed"),
            Integrator::Adaptive { tolerance } => Tolerance {
                adaptive: tolerance,
            }
            .serialize(serializer),
        }
    }
}

impl<'de> Deserialize<'de> for Integrator {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        const FORMS: &str = r#"an integrator is "fixed", "adaptive" or {"adaptive": tolerance}"#;
        match Written::deserialize(deserializer) {
            Ok(Written::Name(name)) if name == "fixed" => Ok(Integrator::Fixed),
            Ok(Written::Name(name)) if name == "adaptive" => Ok(Integrator::Adaptive {
                tolerance: ADAPTIVE_TOLERANCE,
            }),
            Ok(Written::Name(name)) => Err(de::Error::custom(format!("{FORMS}, not {name:?}"))),
            Ok(Written::Tolerance(Tolerance { adaptive })) => Ok(Integrator::Adaptive {
                tolerance: adaptive,
            }),
            Err(_) => Err(de::Error::custom(FORMS)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_are_read_and_written() {
        let read = |text: &str| serde_json::from_str::<Integrator>(text);
        assert_eq!(read(r#""fixed""#).unwrap(), Integrator::Fixed);
        let tenth = Integrator::Adaptive { tolerance: 1e-10 };
        assert_eq!(read(r#"{"adaptive": 1e-10}"#).unwrap(), tenth);
        let plain = Integrator::Adaptive {
            tolerance: ADAPTIVE_TOLERANCE,
        };
        assert_eq!(read(r#""adaptive""#).unwrap(), plain);
        for text in [r#""euler""#, r#"{"adaptive": 1e-9, "x": 1}"#, "3", "{}"] {
            let fault = read(text).unwrap_err().to_string();
            assert!(fault.starts_with("an integrator is \"fixed\""), "{fault}");
        }
        for integrator in [Integrator::Fixed, tenth] {
            let text = serde_json::to_string(&integrator).unwrap();
            assert_eq!(read(&text).unwrap(), integrator, "{text}");
        }
        assert!(Integrator::Adaptive { tolerance: 0.1 }.check("x").is_err());
        assert!(
            Integrator::Adaptive {
                tolerance: f64::NAN
            }
            .check("x")
            .is_err()
        );
    }
}
