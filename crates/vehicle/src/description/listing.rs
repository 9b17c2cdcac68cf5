//! Entries with their values, for listing.

use super::cell::Cell;
use super::data::Description;
use super::declare::declarations::DECLARATIONS;
use super::declare::shape::{EntryNeed, EntryShape};
use super::suggest::nearest_path;
use super::write::cell_text;
use crate::fault::{CarError, Fault};
use crate::fault_kind::FaultKind;

/// An entry with its value, for listing.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Dotted path.
    pub path: String,
    /// Value in SI units, or the text; none for an optional entry that is absent.
    pub value: Option<EntryValue>,
    /// Value as written, or as it would be written.
    pub written: Option<String>,
    /// Unit in which the range is stated; empty for pure numbers and texts.
    pub unit: &'static str,
    /// Least and largest allowed value `[SI]`.
    pub allowed: Option<[f64; 2]>,
    /// Words of a choice.
    pub choices: Vec<&'static str>,
    /// Meaning of the entry.
    pub meaning: &'static str,
    /// Reason of its default, or the meaning of its absence.
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

impl Description {
    /// One entry by its dotted path.
    ///
    /// # Errors
    ///
    /// A path that no car has, or that only other cars have.
    pub fn get(&self, path: &str) -> Result<Entry, CarError> {
        let kind = match DECLARATIONS.find(path) {
            None => FaultKind::UnknownKey {
                nearest: nearest_path(path),
            },
            Some(index) => {
                let mut conditions = DECLARATIONS.list[index].conditions.iter();
                match conditions.find(|condition| self.holds(condition) != Some(true)) {
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
            written: cell.as_ref().map(|cell| cell_text(cell, declaration)),
            value: cell.map(|cell| match cell {
                Cell::Number { si, .. } => EntryValue::Number(si),
                Cell::Text(text) => EntryValue::Text(text.into()),
            }),
            unit: declaration.unit_name(),
            allowed: declaration.range_si(),
            choices: match declaration.shape {
                EntryShape::Choice(choices) => choices.to_vec(),
                _ => Vec::new(),
            },
            meaning: declaration.meaning,
            reason: match declaration.need {
                EntryNeed::Required => None,
                EntryNeed::Default(_, reason) | EntryNeed::Optional(reason) => Some(reason),
            },
            is_default: self.cells[index].is_none(),
        }
    }
}
