//! Values of a file or an edit as cells, with the faults of invalid ones.

use super::cell::Cell;
use super::declare::declarations::Declaration;
use super::declare::shape::EntryShape;
use super::nearest::nearest;
use super::unit::{self, QuantityError};
use crate::excerpt::{excerpt, is_control};
use crate::fault::Fault;
use crate::fault_kind::FaultKind;

/// Longest quantity that is read, number and unit `[characters]`.
const LONGEST_QUANTITY: usize = 100;

/// A value as written in a file or an edit.
#[derive(Clone, Debug)]
pub(super) enum Raw {
    Text(String),
    Number(f64),
    Flag(bool),
    /// A value that no entry takes: an array, a date, a table.
    Other(&'static str),
}

/// A value as an entry's cell.
///
/// # Errors
///
/// A value of the wrong type, dimension or range.
pub(super) fn read_value(declaration: &Declaration, raw: &Raw) -> Result<Cell, Box<Fault>> {
    let fault = |kind| {
        let fault = Fault::new(&declaration.path, kind);
        Box::new(match raw {
            Raw::Text(text) => fault.reading(&format!("\"{text}\"")),
            Raw::Number(number) => fault.reading(&number.to_string()),
            Raw::Flag(flag) => fault.reading(&flag.to_string()),
            Raw::Other(_) => fault,
        })
    };
    let wrong_type = |expected: String, found| fault(FaultKind::WrongType { expected, found });
    match (declaration.shape, raw) {
        (EntryShape::Quantity { .. }, Raw::Text(text)) => read_quantity(declaration, text, &fault),
        (EntryShape::Quantity { unit, .. }, Raw::Number(number)) => {
            if !number.is_finite() {
                return Err(fault(FaultKind::NotFinite));
            }
            if !unit.is_empty() {
                let example = declaration.example();
                return Err(fault(FaultKind::MissingUnit { example }));
            }
            in_range(declaration, *number, &fault)?;
            Ok(bare(*number))
        }
        (EntryShape::Quantity { .. }, other) => {
            let expected = format!(
                "{}, such as {}",
                declaration.unit.dimension,
                declaration.example()
            );
            Err(wrong_type(expected, found(other)))
        }
        (EntryShape::Choice(allowed), Raw::Text(text)) => {
            if allowed.contains(&text.as_str()) {
                Ok(Cell::Text(text.as_str().into()))
            } else {
                Err(fault(FaultKind::UnknownChoice {
                    allowed: allowed.to_vec(),
                    nearest: nearest(text, allowed.iter().copied()).map(str::to_owned),
                }))
            }
        }
        (
            EntryShape::Choice(_) | EntryShape::Text { .. },
            Raw::Number(_) | Raw::Flag(_) | Raw::Other(_),
        ) => Err(wrong_type("a text in quotes".to_owned(), found(raw))),
        (EntryShape::Text { longest, lines }, Raw::Text(text)) => {
            no_longer_than(longest, text, &fault)?;
            let allowed = |c: char| lines && matches!(c, '\n' | '\r' | '\t');
            match text.chars().find(|c| is_control(*c) && !allowed(*c)) {
                None => Ok(Cell::Text(text.as_str().into())),
                Some(character) => Err(fault(FaultKind::ControlCharacter { character, lines })),
            }
        }
    }
}

/// A number without a text of its own; zero has no sign.
fn bare(number: f64) -> Cell {
    Cell::Number {
        si: number + 0.0,
        written: None,
    }
}

fn no_longer_than(
    limit: usize,
    text: &str,
    fault: &dyn Fn(FaultKind) -> Box<Fault>,
) -> Result<(), Box<Fault>> {
    let length = text.chars().count();
    if length > limit {
        return Err(fault(FaultKind::TextTooLong { length, limit }));
    }
    Ok(())
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
    fault: &dyn Fn(FaultKind) -> Box<Fault>,
) -> Result<Cell, Box<Fault>> {
    no_longer_than(LONGEST_QUANTITY, text, fault)?;
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
    in_range(declaration, si, fault)?;
    // Between number and unit any space may stand, in a table only one that is seen.
    let written = text.trim().replace(is_control, " ");
    Ok(Cell::Number {
        si,
        written: Some(written.into()),
    })
}

/// A hint at common slips with units: pounds of mass for pounds of force, and a divisor of two
/// factors.
fn dimension_hint(unit_text: &str, declaration: &Declaration) -> String {
    let expected = declaration.unit.dimension;
    let unit_text = excerpt(unit_text, unit_text.len());
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
    format!("; write, for example, {}", declaration.example())
}

fn in_range(
    declaration: &Declaration,
    si: f64,
    fault: &dyn Fn(FaultKind) -> Box<Fault>,
) -> Result<(), Box<Fault>> {
    let EntryShape::Quantity { unit, low, high } = declaration.shape else {
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
pub(super) fn read_si(declaration: &Declaration, si: f64) -> Result<Cell, Box<Fault>> {
    if declaration.unit_name().is_empty() {
        return read_value(declaration, &Raw::Number(si));
    }
    let fault = |kind| {
        let read = unit::write(si, declaration.unit_name());
        Box::new(Fault::new(&declaration.path, kind).reading(&read))
    };
    match declaration.shape {
        EntryShape::Quantity { .. } if !si.is_finite() => Err(fault(FaultKind::NotFinite)),
        EntryShape::Quantity { .. } => {
            in_range(declaration, si, &fault)?;
            Ok(bare(si))
        }
        EntryShape::Choice(_) | EntryShape::Text { .. } => {
            read_value(declaration, &Raw::Number(si))
        }
    }
}
