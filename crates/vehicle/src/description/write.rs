//! The text of a car file from the entries.

use std::fmt::Write as _;
use std::path::Path;

use super::cell::Cell;
use super::data::Description;
use super::declare::declarations::{DECLARATIONS, Declaration};
use super::replace_file::replace_file;
use super::unit;
use crate::fault::CarError;
use crate::fault_kind::FaultKind;

/// A value as it is written, without quotes.
pub(super) fn cell_text(cell: &Cell, declaration: &Declaration) -> String {
    match cell {
        Cell::Number { si, written: None } => unit::write(*si, declaration.unit_name()),
        Cell::Number {
            written: Some(text),
            ..
        }
        | Cell::Text(text) => text.to_string(),
    }
}

/// A value as written in a file: pure numbers bare, everything else in quotes.
fn toml_value(cell: &Cell, declaration: &Declaration) -> String {
    let text = cell_text(cell, declaration);
    let bare =
        matches!(cell, Cell::Number { written: None, .. }) && declaration.unit_name().is_empty();
    if bare {
        // TOML distinguishes 1 from 1.0; a car file does not.
        return text;
    }
    toml::Value::String(text).to_string()
}

impl Description {
    /// The description as the text of a car file: every written entry, in the order of the
    /// declarations, as it was written. Comments of the file that it was read from are lost.
    pub fn to_toml(&self) -> String {
        let mut text = String::new();
        let mut table = "";
        for (cell, declaration) in self.cells.iter().zip(&DECLARATIONS.list) {
            let Some(cell) = cell else { continue };
            // Two names make a table ("front.bar"); deeper names stay dotted ("bump.low").
            let names: Vec<&str> = declaration.path.split('.').collect();
            let depth = names.len().saturating_sub(1).min(2);
            let at = names[..depth].iter().map(|n| n.len() + 1).sum::<usize>();
            let (head, name) = declaration.path.split_at(at);
            let head = head.trim_end_matches('.');
            if head != table {
                let _ = writeln!(text, "\n[{head}]");
                table = head;
            }
            // Writing to a text cannot fail.
            let _ = writeln!(text, "{name} = {}", toml_value(cell, declaration));
        }
        text
    }

    /// Writes the car file, whole or not at all.
    ///
    /// # Errors
    ///
    /// A file that cannot be written.
    pub fn save(&self, path: impl AsRef<Path>) -> Result<(), CarError> {
        let path = path.as_ref();
        replace_file(path, self.to_toml().as_bytes()).map_err(|error| {
            CarError::of_file(
                Some(&path.display().to_string()),
                FaultKind::Unwritable {
                    reason: error.to_string(),
                    code: error.raw_os_error(),
                },
            )
        })
    }
}
