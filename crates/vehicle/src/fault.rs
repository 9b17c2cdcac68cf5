//! Faults of a car's description, reported together.

use std::fmt;

use thiserror::Error;

use crate::excerpt::{excerpt, printable};
use crate::fault_kind::FaultKind;

/// Every fault of one description, reported together.
#[derive(Clone, Debug, PartialEq, Error)]
pub struct CarError {
    /// Where the description came from: a file name or a bundled car's name.
    pub origin: Option<String>,
    /// The faults, in the order of the file where they have a line.
    pub faults: Vec<Fault>,
}

/// One fault, with its place, the text that was read and the allowed range. In its message control
/// characters are escaped.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// Dotted path of the entry; empty for a fault of the whole file.
    pub path: String,
    /// Line in the file, from 1, where known.
    pub line: Option<usize>,
    /// Text that was read (shortened where long).
    pub read: Option<String>,
    /// Unit in which the range is stated.
    pub unit: Option<String>,
    /// Least and largest allowed value `[in unit]`.
    pub allowed: Option<[f64; 2]>,
    /// Kind of the fault.
    pub kind: FaultKind,
}

/// Longest part of the text that was read that a fault keeps `[characters]`.
const LONGEST_READ: usize = 60;
/// Longest path that a fault keeps `[characters]`.
const LONGEST_PATH: usize = 2 * LONGEST_READ;

impl Fault {
    /// A fault at a path.
    pub fn new(path: impl Into<String>, kind: FaultKind) -> Self {
        Fault {
            path: excerpt(&path.into(), LONGEST_PATH),
            line: None,
            read: None,
            unit: None,
            allowed: None,
            kind,
        }
    }

    /// Cuts a path that is too long to be repeated, and escapes its control characters.
    pub(crate) fn shorten_path(&mut self) {
        self.path = excerpt(&self.path, LONGEST_PATH);
    }

    /// With the line.
    pub fn on_line(mut self, line: Option<usize>) -> Self {
        self.line = line;
        self
    }

    /// With what was read.
    pub fn reading(mut self, text: &str) -> Self {
        self.read = Some(excerpt(text, LONGEST_READ));
        self
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut message = String::new();
        self.write(&mut message)?;
        // Escaped as a whole: any part may repeat a user's text.
        f.write_str(&printable(&message))
    }
}

impl Fault {
    fn write(&self, f: &mut impl fmt::Write) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}: ")?;
        }
        if self.path.is_empty() {
            f.write_str("the file")?;
        } else {
            f.write_str(&self.path)?;
        }
        if let Some(read) = &self.read {
            write!(f, " = {read}")?;
        }
        write!(f, " {}", self.kind)?;
        if let Some([low, high]) = self.allowed {
            let unit = self.unit.as_deref().unwrap_or("");
            let space = if unit.is_empty() { "" } else { " " };
            write!(f, " (allowed: {low} to {high}{space}{unit})")?;
        }
        Ok(())
    }
}

impl fmt::Display for CarError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let origin = printable(self.origin.as_deref().unwrap_or("the car's description"));
        match self.faults.len() {
            1 => write!(f, "{origin} has a fault:")?,
            n => write!(f, "{origin} has {n} faults:")?,
        }
        for fault in &self.faults {
            write!(f, "\n  {fault}")?;
        }
        Ok(())
    }
}

impl CarError {
    /// One fault of a whole file.
    pub fn of_file(origin: Option<&str>, kind: FaultKind) -> Self {
        CarError {
            origin: origin.map(str::to_owned),
            faults: vec![Fault::new("", kind)],
        }
    }
}
