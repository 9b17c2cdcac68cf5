//! Quantities: numbers with units, as people write them.
//!
//! A quantity is a number and a unit: `24 mm`, `300 lbf/in`, `-2.5 deg`, `0.4 deg/(kN*m)`. A unit
//! is a product of names from the table with whole exponents: `*`, a middle dot or a space
//! multiply, `/` divides by the next factor alone, `^2`, `**2` or a raised digit is a power,
//! parentheses group.

mod dimension;
mod table;

pub use dimension::Dimension;
pub use table::FREE_FALL;

use super::nearest::nearest;
use crate::excerpt::excerpt;
use axletree_scalar::elementary;
use table::{PREFIXES, UNITS};

/// A unit of measure: its factor to SI, as a numerator over a denominator, and its dimension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// Numerator of the factor.
    pub numerator: f64,
    /// Denominator of the factor.
    pub denominator: f64,
    /// Its dimension.
    pub dimension: Dimension,
}

/// The fault of a text that is not a quantity. Texts are those of the user, cut where long, with
/// control characters escaped.
#[derive(Clone, Debug, PartialEq)]
pub enum QuantityError {
    /// It does not begin with a number.
    NotANumber,
    /// The number is infinite or not a number.
    NotFinite,
    /// A name in the unit is unknown; the nearest known one.
    UnknownUnit(String, Option<String>),
    /// The unit is not a product of names.
    Malformed(String),
}

/// The longest unit that is read `[bytes]`; longer ones are malformed.
const LONGEST_UNIT: usize = 80;
/// Longest part of a unit that a fault repeats `[characters]`.
const LONGEST_REPEATED: usize = 40;

/// The fault of a unit that is not a product of names.
fn malformed(unit: &str) -> QuantityError {
    QuantityError::Malformed(excerpt(unit, LONGEST_REPEATED))
}

impl Unit {
    /// A pure number.
    pub const ONE: Unit = Unit {
        numerator: 1.0,
        denominator: 1.0,
        dimension: Dimension::NONE,
    };

    /// Reads a unit; an empty text is a pure number.
    ///
    /// ```
    /// use axletree_vehicle::unit::Unit;
    ///
    /// let unit = Unit::parse("lbf/in").unwrap();
    /// assert!((unit.to_si(300.0) - 52_538.0).abs() < 1.0);
    /// ```
    ///
    /// # Errors
    ///
    /// An unknown name, or a text that is not a product of names.
    pub fn parse(text: &str) -> Result<Unit, QuantityError> {
        let text = text.trim();
        if text.is_empty() {
            return Ok(Unit::ONE);
        }
        if text.len() > LONGEST_UNIT {
            return Err(malformed(text));
        }
        let mut reader = Reader { rest: text };
        let unit = reader.product(text)?;
        if reader.rest.is_empty() {
            Ok(unit)
        } else {
            Err(malformed(text))
        }
    }

    /// The SI value of a number of this unit.
    pub fn to_si(&self, value: f64) -> f64 {
        value * self.numerator / self.denominator
    }

    /// The number of this unit with the SI value.
    pub fn from_si(&self, si: f64) -> f64 {
        si * self.denominator / self.numerator
    }

    /// The product with another unit, or the quotient; nothing beyond the exponents that a
    /// dimension holds.
    fn times(self, other: Unit, sign: i8) -> Option<Unit> {
        let (numerator, denominator) = if sign > 0 {
            (other.numerator, other.denominator)
        } else {
            (other.denominator, other.numerator)
        };
        Some(Unit {
            numerator: self.numerator * numerator,
            denominator: self.denominator * denominator,
            dimension: self.dimension.times(other.dimension, sign)?,
        })
    }

    /// The power; nothing beyond the exponents that a dimension holds.
    fn power(self, exponent: i8) -> Option<Unit> {
        Some(Unit {
            numerator: elementary::powi(self.numerator, i32::from(exponent)),
            denominator: elementary::powi(self.denominator, i32::from(exponent)),
            dimension: self.dimension.power(exponent)?,
        })
    }

