//! Every entry of a car file, declared once.
//!
//! Reading, faults, the list of paths, the JSON schema, editing and writing all work from these
//! declarations. A new entry is one row in the table of its kind (`whole`, `end`, `links`, `geometry`,
//! `spring`, `compliance`, `tire`) and its use in the assembly. Which cars have an entry is a list of
//! conditions on other entries ([`Condition`]).

mod compliance;
mod condition;
mod drive;
mod end;
mod geometry;
mod links;
mod points;
mod spring;
mod tire;
mod whole;

pub use condition::{Condition, Test};
pub use links::{AXLE_LINKS, CORNER_LINKS};

use axletree_scalar::elementary;
use std::collections::HashMap;
use std::sync::LazyLock;

use super::unit::{self, Unit};

/// What kind of value an entry has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// A number with a unit (none for a pure number) between two values, both allowed.
    Quantity {
        /// The unit in which the range is stated and values are written.
        unit: &'static str,
        /// Least value [in `unit`].
        low: f64,
        /// Largest value [in `unit`].
        high: f64,
    },
    /// One of some words.
    Choice(&'static [&'static str]),
    /// Any text.
    Text,
}

/// Whether an entry must be there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Need {
    /// It must.
    Required,
    /// Its value where it is not written, and the reason for it.
    Default(&'static str, &'static str),
    /// It may be absent; what that means.
    Optional(&'static str),
}

/// Where in the file a row stands: on its own, or at one or both ends of the car.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Place {
    Whole,
    Both,
    BothIndependent,
    Front,
    Rear,
    RearIndependent,
    RearSolid,
}

/// A condition on another entry of the same end.
type When = (&'static str, Test);

/// A row of the tables.
#[derive(Clone, Copy)]
struct Row {
    place: Place,
    path: &'static str,
    shape: Shape,
    need: Need,
    meaning: &'static str,
    when: &'static [When],
}

impl Row {
    /// The same row, for cars that meet conditions.
    const fn when(self, when: &'static [When]) -> Row {
        Row { when, ..self }
    }
}

const fn row(
    place: Place,
    path: &'static str,
    shape: Shape,
    need: Need,
    meaning: &'static str,
) -> Row {
    Row {
        place,
        path,
        shape,
        need,
        meaning,
        when: &[],
    }
}

/// A quantity's shape.
const fn q(unit: &'static str, low: f64, high: f64) -> Shape {
    Shape::Quantity { unit, low, high }
}

/// A default with its reason.
const fn default(value: &'static str, reason: &'static str) -> Need {
    Need::Default(value, reason)
}

/// An entry's declaration.
#[derive(Clone, Debug)]
pub struct Declaration {
    /// Dotted path.
    pub path: String,
    /// Kind of value and allowed range.
    pub shape: Shape,
    /// Whether it must be there.
    pub need: Need,
    /// What it means.
    pub meaning: &'static str,
    /// What other entries must say for a car to have this one; all of it.
    pub conditions: Vec<Condition>,
    /// The unit of the shape.
    pub unit: Unit,
    /// The default's SI value.
    pub default_si: Option<f64>,
}

impl Declaration {
    /// The allowed range in SI units.
    pub fn range_si(&self) -> Option<[f64; 2]> {
        match self.shape {
            Shape::Quantity { low, high, .. } => {
                Some([self.unit.to_si(low), self.unit.to_si(high)])
            }
            _ => None,
        }
    }

    /// The unit's name; empty for pure numbers and texts.
    pub fn unit_name(&self) -> &'static str {
        match self.shape {
            Shape::Quantity { unit, .. } => unit,
            _ => "",
        }
    }

    /// The default as it would be written.
    pub fn default_text(&self) -> Option<&'static str> {
        match self.need {
            Need::Default(text, _) => Some(text),
            _ => None,
        }
    }

    /// A value that would do, for messages.
    pub fn example(&self) -> String {
        match self.shape {
            Shape::Quantity { unit, low, high } => {
                // A round number inside the range.
                let middle = 0.5 * (low + high);
                let digits = (elementary::ln(high - low) / std::f64::consts::LN_10).floor();
                let step = elementary::powi(10.0, digits as i32 - 1);
                let value = ((middle / step).round() * step * 1e6).round() / 1e6;
                if unit.is_empty() {
                    format!("{value}")
                } else {
                    format!("\"{value} {unit}\"")
                }
            }
            Shape::Choice(choices) => format!("\"{}\"", choices[0]),
            Shape::Text => "\"some text\"".to_owned(),
        }
    }
}

