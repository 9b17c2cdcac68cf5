//! Maneuvers by name, from settings as data: what the Python package and other front ends build on.
//!
//! Settings are a JSON object; a setting that is left out keeps its default.

use axletree_limit::{CornerExit, DoubleLaneChange, Slalom};
use axletree_maneuver::{
    AccelerationEnvelope, BrakingInATurn, BumpInACorner, Circle, FrequencyResponse, Launch,
    LiftOffInATurn, Maneuver, RoughCorner, SineWithDwell, StepSteer,
};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

/// A maneuver that can be built from settings.
#[derive(Clone, Copy)]
pub struct RegisteredManeuver {
    /// Its name, [`Maneuver::name`].
    pub name: &'static str,
    /// Its settings with their default values, a JSON object.
    pub defaults: fn() -> Value,
    build: fn(&'static str, &Map<String, Value>) -> Result<BoxedManeuver, RegistryError>,
}

/// A maneuver of any kind.
pub type BoxedManeuver = Box<dyn Maneuver + Send>;

/// A request for a maneuver that cannot be met.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum RegistryError {
    /// There is no maneuver of this name.
    #[error("unknown maneuver \"{name}\"; there are {}", known.join(", "))]
    UnknownManeuver {
        /// The name asked for.
        name: String,
        /// Names of all maneuvers.
        known: Vec<&'static str>,
    },
    /// The maneuver has no such setting.
    #[error("{maneuver} has no setting \"{setting}\"; its settings are {}", known.join(", "))]
    UnknownSetting {
        /// The maneuver.
        maneuver: &'static str,
        /// The setting asked for.
        setting: String,
        /// Names of its settings.
        known: Vec<String>,
    },
    /// A setting has the wrong kind, or an unknown choice.
    #[error("{maneuver}{}{setting}: {message}", if setting.is_empty() { "" } else { "." })]
    Setting {
        /// The maneuver.
        maneuver: &'static str,
        /// Dotted path of the setting; empty where it is not known.
        setting: String,
        /// The reader's message.
        message: String,
    },
}

/// Settings of a kind over its defaults.
///
/// # Errors
/// [`RegistryError`] for a setting that does not exist, has the wrong kind, or is an unknown
/// choice.
pub fn settings<T: Default + Serialize + DeserializeOwned>(
    maneuver: &'static str,
    given: &Map<String, Value>,
) -> Result<T, RegistryError> {
    let fault = |setting: String, error: &dyn std::fmt::Display| RegistryError::Setting {
        maneuver,
        setting,
        message: error
            .to_string()
            .replace("unknown variant", "unknown choice"),
    };
    let defaults = serde_json::to_value(T::default());
    let mut all = defaults.map_err(|error| fault(String::new(), &error))?;
    if let Value::Object(all) = &mut all {
        for (key, value) in given {
            if !all.contains_key(key) {
                return Err(RegistryError::UnknownSetting {
                    maneuver,
                    setting: key.clone(),
                    known: all.keys().cloned().collect(),
                });
            }
            all.insert(key.clone(), value.clone());
        }
    }
    serde_path_to_error::deserialize(all)
        .map_err(|error| fault(error.path().to_string(), error.inner()))
}

fn entry<T>() -> RegisteredManeuver
where
    T: Default + Serialize + DeserializeOwned + Maneuver + Send + 'static,
{
    RegisteredManeuver {
        name: T::default().name(),
        defaults: || serde_json::to_value(T::default()).unwrap_or_default(),
        build: |name, given| Ok(Box::new(settings::<T>(name, given)?)),
    }
}

/// Every maneuver that can be built from settings alone. A new maneuver is one line.
pub fn maneuvers() -> [RegisteredManeuver; 13] {
    [
        entry::<StepSteer>(),
        entry::<Circle>(),
        entry::<Slalom>(),
        entry::<FrequencyResponse>(),
        entry::<SineWithDwell>(),
        entry::<BrakingInATurn>(),
        entry::<LiftOffInATurn>(),
        entry::<BumpInACorner>(),
        entry::<RoughCorner>(),
        entry::<DoubleLaneChange>(),
        entry::<AccelerationEnvelope>(),
        entry::<CornerExit>(),
        entry::<Launch>(),
    ]
}

/// The entry of a name.
///
/// # Errors
/// [`RegistryError::UnknownManeuver`].
pub fn find(name: &str) -> Result<RegisteredManeuver, RegistryError> {
    let all = maneuvers();
    all.into_iter()
        .find(|entry| entry.name == name)
        .ok_or_else(|| RegistryError::UnknownManeuver {
            name: name.to_owned(),
            known: all.iter().map(|entry| entry.name).collect(),
        })
}

/// The maneuver of a name with settings over its defaults.
///
/// ```
/// use axletree::registry::build;
/// use serde_json::json;
///
/// let settings = json!({ "lateral_acceleration": 6.0 });
/// let step = build("step_steer", settings.as_object().unwrap()).unwrap();
/// assert_eq!(step.name(), "step_steer");
/// assert!(build("step_stear", settings.as_object().unwrap()).is_err());
/// ```
///
/// # Errors
/// [`RegistryError`].
pub fn build(name: &str, given: &Map<String, Value>) -> Result<BoxedManeuver, RegistryError> {
    let entry = find(name)?;
    (entry.build)(entry.name, given)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn every_entry_builds_a_maneuver_of_its_name() {
        for entry in maneuvers() {
            let built = build(entry.name, &Map::new()).unwrap();
            assert_eq!(built.name(), entry.name);
            assert!(built.check().is_ok(), "{}", entry.name);
            assert!((entry.defaults)().is_object(), "{}", entry.name);
        }
    }

    #[test]
    fn what_is_wrong_is_named() {
        let given = json!({ "lateral_acceleration": 6.0 });
        let given = given.as_object().unwrap();
        let message = |name: &str, given: &Map<String, Value>| {
            build(name, given)
                .err()
                .map(|e| e.to_string())
                .unwrap_or_default()
        };
        assert!(message("slolom", given).contains("slalom"));
        assert!(message("slalom", given).contains("no setting \"lateral_acceleration\""));
        let wrong = json!({ "lateral_acceleration": "much" });
        let told = message("step_steer", wrong.as_object().unwrap());
        assert!(
            told.starts_with("step_steer.lateral_acceleration: "),
            "{told}"
        );
        let nested = json!({ "road": { "class": "E", "seed": 1, "coherence": "same" } });
        let told = message("rough_corner", nested.as_object().unwrap());
        assert!(
            told.starts_with("rough_corner.road.class: unknown choice `E`"),
            "{told}"
        );
    }
}
