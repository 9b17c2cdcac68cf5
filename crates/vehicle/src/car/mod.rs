//! The description of a car: what a person writes down, in their units.
//!
//! A [`Car`] holds the entries of a car file. Every entry is declared once in [`declare`]; from there
//! come its reading and its faults ([`read`](Car::from_toml)), the checks between entries, the list of
//! paths, editing, the JSON schema and the written file. A `Car` that exists has passed every check,
//! so that it always assembles.

mod bundled;
mod check;
mod check_links;
pub mod declare;
mod edit;
mod nearest;
mod read;
mod rear;
mod schema;
mod serde_form;
pub mod unit;
mod value;
mod write;

pub use bundled::{BUNDLED, bundled};
pub use edit::Value;
pub use rear::Difference;

use std::sync::Arc;

use declare::{DECLARATIONS, Declaration, Shape};

use crate::assemble::{Meta, Solved};
use crate::error::{CarError, Fault, FaultKind};
use crate::model::Numbers;

/// One entry's value.
#[derive(Clone, Debug)]
pub(crate) enum Cell {
    /// A number in SI units, with the text it was written as where there is one.
    Number {
        /// SI value.
        si: f64,
        /// As written, with its unit.
        written: Option<Box<str>>,
    },
    /// A text or a choice.
    Text(Box<str>),
}

/// Two values are equal if they are the same number or text, however written.
impl PartialEq for Cell {
    fn eq(&self, other: &Cell) -> bool {
        match (self, other) {
            (Cell::Number { si: a, .. }, Cell::Number { si: b, .. }) => a == b,
            (Cell::Text(a), Cell::Text(b)) => a == b,
            _ => false,
        }
    }
}

/// A car as described.
#[derive(Clone, Debug)]
pub struct Car {
    /// One place per declaration; nothing where the entry is not written.
    pub(crate) cells: Vec<Option<Cell>>,
    /// Where it came from.
    pub(crate) origin: Option<String>,
    /// The links of its ends as solved when it was checked; they follow from the entries.
    pub(crate) solved: Solved,
    /// Its numbers as assembled when it was checked; they follow from the entries.
    pub(crate) known: Option<Arc<(Numbers<f64>, Meta)>>,
}

/// Two cars are equal if every entry is, written or by default, wherever they came from.
impl PartialEq for Car {
    fn eq(&self, other: &Car) -> bool {
        (0..self.cells.len()).all(|i| self.effective(i) == other.effective(i))
    }
}

/// An entry with its value, for listing.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Dotted path.
    pub path: String,
    /// Value in SI units, or the text; nothing for an optional entry that is absent.
    pub value: Option<EntryValue>,
    /// As written, or as it would be.
    pub written: Option<String>,
    /// Unit in which the range is stated; empty for pure numbers and texts.
    pub unit: &'static str,
    /// SI factor's result for the ends of the range [SI].
    pub allowed: Option<[f64; 2]>,
    /// The words a choice allows.
    pub choices: Vec<&'static str>,
    /// What the entry means.
    pub meaning: &'static str,
    /// The reason of its default, or what its absence means.
    pub reason: Option<&'static str>,
    /// Whether the value is the default.
    pub is_default: bool,
}

/// A value for listing.
#[derive(Clone, Debug, PartialEq)]
pub enum EntryValue {
    /// In SI units.
    Number(f64),
    /// A text or a choice.
    Text(String),
}

impl Car {
    /// The value of an entry by its place: as written, else its default.
    pub(crate) fn effective(&self, index: usize) -> Option<Cell> {
        if let Some(cell) = &self.cells[index] {
            return Some(cell.clone());
        }
        let declaration = &DECLARATIONS.list[index];
        if !self.applies(declaration) {
            return None;
        }
        match (declaration.default_si, declaration.default_text()) {
            (Some(si), _) => Some(Cell::Number { si, written: None }),
            (None, Some(text)) => Some(Cell::Text(text.into())),
            (None, None) => None,
        }
    }

    /// Whether the car has the entry: whether all its conditions hold.
    pub(crate) fn applies(&self, declaration: &Declaration) -> bool {
        declaration
            .conditions
            .iter()
            .all(|condition| condition.holds(self) == Some(true))
    }

    /// A declared number; nothing where it is optional and absent. [SI]
    pub(crate) fn number(&self, path: &str) -> Option<f64> {
        let index = DECLARATIONS.find(path);
        debug_assert!(index.is_some(), "{path} is not declared");
        let index = index?;
        match &self.cells[index] {
            Some(Cell::Number { si, .. }) => Some(*si),
            Some(Cell::Text(_)) => None,
            None => DECLARATIONS.list[index].default_si,
        }
    }

    /// A declared text; nothing where it is optional and absent.
    pub(crate) fn text(&self, path: &str) -> Option<&str> {
        let index = DECLARATIONS.find(path)?;
        match &self.cells[index] {
            Some(Cell::Text(text)) => Some(text),
            Some(Cell::Number { .. }) => None,
            None => DECLARATIONS.list[index].default_text(),
        }
    }

    /// Whether an entry is written.
    pub(crate) fn is_written(&self, path: &str) -> bool {
        DECLARATIONS
            .find(path)
            .is_some_and(|index| self.cells[index].is_some())
    }

    /// The car's name.
    pub fn name(&self) -> &str {
        self.text("name").unwrap_or("")
    }

    /// Where the description came from: a file name or a bundled car's name.
    pub fn origin(&self) -> Option<&str> {
        self.origin.as_deref()
    }

    /// One entry by its dotted path.
    pub fn get(&self, path: &str) -> Result<Entry, CarError> {
        let kind = match DECLARATIONS.find(path) {
            None => no_such(path),
            Some(index) => {
                let mut conditions = DECLARATIONS.list[index].conditions.iter();
                match conditions.find(|condition| condition.holds(self) != Some(true)) {
                    None => return Ok(self.entry(index)),
                    Some(condition) => FaultKind::NotApplicable {
                        needs: condition.to_string(),
                    },
                }
            }
        };
        Err(CarError {
            origin: self.origin.clone(),
            faults: vec![Fault::new(path, kind)],
        })
    }

    /// Every entry that this car has or may have, in the order of a file.
    pub fn paths(&self) -> Vec<Entry> {
        (0..self.cells.len())
            .filter(|i| self.applies(&DECLARATIONS.list[*i]))
            .map(|i| self.entry(i))
            .collect()
    }

    fn entry(&self, index: usize) -> Entry {
        let declaration = &DECLARATIONS.list[index];
        let cell = self.effective(index);
        Entry {
            path: declaration.path.clone(),
            written: cell
                .as_ref()
                .map(|cell| write::cell_text(cell, declaration)),
            value: cell.map(|cell| match cell {
                Cell::Number { si, .. } => EntryValue::Number(si),
                Cell::Text(text) => EntryValue::Text(text.into()),
            }),
            unit: declaration.unit_name(),
            allowed: declaration.range_si(),
            choices: match declaration.shape {
                Shape::Choice(choices) => choices.to_vec(),
                _ => Vec::new(),
            },
            meaning: declaration.meaning,
            reason: match declaration.need {
                declare::Need::Required => None,
                declare::Need::Default(_, reason) | declare::Need::Optional(reason) => Some(reason),
            },
            is_default: self.cells[index].is_none(),
        }
    }
}

/// The fault of a path that no car has.
pub(crate) fn no_such(path: &str) -> FaultKind {
    FaultKind::UnknownKey {
        nearest: read::nearest_path(path),
    }
}
