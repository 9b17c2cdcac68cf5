//! The text of a car file as entries, with every fault.

use std::collections::HashSet;
use std::io::Read;
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
const LARGEST_FILE: u64 = 1 << 17;
/// Number of levels of keys, tables or arrays that the parser reads.
const DEEPEST: usize = 80;

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
        return Err(too_large(text.len() as u64, origin));
    }
    let lines = Lines::of(text);
    let (table, errors) = DeTable::parse_recoverable(text);
    let faults: Vec<Fault> = errors
        .iter()
        .map(|error| syntax_fault(error, text, &lines))
        .collect();
    let mut items = Vec::new();
    flatten("", table.get_ref(), &lines, &mut items);

    // A line with broken syntax has no usable value.
    let broken: HashSet<Option<usize>> = faults
        .iter()
        .filter(|f| matches!(f.kind, FaultKind::Syntax { .. } | FaultKind::TooDeep { .. }))
        .map(|f| f.line)
        .collect();
    items.retain(|item| !broken.contains(&item.line));
    Ok(Reading::of_items(&items, faults, origin))
}

/// The text of a file, or of whatever else a path opens.
///
/// # Errors
///
/// A file that is missing, too large, or not text.
pub(crate) fn text_of_file(path: &Path) -> Result<String, CarError> {
    let origin = path.display().to_string();
    match std::fs::File::open(path) {
        Ok(file) => {
            let size = file.metadata().map_or(0, |m| m.len());
            text_of(file, size, Some(&origin))
        }
        Err(error) => Err(unreadable(&error, Some(&origin))),
    }
}

/// The text of a reader; `size` is that of its file, where known, for the fault `[bytes]`.
///
/// # Errors
///
/// A reader that fails, or gives too much, or no text.
pub(crate) fn text_of(
    reader: impl Read,
    size: u64,
    origin: Option<&str>,
) -> Result<String, CarError> {
    // Never more than the limit, even of something that has no size (a device, a pipe).
    let mut bytes = Vec::new();
    reader
        .take(LARGEST_FILE + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| unreadable(&error, origin))?;
    let read = bytes.len() as u64;
    if read > LARGEST_FILE {
        return Err(too_large(size.max(read), origin));
    }
    String::from_utf8(bytes).map_err(|error| {
        let byte = error.utf8_error().valid_up_to();
        CarError::of_file(origin, FaultKind::NotText { byte })
    })
}

fn unreadable(error: &std::io::Error, origin: Option<&str>) -> CarError {
    CarError::of_file(
        origin,
        FaultKind::Unreadable {
            reason: error.to_string(),
            code: error.raw_os_error(),
        },
    )
}

fn too_large(bytes: u64, origin: Option<&str>) -> CarError {
    let limit = LARGEST_FILE;
    CarError::of_file(origin, FaultKind::TooLarge { bytes, limit })
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

fn syntax_fault(error: &toml::de::Error, text: &str, lines: &Lines) -> Fault {
    let message = error.message();
    let line = error.span().map(|span| lines.at(span.start));
    if message.contains("duplicate key") {
        return Fault::new("", FaultKind::Duplicate).on_line(line);
    }
    // The parser's two messages; that of keys has no place.
    if message.contains("recurs") {
        let limit = DEEPEST;
        let needed = DECLARATIONS
            .list
            .iter()
            .map(|declaration| declaration.path.split('.').count())
            .max()
            .unwrap_or(0);
        return Fault::new("", FaultKind::TooDeep { limit, needed })
            .on_line(line.or_else(|| line_of_deep_key(text)));
    }
    let message = message.to_owned();
    Fault::new("", FaultKind::Syntax { message }).on_line(line)
}

/// The first line with more names in one key than are read.
fn line_of_deep_key(text: &str) -> Option<usize> {
    Some(text.lines().position(has_deep_key)? + 1)
}

/// Whether a line has that many dots in one key, outside of quotes and comments.
fn has_deep_key(line: &str) -> bool {
    let (mut dots, mut quote) = (0, None);
    for character in line.chars() {
        match (quote, character) {
            (Some(open), _) => quote = (character != open).then_some(open),
            (None, '"' | '\'') => quote = Some(character),
            (None, '#') => return false,
            (None, '=' | ',' | '[' | ']' | '{' | '}') => dots = 0,
            (None, '.') => dots += 1,
            (None, _) => {}
        }
        if dots >= DEEPEST {
            return true;
        }
    }
    false
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