/// All declarations in the order of a file, with the place of each path.
pub struct Declarations {
    /// The declarations.
    pub list: Vec<Declaration>,
    index: HashMap<String, usize>,
}

impl Declarations {
    /// The place of a path in the list.
    pub fn find(&self, path: &str) -> Option<usize> {
        self.index.get(path).copied()
    }

    fn add(&mut self, end: Option<&str>, row: &Row, conditions: Vec<Condition>) {
        let path = end.map_or_else(|| row.path.to_owned(), |end| format!("{end}.{}", row.path));
        // The tables are constants that a test reads through: a unit that cannot be read is a bug.
        let unit = match row.shape {
            Shape::Quantity { unit, .. } => Unit::parse(unit).expect("a unit of the declarations"),
            _ => Unit::ONE,
        };
        let default_si = match (row.shape, row.need) {
            (Shape::Quantity { .. }, Need::Default(text, _)) => Some(
                unit::quantity(text)
                    .expect("a default of the declarations")
                    .0,
            ),
            _ => None,
        };
        self.index.insert(path.clone(), self.list.len());
        self.list.push(Declaration {
            path,
            shape: row.shape,
            need: row.need,
            meaning: row.meaning,
            conditions,
            unit,
            default_si,
        });
    }
}

/// The words of `rear.type`.
pub const REAR_TYPES: &[&str] = &["independent", "solid"];

/// No hardpoints: the links settle what the entry states.
const BY_COEFFICIENTS: &[When] = &[("links.type", Test::Absent)];

/// The declarations.
pub static DECLARATIONS: LazyLock<Declarations> = LazyLock::new(|| {
    let mut all = Declarations {
        list: Vec::new(),
        index: HashMap::new(),
    };
    for row in whole::ROWS.iter().chain(drive::ROWS) {
        all.add(None, row, Vec::new());
    }
    let links = links::rows();
    for end in ["front", "rear"] {
        let tables: [(&[Row], &[When]); 7] = [
            (end::ROWS, &[]),
            (drive::REAR_ROWS, &[]),
            (&links, &[]),
            (geometry::ROWS, BY_COEFFICIENTS),
            (&spring::rows(), &[]),
            (compliance::ROWS, BY_COEFFICIENTS),
            (tire::ROWS, &[]),
        ];
        for (rows, common) in tables {
            for row in rows {
                let front = end == "front";
                let kind = match (row.place, front) {
                    (Place::Both, _)
                    | (Place::Front | Place::BothIndependent, true)
                    | (Place::Rear, false) => None,
                    (Place::BothIndependent | Place::RearIndependent, false) => {
                        Some(&REAR_TYPES[..1])
                    }
                    (Place::RearSolid, false) => Some(&REAR_TYPES[1..]),
                    _ => continue,
                };
                let kind = kind.map(|words| Condition::new("rear.type", Test::Is(words)));
                let others = common
                    .iter()
                    .chain(row.when)
                    .map(|(path, test)| Condition::new(&format!("{end}.{path}"), *test));
                all.add(Some(end), row, kind.into_iter().chain(others).collect());
            }
        }
    }
    // Conditions find their entries once.
    let Declarations { list, index } = &mut all;
    for declaration in list {
        for condition in &mut declaration.conditions {
            condition.index = index[&condition.path];
        }
    }
    all
});
