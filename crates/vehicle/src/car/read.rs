//! From the text of a car file to its entries, with every fault.

use std::path::Path;

use toml::de::{DeTable, DeValue};

use super::declare::{DECLARATIONS, Declaration, Shape};
use super::nearest::nearest;
use super::unit::{self, QuantityError};
use super::{Car, Cell};
use crate::error::{CarError, Fault, FaultKind};

/// The largest file that is read [bytes]; car files have a few thousand.
pub const LARGEST_FILE: u64 = 1 << 20;

/// The deepest nesting of tables that is looked into; car files need four.
const DEEPEST: usize = 8;

/// The most faults that are listed.
const MOST_FAULTS: usize = 100;

/// A value as it stands in a file or in an edit.
#[derive(Clone, Debug)]
pub(super) enum Raw {
    Text(String),
    Number(f64),
    Flag(bool),
    /// Something no entry is: an array, a date, a table.
    Other(&'static str),
}

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
        flatten("", 0, table.get_ref(), &lines, &mut items, &mut faults);

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
                Err(fault) => faults.push(fault.on_line(item.line)),
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
fn flatten(
    prefix: &str,
    depth: usize,
    table: &DeTable<'_>,
    lines: &Lines,
    items: &mut Vec<Item>,
    faults: &mut Vec<Fault>,
) {
    for (key, value) in table {
        let line = Some(lines.at(key.span().start));
        let path = axletree_scalar::numbers::join(prefix, key.get_ref());
        let raw = match value.get_ref() {
            DeValue::Table(inner) => {
                if depth + 1 > DEEPEST {
                    faults.push(
                        Fault::new(path, FaultKind::TooDeep { limit: DEEPEST }).on_line(line),
                    );
                } else if DECLARATIONS.find(&path).is_some() || !is_table(&path) {
                    // One fault for the table, not one for each of its values.
                    items.push(Item {
                        path,
                        line,
                        raw: Raw::Other("a table"),
                    });
                } else {
                    flatten(&path, depth + 1, inner, lines, items, faults);
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

/// A value as an entry's cell, or what is wrong with it.
pub(super) fn read_value(declaration: &Declaration, raw: &Raw) -> Result<Cell, Fault> {
    let fault = |kind| {
        let fault = Fault::new(&declaration.path, kind);
        match raw {
            Raw::Text(text) => fault.reading(&format!("\"{text}\"")),
            Raw::Number(number) => fault.reading(&number.to_string()),
            Raw::Flag(flag) => fault.reading(&flag.to_string()),
            Raw::Other(_) => fault,
        }
    };
    let wrong_type = |expected: String, found| fault(FaultKind::WrongType { expected, found });
    match (declaration.shape, raw) {
        (Shape::Quantity { .. }, Raw::Text(text)) => read_quantity(declaration, text, &fault),
        (Shape::Quantity { unit, .. }, Raw::Number(number)) => {
            if !number.is_finite() {
                return Err(fault(FaultKind::NotFinite));
            }
            if !unit.is_empty() {
                let example = declaration.example();
                return Err(fault(FaultKind::MissingUnit { example }));
            }
            in_range(declaration, *number, &fault)?;
            Ok(Cell::Number {
                si: *number,
                written: None,
            })
        }
        (Shape::Quantity { .. }, other) => {
            let expected = format!(
                "{}, such as {}",
                declaration.unit.dimension,
                declaration.example()
            );
            Err(wrong_type(expected, found(other)))
        }
        (Shape::Choice(allowed), Raw::Text(text)) => {
            if allowed.contains(&text.as_str()) {
                Ok(Cell::Text(text.as_str().into()))
            } else {
                Err(fault(FaultKind::UnknownChoice {
                    allowed: allowed.to_vec(),
                    nearest: nearest(text, allowed.iter().copied()).map(str::to_owned),
                }))
            }
        }
        (Shape::Choice(_) | Shape::Text, Raw::Number(_) | Raw::Flag(_) | Raw::Other(_)) => {
            Err(wrong_type("a text in quotes".to_owned(), found(raw)))
        }
        (Shape::Text, Raw::Text(text)) => Ok(Cell::Text(text.as_str().into())),
    }
}

fn found(raw: &Raw) -> &'static str {
    match raw {
        Raw::Text(_) => "a text",
        Raw::Number(_) => "a number",
        Raw::Flag(_) => "true or false",
        Raw::Other(what) => what,
    }
}

fn read_quantity(
    declaration: &Declaration,
    text: &str,
    fault: &dyn Fn(FaultKind) -> Fault,
) -> Result<Cell, Fault> {
    let example = || declaration.example();
    let (si, unit_text, unit) = unit::quantity(text).map_err(|error| {
        fault(match error {
            QuantityError::NotANumber => FaultKind::NotANumber { example: example() },
            QuantityError::NotFinite => FaultKind::NotFinite,
            QuantityError::UnknownUnit(name, nearest) => FaultKind::UnknownUnit { name, nearest },
            QuantityError::Malformed(name) => FaultKind::MalformedUnit {
                name,
                example: example(),
            },
        })
    })?;
    let expected = declaration.unit.dimension;
    if unit.dimension != expected {
        return Err(fault(if unit_text.is_empty() {
            FaultKind::MissingUnit { example: example() }
        } else {
            FaultKind::WrongDimension {
                expected: expected.to_string(),
                found: unit.dimension.to_string(),
                hint: dimension_hint(unit_text, declaration),
            }
        }));
    }
    if !si.is_finite() {
        return Err(fault(FaultKind::NotFinite));
    }
    in_range(declaration, si, fault)?;
    Ok(Cell::Number {
        si,
        written: Some(text.trim().into()),
    })
}

/// Common slips with units: pounds of mass for pounds of force, and a divisor of two factors.
fn dimension_hint(unit_text: &str, declaration: &Declaration) -> String {
    let expected = declaration.unit.dimension;
    let fits = |text: &str| unit::Unit::parse(text).is_ok_and(|u| u.dimension == expected);
    let force = unit_text.replace("lbs", "lb").replace("lb", "lbf");
    if fits(&force) {
        return format!("; a force is in lbf: write {force}");
    }
    if let Some((above, below)) = unit_text.split_once('/') {
        let grouped = format!("{above}/({below})");
        if fits(&grouped) {
            return format!("; a slash divides by the next unit alone: write {grouped}");
        }
    }
    format!("; write for example {}", declaration.example())
}

fn in_range(
    declaration: &Declaration,
    si: f64,
    fault: &dyn Fn(FaultKind) -> Fault,
) -> Result<(), Fault> {
    let Shape::Quantity { unit, low, high } = declaration.shape else {
        return Ok(());
    };
    // The ends are allowed however they are written.
    let slack = 1e-12 * (high - low);
    let value = declaration.unit.from_si(si);
    if value >= low - slack && value <= high + slack {
        return Ok(());
    }
    let mut out = fault(FaultKind::OutOfRange);
    out.unit = Some(unit.to_owned());
    out.allowed = Some([low, high]);
    Err(out)
}

/// A number in SI units as an entry's cell.
pub(super) fn read_si(declaration: &Declaration, si: f64) -> Result<Cell, Fault> {
    if declaration.unit_name().is_empty() {
        return read_value(declaration, &Raw::Number(si));
    }
    let fault = |kind| {
        Fault::new(&declaration.path, kind).reading(&unit::write(si, declaration.unit_name()))
    };
    match declaration.shape {
        Shape::Quantity { .. } if !si.is_finite() => Err(fault(FaultKind::NotFinite)),
        Shape::Quantity { .. } => {
            in_range(declaration, si, &fault)?;
            Ok(Cell::Number { si, written: None })
        }
        Shape::Choice(_) | Shape::Text => read_value(declaration, &Raw::Number(si)),
    }
}
