//! A model as a record of named numbers, which survives a change of the numbers' order and is
//! refused where their set or their meaning has changed.
//!
//! A record holds a schema number, the car's name, its topology (the kind of rear end), its gears,
//! and every other number under its dotted path: those of the equations as [`Named`] lists them,
//! the outer measures under `geometry`, the travels at rest under `rest_travel`. It depends on no
//! other car.

use std::collections::BTreeMap;

use axletree_scalar::numbers::{FromNamed, Named, join};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::model::{Geometry, Model};
use super::numbers::Numbers;

/// Version of the meaning of a model's numbers. Raised whenever a number changes its meaning, unit
/// or sign without changing its path; paths that come or go are noticed by themselves.
pub const RECORD_SCHEMA: u32 = 1;

/// Paths that a message lists before it only counts them.
const LISTED: usize = 5;

/// Why a record is not a model.
#[derive(Clone, Debug, PartialEq, Error)]
#[non_exhaustive]
pub enum RecordError {
    /// The record has another schema.
    #[error(
        "the model's record has schema {found}, this version of Axletree reads schema {RECORD_SCHEMA}: \
         assemble the car again from its description"
    )]
    Schema {
        /// Schema of the record; 0 where it has none.
        found: u32,
    },
    /// The rear end is neither of the two kinds.
    #[error("the model's record has rear = \"{0}\"; allowed: \"independent\", \"solid\"")]
    Rear(String),
    /// Numbers are missing.
    #[error("the model's record lacks {}", listed(.0))]
    Missing(Vec<String>),
    /// There are numbers that a car of this topology does not have.
    #[error("no number of this car has the path {}", listed(.0))]
    Unknown(Vec<String>),
    /// A number is not finite.
    #[error("{path} = {value} is not finite")]
    NotFinite {
        /// Path of the number.
        path: String,
        /// The number.
        value: f64,
    },
}

/// The first few paths, and how many more there are.
fn listed(paths: &[String]) -> String {
    let text = paths[..paths.len().min(LISTED)].join(", ");
    match paths.len().checked_sub(LISTED) {
        None | Some(0) => text,
        Some(more) => format!("{text} and {more} more"),
    }
}

/// The stored form of a model.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(default)]
#[derive(Default)]
pub(super) struct Record {
    schema: u32,
    name: String,
    /// "independent" or "solid".
    rear: String,
    /// By dotted path.
    numbers: BTreeMap<String, f64>,
    gears: Vec<f64>,
}

/// The dotted paths of the outer measures and of the travels at rest.
fn measures(each: &mut dyn FnMut(&str, f64), geometry: &Geometry, rest_travel: &[f64; 4]) {
    for (name, value) in [
        ("wheelbase", geometry.wheelbase),
        ("front_axle", geometry.front_axle),
        ("width", geometry.width),
        ("nose", geometry.nose),
        ("tail", geometry.tail),
    ] {
        each(&join("geometry", name), value);
    }
    geometry.track.named("geometry.track", each);
    rest_travel.named("rest_travel", each);
}

impl From<Model> for Record {
    fn from(model: Model) -> Self {
        let mut numbers: BTreeMap<String, f64> = model.named_numbers().into_iter().collect();
        let mut add = |path: &str, value| {
            numbers.insert(path.to_owned(), value);
        };
        measures(&mut add, &model.geometry, &model.rest_travel);
        Record {
            schema: RECORD_SCHEMA,
            rear: if model.solid_rear() {
                "solid".to_owned()
            } else {
                "independent".to_owned()
            },
            name: model.name,
            numbers,
            gears: model.gears,
        }
    }
}

impl TryFrom<Record> for Model {
    type Error = RecordError;

    fn try_from(record: Record) -> Result<Self, RecordError> {
        let Record {
            schema,
            name,
            rear,
            mut numbers,
            gears,
        } = record;
        if schema != RECORD_SCHEMA {
            return Err(RecordError::Schema { found: schema });
        }
        let solid = match rear.as_str() {
            "solid" => true,
            "independent" => false,
            _ => return Err(RecordError::Rear(rear)),
        };
        check_finite(&numbers)?;
        for (i, ratio) in gears.iter().enumerate() {
            check_finite([(&format!("gears.{i}"), ratio)])?;
        }
        let mut missing = Vec::new();
        let mut take = |path: &str| {
            numbers.remove(path).unwrap_or_else(|| {
                missing.push(path.to_owned());
                0.0
            })
        };
        let model = Model {
            name,
            numbers: Numbers::from_named(solid, &mut take),
            geometry: Geometry {
                wheelbase: take("geometry.wheelbase"),
                front_axle: take("geometry.front_axle"),
                track: FromNamed::from_named("geometry.track", &mut take),
                width: take("geometry.width"),
                nose: take("geometry.nose"),
                tail: take("geometry.tail"),
            },
            rest_travel: FromNamed::from_named("rest_travel", &mut take),
            gears,
        };
        if !missing.is_empty() {
            return Err(RecordError::Missing(missing));
        }
        if !numbers.is_empty() {
            return Err(RecordError::Unknown(numbers.into_keys().collect()));
        }
        Ok(model)
    }
}

/// Refuses the first number that is not finite, in the order of iteration.
pub(super) fn check_finite<'a>(
    numbers: impl IntoIterator<Item = (&'a String, &'a f64)>,
) -> Result<(), RecordError> {
    match numbers.into_iter().find(|(_, value)| !value.is_finite()) {
        Some((path, value)) => Err(RecordError::NotFinite {
            path: path.clone(),
            value: *value,
        }),
        None => Ok(()),
    }
}
