//! A description as nested maps for any format of serde: the shape of the TOML file.

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::{Map, Value};

use super::cell::Cell;
use super::data::Description;
use super::declare::declarations::DECLARATIONS;
use super::edit::of_values;
use super::reading::Reading;
use super::suggest::is_table;
use super::value::Raw;
use super::write::cell_text;

impl Serialize for Description {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut root = Map::new();
        for (cell, declaration) in self.cells.iter().zip(&DECLARATIONS.list) {
            let Some(cell) = cell else { continue };
            let value = match cell {
                Cell::Number { si, written: None } if declaration.unit_name().is_empty() => {
                    Value::from(*si)
                }
                _ => Value::String(cell_text(cell, declaration)),
            };
            insert(&mut root, &declaration.path, value);
        }
        root.serialize(serializer)
    }
}

fn insert(table: &mut Map<String, Value>, path: &str, value: Value) {
    match path.split_once('.') {
        None => {
            table.insert(path.to_owned(), value);
        }
        Some((head, rest)) => {
            let inner = table
                .entry(head)
                .or_insert_with(|| Value::Object(Map::new()));
            if let Value::Object(inner) = inner {
                insert(inner, rest, value);
            }
        }
    }
}

impl<'de> Deserialize<'de> for Description {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        reading(deserializer)?.finish().map_err(D::Error::custom)
    }
}

/// The values of nested maps as a description, checked.
pub(crate) fn reading<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Reading, D::Error> {
    let mut values = Vec::new();
    collect("", Map::deserialize(deserializer)?, &mut values);
    Ok(of_values(values))
}

fn collect(prefix: &str, table: Map<String, Value>, values: &mut Vec<(String, Raw)>) {
    for (key, value) in table {
        let path = axletree_scalar::numbers::join_path(prefix, &key);
        let raw = match value {
            Value::Object(inner) => {
                if is_table(&path) {
                    collect(&path, inner, values);
                    continue;
                }
                Raw::Other("a table")
            }
            Value::String(text) => Raw::Text(text),
            Value::Number(number) => Raw::Number(number.as_f64().unwrap_or(f64::NAN)),
            Value::Bool(flag) => Raw::Flag(flag),
            Value::Array(_) => Raw::Other("an array"),
            Value::Null => Raw::Other("nothing"),
        };
        values.push((path, raw));
    }
}
