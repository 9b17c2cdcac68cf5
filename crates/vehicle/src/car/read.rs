//! From the text of a car file to its entries, with every fault.

use std::path::Path;

use toml::de::{DeTable, DeValue};

use super::Car;
use super::declare::DECLARATIONS;
use super::nearest::nearest;
use super::value::{Raw, read_value};
use crate::error::{CarError, Fault, FaultKind};

/// The largest file that is read [bytes]; car files have a few thousand.
pub const LARGEST_FILE: u64 = 1 << 20;

/// The most faults that are listed.
const MOST_FAULTS: usize = 100;

/// A value with its place.
#[derive(Clone, Debug)]
pub(super) struct Item {
    pub path: String,
    pub line: Option<usize>,
    pub raw: Raw,
}

impl Car {
    /// Reads the text of a car file. `origin` names it in faults.
    pub fn from_toml(text: &str, origin: Option<&str>) -> Result<Car, CarError> {
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
        let mut faults: Vec<Fault> = errors.iter().map(|e| syntax_fault(e, &lines)).collect();
        let mut items = Vec::new();
        flatten("", table.get_ref(), &lines, &mut items);

        // What the reader of TOML made of a line it could not read is worth nothing.
        let broken: Vec<Option<usize>> = faults
            .iter()
            .filter(|f| matches!(f.kind, FaultKind::Syntax { .. }))
            .map(|f| f.line)
            .collect();
        items.retain(|item| !broken.contains(&item.line));

        let car = Car::from_items(&items, &mut faults, origin);
        finish(car, faults, origin)
    }

    /// Reads a car file.
    pub fn load(path: impl AsRef<Path>) -> Result<Car, CarError> {
        let path = path.as_ref();
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
        let text = String::from_utf8(bytes).map_err(|e| {
            fail(FaultKind::NotText {
                byte: e.utf8_error().valid_up_to(),
            })
        })?;
        Car::from_toml(&text, Some(&origin))
    }

    /// A car from values with paths; the checks between entries run if nothing else is wrong.
    pub(super) fn from_items(items: &[Item], faults: &mut Vec<Fault>, origin: Option<&str>) -> Car {
        let mut car = Car {
            cells: vec![None; DECLARATIONS.list.len()],
            origin: origin.map(str::to_owned),
            solved: [None, None],
            known: None,
        };
        car.put(items, faults);
        car.check(items, faults);
        car
    }

    /// Puts values into their places.
    pub(super) fn put(&mut self, items: &[Item], faults: &mut Vec<Fault>) {
        for item in items {
            let Some(index) = DECLARATIONS.find(&item.path) else {
                let nearest = nearest_path(&item.path);
                faults.push(
                    Fault::new(&item.path, FaultKind::UnknownKey { nearest }).on_line(item.line),
                );
                continue;
            };
            match read_value(&DECLARATIONS.list[index], &item.raw) {
                Ok(cell) => self.cells[index] = Some(cell),
                Err(fault) => faults.push((*fault).on_line(item.line)),
            }
        }
    }
}

/// The car if there is no fault; else all of them in the order of the file.
pub(super) fn finish(
    car: Car,
    mut faults: Vec<Fault>,
    origin: Option<&str>,
) -> Result<Car, CarError> {
    if faults.is_empty() {
        return Ok(car);
    }
    faults.sort_by_key(|fault| fault.line.unwrap_or(usize::MAX));
    if faults.len() > MOST_FAULTS {
        let more = faults.len() - MOST_FAULTS;
        faults.truncate(MOST_FAULTS);
        faults.push(Fault::new("", FaultKind::More { more }));
    }
    Err(CarError {
        origin: origin.map(str::to_owned),
        faults,
    })
}

/// The declared path nearest to a mistyped one: by the whole path, else by its last name.
pub(super) fn nearest_path(path: &str) -> Option<String> {
    let known = || DECLARATIONS.list.iter().map(|d| d.path.as_str());
    if let Some(path) = nearest(path, known()) {
        return Some(path.to_owned());
    }
    let last = path.rsplit('.').next()?;
    known()
        .find(|known| known.rsplit('.').next() == Some(last))
        .map(str::to_owned)
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
        let path = axletree_scalar::numbers::join(prefix, key.get_ref());
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

/// Whether some declared path lies below this one.
pub(super) fn is_table(path: &str) -> bool {
    DECLARATIONS.list.iter().any(|d| {
        d.path
            .strip_prefix(path)
            .is_some_and(|rest| rest.starts_with('.'))
    })
}
