//! A description while it is read or changed, with the faults found so far.

use std::collections::{HashMap, HashSet};

use super::cell::Cell;
use super::check;
use super::data::Description;
use super::declare::declarations::DECLARATIONS;
use super::suggest::nearest_path;
use super::value::{Raw, read_value};
use crate::fault::{CarError, Fault};
use crate::fault_kind::FaultKind;

/// The most faults that are listed.
const MOST_FAULTS: usize = 100;

/// A value with its path and line.
#[derive(Clone, Debug)]
pub(super) struct Item {
    pub path: String,
    pub line: Option<usize>,
    pub raw: Raw,
}

/// A description with its faults, and the lines of the file it comes from.
pub(crate) struct Reading {
    pub(super) description: Description,
    faults: Vec<Fault>,
    /// Line of every path that was read, whether or not its value is valid.
    lines: HashMap<String, Option<usize>>,
}

impl Reading {
    /// A description from values with paths, checked.
    pub(super) fn of_items(items: &[Item], mut faults: Vec<Fault>, origin: Option<&str>) -> Self {
        let mut description = Description::empty(origin);
        for item in items {
            let Some(index) = DECLARATIONS.find(&item.path) else {
                faults.push(unknown(&item.path).on_line(item.line));
                continue;
            };
            match read_value(&DECLARATIONS.list[index], &item.raw) {
                Ok(cell) => description.cells[index] = Some(cell),
                Err(fault) => faults.push((*fault).on_line(item.line)),
            }
        }
        let lines = items
            .iter()
            .map(|item| (item.path.clone(), item.line))
            .collect();
        Reading::checked(description, faults, lines)
    }

    /// A changed description, checked; `faults` are those of the changes.
    pub(super) fn of_changes(description: Description, faults: Vec<Fault>) -> Self {
        Reading::checked(description, faults, HashMap::new())
    }

    /// Adds every fault of the conditions between entries.
    fn checked(
        description: Description,
        faults: Vec<Fault>,
        lines: HashMap<String, Option<usize>>,
    ) -> Self {
        let syntax = faults
            .iter()
            .any(|f| matches!(f.kind, FaultKind::Syntax { .. } | FaultKind::TooDeep { .. }));
        let wrong: HashSet<&str> = faults.iter().map(|fault| fault.path.as_str()).collect();
        let mut found = check::faults(&description);
        // An entry that is present but wrong, or lost in broken syntax, is not reported as missing.
        found.retain(|fault| {
            let there = || lines.contains_key(&fault.path) || wrong.contains(fault.path.as_str());
            !matches!(fault.kind, FaultKind::Missing { .. }) || !(syntax || there())
        });
        // A fault that depends on an entry which is itself wrong is not reported.
        found.retain(|fault| {
            let conditions = DECLARATIONS
                .find(&fault.path)
                .map_or(&[][..], |i| &DECLARATIONS.list[i].conditions);
            !conditions.iter().any(|condition| {
                description.cells[condition.index].is_none()
                    && wrong.contains(condition.path.as_str())
            })
        });
        let mut reading = Reading {
            description,
            faults,
            lines,
        };
        reading.add(found);
        reading
    }

    /// Adds faults, with the lines and texts of their entries.
    fn add(&mut self, found: Vec<Fault>) {
        for fault in found {
            let line = self.lines.get(&fault.path).copied().flatten();
            let fault = fault.on_line(line);
            let text = written(&self.description, &fault.path);
            self.faults.push(match text {
                Some(text) if fault.read.is_none() => fault.reading(text),
                _ => fault,
            });
        }
    }

    /// The description, if no fault was found.
    ///
    /// # Errors
    ///
    /// All faults, in the order of the file.
    pub(crate) fn finish(self) -> Result<Description, CarError> {
        if self.faults.is_empty() {
            return Ok(self.description);
        }
        Err(self.into_error())
    }

    /// The description without faults, and a function of it that may find more of them.
    ///
    /// # Errors
    ///
    /// All faults, in the order of the file.
    pub(crate) fn finish_with<T>(
        mut self,
        make: impl FnOnce(&Description) -> Result<T, Vec<Fault>>,
    ) -> Result<(Description, T), CarError> {
        if self.faults.is_empty() {
            match make(&self.description) {
                Ok(made) => return Ok((self.description, made)),
                Err(found) => self.add(found),
            }
        }
        Err(self.into_error())
    }

    fn into_error(self) -> CarError {
        let mut faults = self.faults;
        faults.sort_by_key(|fault| fault.line.unwrap_or(usize::MAX));
        let more = faults.len().saturating_sub(MOST_FAULTS);
        faults.truncate(MOST_FAULTS);
        // Names are suggested for the faults that are listed only: each costs a comparison with all paths.
        for fault in &mut faults {
            if let FaultKind::UnknownKey { nearest } = &mut fault.kind {
                *nearest = nearest_path(&fault.path);
                fault.shorten_path();
            }
        }
        if more > 0 {
            faults.push(Fault::new("", FaultKind::More { more }));
        }
        CarError {
            origin: self.description.origin,
            faults,
        }
    }
}

/// The fault of a path that no car has, without its suggestion.
pub(super) fn unknown(path: &str) -> Fault {
    Fault {
        path: path.to_owned(),
        ..Fault::new("", FaultKind::UnknownKey { nearest: None })
    }
}

/// The text of an entry as written.
fn written<'a>(description: &'a Description, path: &str) -> Option<&'a str> {
    match description.cells[DECLARATIONS.find(path)?].as_ref()? {
        Cell::Number { written, .. } => written.as_deref(),
        Cell::Text(text) => Some(text),
    }
}
