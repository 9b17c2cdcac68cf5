//! A car with some entries changed.

use super::declare::DECLARATIONS;
use super::read::{self, Item};
use super::value::{Raw, read_si, read_value};
use super::{Car, no_such};
use crate::error::{CarError, Fault};

/// A new value for an entry.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A number in SI units.
    Number(f64),
    /// A quantity with its unit, a choice, or a text.
    Text(String),
    /// True or false.
    Flag(bool),
    /// The entry's default, or its absence.
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

impl Car {
    /// A new car with entries changed; this one stays as it is. Every wrong entry is reported.
    pub fn edit<P: AsRef<str>, V: Into<Value>>(
        &self,
        changes: impl IntoIterator<Item = (P, V)>,
    ) -> Result<Car, CarError> {
        let mut car = self.clone();
        let mut faults = Vec::new();
        for (path, value) in changes {
            let path = path.as_ref();
            if let Err(fault) = car.set(path, value.into()) {
                faults.push(*fault);
            }
        }
        car.check(&[], &mut faults);
        read::finish(car, faults, self.origin.as_deref())
    }

    fn set(&mut self, path: &str, value: Value) -> Result<(), Box<Fault>> {
        let index = DECLARATIONS.find(path);
        let Some(index) = index else {
            return Err(Box::new(Fault::new(path, no_such(path))));
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

    /// A car from values with paths, as they come from other formats than TOML.
    pub(super) fn from_values(
        values: Vec<(String, Raw)>,
        origin: Option<&str>,
    ) -> Result<Car, CarError> {
        let items: Vec<Item> = values
            .into_iter()
            .map(|(path, raw)| Item {
                path,
                line: None,
                raw,
            })
            .collect();
        let mut faults = Vec::new();
        let car = Car::from_items(&items, &mut faults, origin);
        read::finish(car, faults, origin)
    }
}
