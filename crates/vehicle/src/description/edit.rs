//! A description with some entries changed.

use super::data::Description;
use super::declare::declarations::DECLARATIONS;
use super::reading::{Item, Reading, unknown};
use super::value::{Raw, read_si, read_value};
use crate::fault::Fault;

/// A new value for an entry.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A number in SI units.
    Number(f64),
    /// A quantity with its unit, a choice, or a text.
    Text(String),
    /// True or false.
    Flag(bool),
    /// Removes the entry: its default applies, or the car is without it.
    Default,
}

impl From<f64> for Value {
    fn from(si: f64) -> Self {
        Value::Number(si)
    }
}
impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Value::Text(text.to_owned())
    }
}
impl From<String> for Value {
    fn from(text: String) -> Self {
        Value::Text(text)
    }
}
impl From<bool> for Value {
    fn from(flag: bool) -> Self {
        Value::Flag(flag)
    }
}

impl Description {
    /// A description with entries changed; this one stays as it is. Every wrong entry is reported.
    pub(crate) fn edited<P: AsRef<str>, V: Into<Value>>(
        &self,
        changes: impl IntoIterator<Item = (P, V)>,
    ) -> Reading {
        let mut description = self.clone();
        let mut faults = Vec::new();
        for (path, value) in changes {
            if let Err(fault) = description.set(path.as_ref(), value.into()) {
                faults.push(*fault);
            }
        }
        Reading::of_changes(description, faults)
    }

    fn set(&mut self, path: &str, value: Value) -> Result<(), Box<Fault>> {
        let Some(index) = DECLARATIONS.find(path) else {
            return Err(Box::new(unknown(path)));
        };
        let declaration = &DECLARATIONS.list[index];
        self.cells[index] = match value {
            Value::Number(si) => Some(read_si(declaration, si)?),
            Value::Text(text) => Some(read_value(declaration, &Raw::Text(text))?),
            Value::Flag(flag) => Some(read_value(declaration, &Raw::Flag(flag))?),
            Value::Default => None,
        };
        Ok(())
    }
}

/// A description from values with paths, as they come from formats other than TOML.
pub(super) fn of_values(values: Vec<(String, Raw)>) -> Reading {
    let items: Vec<Item> = values
        .into_iter()
        .map(|(path, raw)| Item {
            path,
            line: None,
            raw,
        })
        .collect();
    Reading::of_items(&items, Vec::new(), None)
}
