//! A model written as a record, and read from one.

use std::collections::BTreeMap;

use axletree_scalar::numbers::{FromNamed, Named, join_path};

use super::model::{Geometry, Model};
use super::numbers::Numbers;
use super::record::{RECORD_SCHEMA, Record, RecordError, check_finite};

/// The dotted paths of the outer measures and of the travels at rest.
fn measures(each: &mut dyn FnMut(&str, f64), geometry: &Geometry, rest_travel: &[f64; 4]) {
    for (name, value) in [
        ("wheelbase", geometry.wheelbase),
        ("front_axle", geometry.front_axle),
        ("width", geometry.width),
        ("nose", geometry.nose),
        ("tail", geometry.tail),
    ] {
        each(&join_path("geometry", name), value);
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