    /// A single name with or without a prefix.
    fn named(name: &str) -> Option<Unit> {
        for row in UNITS {
            if row.names.contains(&name) {
                return Some(row.unit(0));
            }
        }
        for row in UNITS.iter().filter(|row| row.prefixes) {
            for (symbol, word, power) in PREFIXES {
                for (i, base) in row.names.iter().enumerate() {
                    let prefix = if i == 0 { symbol } else { word };
                    if name.strip_prefix(prefix) == Some(base) {
                        return Some(row.unit(*power));
                    }
                }
            }
        }
        None
    }
}

impl table::UnitRow {
    fn unit(&self, power: i32) -> Unit {
        let ten = elementary::powi(10.0, power.abs());
        let (n, d) = if power < 0 { (1.0, ten) } else { (ten, 1.0) };
        Unit {
            numerator: self.factor.0 * n,
            denominator: self.factor.1 * d,
            dimension: Dimension(self.dimension),
        }
    }
}

/// A reader of a unit, from the front of the remaining text.
struct Reader<'a> {
    rest: &'a str,
}

impl Reader<'_> {
    fn skip_spaces(&mut self) {
        self.rest = self.rest.trim_start();
    }

    fn take(&mut self, token: &str) -> bool {
        if let Some(rest) = self.rest.strip_prefix(token) {
            self.rest = rest;
            true
        } else {
            false
        }
    }

    /// Factors with their operators, up to the end or a closing parenthesis.
    fn product(&mut self, whole: &str) -> Result<Unit, QuantityError> {
        // "/m" and "1/m" are the same.
        let mut unit = if self.rest.starts_with('/') {
            Unit::ONE
        } else {
            self.factor(whole)?
        };
        loop {
            self.skip_spaces();
            if self.rest.is_empty() || self.rest.starts_with(')') {
                return Ok(unit);
            }
            let sign = if self.take("/") || self.take("per ") {
                -1
            } else {
                // A product's sign may be left out: "kg m^2".
                let _ = self.take("*") || self.take("\u{b7}") || self.take("\u{d7}");
                1
            };
            self.skip_spaces();
            let factor = self.factor(whole)?;
            unit = unit.times(factor, sign).ok_or_else(|| malformed(whole))?;
        }
    }

    /// A name or a group, with its exponent.
    fn factor(&mut self, whole: &str) -> Result<Unit, QuantityError> {
        let malformed = || malformed(whole);
        let base = if self.take("(") {
            self.skip_spaces();
            let inner = self.product(whole)?;
            if !self.take(")") {
                return Err(malformed());
            }
            inner
        } else {
            let end = self
                .rest
                .char_indices()
                .find(|(_, c)| !(c.is_alphabetic() || matches!(c, '_' | '%' | '\u{b0}')))
                .map_or(self.rest.len(), |(i, _)| i);
            let (name, rest) = self.rest.split_at(end);
            if name.is_empty() {
                if self.take("1") {
                    Unit::ONE
                } else {
                    return Err(malformed());
                }
            } else {
                self.rest = rest;
                Unit::named(name).ok_or_else(|| {
                    let known = UNITS.iter().flat_map(|row| row.names.iter().copied());
                    let common = ["mm", "cm", "kN", "kPa", "kW", "ms"].into_iter();
                    QuantityError::UnknownUnit(
                        excerpt(name, LONGEST_REPEATED),
                        nearest(name, common.chain(known)).map(str::to_owned),
                    )
                })?
            }
        };
        let exponent = self.exponent().ok_or_else(malformed)?;
        base.power(exponent).ok_or_else(malformed)
    }

    /// `^2`, `**-1`, `²`, `2`; one where it is absent, none where it is malformed.
    fn exponent(&mut self) -> Option<i8> {
        for (raised, value) in [("\u{b2}", 2), ("\u{b3}", 3), ("\u{2074}", 4)] {
            if self.take(raised) {
                return Some(value);
            }
        }
        let ahead = self.rest.trim_start();
        let marked = ahead.starts_with('^') || ahead.starts_with("**");
        if marked {
            self.skip_spaces();
            let _ = self.take("^") || self.take("**");
            self.skip_spaces();
        }
        let signed = marked && (self.take("-") || self.take("\u{2212}"));
        let digits = self
            .rest
            .find(|c: char| !c.is_ascii_digit())
            .unwrap_or(self.rest.len());
        let (number, rest) = self.rest.split_at(digits);
        if number.is_empty() {
            return if marked { None } else { Some(1) };
        }
        let value: i8 = number.parse().ok().filter(|n| *n <= 6)?;
        self.rest = rest;
        // "deg/m^2.0" is how some programs write a whole exponent.
        let _ = marked && self.take(".0");
        Some(if signed { -value } else { value })
    }
}

