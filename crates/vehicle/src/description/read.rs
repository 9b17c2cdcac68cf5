//! The text of a car file as entries, with every fault.

use std::path::Path;

use toml::de::{DeTable, DeValue};

use super::data::Description;
use super::declare::declarations::DECLARATIONS;
use super::reading::{Item, Reading};
use super::suggest::is_table;
use super::value::Raw;
use crate::fault::{CarError, Fault};
use crate::fault_kind::FaultKind;

/// The largest file that is read `[bytes]`; car files have a few thousand.
const LARGEST_FILE: u64 = 1 << 20;

impl Description {
    /// Reads and checks the text of a car file. `origin` names it in faults.
    ///
    /// # Errors
    ///
    /// Every fault of the text, its values and the conditions between them.
    pub fn from_toml(text: &str, origin: Option<&str>) -> Result<Description, CarError> {
        of_toml(text, origin)?.finish()
    }
}

/// Reads and checks the text of a car file.
///
/// # Errors
///
/// A text that is too large.
pub(crate) fn of_toml(text: &str, origin: Option<&str>) -> Result<Reading, CarError> {
    if text.len() as u64 > LARGEST_FILE {
        return Err(CarError::of_file(
            origin,
            FaultKind::TooLarge {
                bytes: text.len() as u64,
                limit: LARGEST_FILE,
            },
        ));
    }
    let lines = Lines::of(text);
    let (table, errors) = DeTable::parse_recoverable(text);
    let faults: Vec<Fault> = errors.iter().map(|e| syntax_fault(e, &lines)).collect();
    let mut items = Vec::new();
    flatten("", table.get_ref(), &lines, &mut items);

    // A line with broken syntax has no usable value.
    let broken: Vec<Option<usize>> = faults
        .iter()
        .filter(|f| matches!(f.kind, FaultKind::Syntax { .. }))
        .map(|f| f.line)
        .collect();
    items.retain(|item| !broken.contains(&item.line));
    Ok(Reading::of_items(&items, faults, origin))
}

/// The text of a file.
///
/// # Errors
///
/// A file that is missing, too large, or not text.
pub(crate) fn text_of_file(path: &Path) -> Result<String, CarError> {
    let origin = path.display().to_string();
    let fail = |kind| CarError::of_file(Some(&origin), kind);
    let unreadable = |e: std::io::Error| {
        fail(FaultKind::Unreadable {
            reason: e.to_string(),
        })
    };
    // Never more than the limit, even of something that has no size (a device, a pipe).
    let file = std::fs::File::open(path).map_err(unreadable)?;
    let mut bytes = Vec::new();
    std::io::Read::read_to_end(
        &mut std::io::Read::take(&file, LARGEST_FILE + 1),
        &mut bytes,
    )
    .map_err(unreadable)?;
    if bytes.len() as u64 > LARGEST_FILE {
        let size = file.metadata().map_or(0, |m| m.len());
        return Err(fail(FaultKind::TooLarge {
            bytes: size.max(LARGEST_FILE + 1),
            limit: LARGEST_FILE,
        }));
    }
    String::from_utf8(bytes).map_err(|e| {
        fail(FaultKind::NotText {
            byte: e.utf8_error().valid_up_to(),
        })
    })
}

/// Line numbers by byte offset.
struct Lines {
    starts: Vec<usize>,
}

impl Lines {
    fn of(text: &str) -> Self {
        let newlines = text.bytes().enumerate().filter(|(_, b)| *b == b'\n');
        Lines {
            starts: std::iter::once(0)
                .chain(newlines.map(|(i, _)| i + 1))
                .collect(),
        }
    }

    fn at(&self, offset: usize) -> usize {
        self.starts.partition_point(|start| *start <= offset)
    }
}

fn syntax_fault(error: &toml::de::Error, lines: &Lines) -> Fault {
    let message = error.message();
    let kind = if message.contains("duplicate key") {
        FaultKind::Duplicate
    } else {
        FaultKind::Syntax {
            message: message.to_owned(),
        }
    };
    Fault::new("", kind).on_line(error.span().map(|span| lines.at(span.start)))
}

/// All values of a table with their paths.
fn flatten(prefix: &str, table: &DeTable<'_>, lines: &Lines, items: &mut Vec<Item>) {
    for (key, value) in table {
        let line = Some(lines.at(key.span().start));
        let path = axletree_scalar::numbers::join_path(prefix, key.get_ref());
        let raw = match value.get_ref() {
            DeValue::Table(inner) => {
                if DECLARATIONS.find(&path).is_some() || !is_table(&path) {
                    // One fault for the table, not one for each of its values.
                    items.push(Item {
                        path,
                        line,
                        raw: Raw::Other("a table"),
                    });
                } else {
                    flatten(&path, inner, lines, items);
                }
                continue;
            }
            DeValue::String(text) => Raw::Text(text.to_string()),
            DeValue::Integer(number) => {
                let digits = number.as_str().replace('_', "");
                match i64::from_str_radix(&digits, number.radix()) {
                    // Every whole number that an entry can hold is exact.
                    Ok(whole) => Raw::Number(whole as f64),
                    Err(_) => Raw::Number(f64::INFINITY),
                }
            }
            DeValue::Float(number) => {
                let digits = number.as_str().replace('_', "");
                Raw::Number(digits.parse().unwrap_or(f64::NAN))
            }
            DeValue::Boolean(flag) => Raw::Flag(*flag),
            DeValue::Datetime(_) => Raw::Other("a date or time"),
            DeValue::Array(_) => Raw::Other("an array"),
        };
        items.push(Item { path, line, raw });
    }
}