/// Splits a text into its number and its unit.
///
/// # Errors
///
/// A text that does not begin with a finite number.
pub fn split_quantity(text: &str) -> Result<(f64, &str), QuantityError> {
    let text = text.trim();
    let bytes = text.as_bytes();
    let (mut i, minus) = match text.chars().next() {
        Some('-') => (1, true),
        Some('+') => (1, false),
        // The typographic minus sign.
        Some('\u{2212}') => (3, true),
        _ => (0, false),
    };
    let start = i;
    let digits = |mut i: usize| {
        while bytes.get(i).is_some_and(u8::is_ascii_digit) {
            i += 1;
        }
        i
    };
    i = digits(i);
    let mut any = i > start;
    if bytes.get(i) == Some(&b'.') {
        let after = digits(i + 1);
        any |= after > i + 1;
        i = after;
    }
    if !any {
        let word = text[start..].to_ascii_lowercase();
        return Err(if word.starts_with("nan") || word.starts_with("inf") {
            QuantityError::NotFinite
        } else {
            QuantityError::NotANumber
        });
    }
    // An exponent only where digits follow, so that a unit may begin with e.
    if matches!(bytes.get(i), Some(b'e' | b'E')) {
        let signed = usize::from(matches!(bytes.get(i + 1), Some(b'+' | b'-')));
        let after = digits(i + 1 + signed);
        if after > i + 1 + signed {
            i = after;
        }
    }
    // A second number right after the first ("1,200 mm", "1.2.3 mm") is no unit.
    if matches!(bytes.get(i), Some(b'.' | b',')) {
        return Err(QuantityError::NotANumber);
    }
    let magnitude: f64 = text[start..i]
        .parse()
        .map_err(|_| QuantityError::NotANumber)?;
    let value = if minus { -magnitude } else { magnitude };
    if value.is_finite() {
        Ok((value, text[i..].trim()))
    } else {
        Err(QuantityError::NotFinite)
    }
}

/// A quantity as written: its SI value, its unit as written, and its unit as read.
///
/// ```
/// use axletree_vehicle::unit::quantity;
///
/// let (si, unit, _) = quantity("24 mm").unwrap();
/// assert_eq!((si, unit), (0.024, "mm"));
/// ```
///
/// # Errors
///
/// A text without a number, with an unknown or malformed unit, or with an SI value that is not
/// finite.
pub fn quantity(text: &str) -> Result<(f64, &str, Unit), QuantityError> {
    let (value, name) = split_quantity(text)?;
    let unit = Unit::parse(name)?;
    // Zero has no sign.
    let si = unit.to_si(value) + 0.0;
    if si.is_finite() {
        Ok((si, name, unit))
    } else {
        Err(QuantityError::NotFinite)
    }
}

/// The shortest text in a unit that reads back as exactly the SI value; in SI units where no number
/// of the unit does.
pub fn write(si: f64, name: &str) -> String {
    let Ok(unit) = Unit::parse(name) else {
        return number(si);
    };
    let value = unit.from_si(si);
    let rounded = format!("{value:.11e}").parse().unwrap_or(value);
    // Only the very same number will do.
    #[expect(
        clippy::float_cmp,
        reason = "the text must read back as the same number"
    )]
    for candidate in [rounded, value, value.next_up(), value.next_down()] {
        if unit.to_si(candidate) == si {
            return with_unit(candidate, name);
        }
    }
    // The factors of SI units are one.
    with_unit(si, &unit.dimension.si_unit())
}

/// A number with its unit, if it has one.
fn with_unit(value: f64, unit: &str) -> String {
    let space = if unit.is_empty() { "" } else { " " };
    format!("{}{space}{unit}", number(value))
}

/// The shortest text that reads back as the same number; with an exponent where the digits alone
/// would be many.
fn number(value: f64) -> String {
    let size = value.abs();
    if size != 0.0 && !(1e-7..1e16).contains(&size) {
        format!("{value:e}")
    } else {
        format!("{value}")
    }
}
