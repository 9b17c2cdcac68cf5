//! All declarations in the order of a file, found by path or by key.

use std::collections::HashMap;
use std::ops::Range;
use std::sync::LazyLock;

use axletree_scalar::{elementary, lone};

use super::common::BY_COEFFICIENTS;
use super::condition::EntryCondition;
use super::group::{self, GroupMember};
use super::key::{CarEnd, EntryTable, Key, TABLES};
use super::row::{ConditionTest, EntryRow, Pattern, Place, When};
use super::shape::{EntryNeed, EntryShape};
use super::words::{RearType, Words};
use super::{bar, compliance, drive, end, geometry, links, spring, tire, whole};
use crate::description::unit::{self, Unit};

/// An entry's declaration.
#[derive(Clone, Debug)]
pub struct Declaration {
    /// Dotted path.
    pub path: String,
    /// Kind of value and allowed range.
    pub shape: EntryShape,
    /// Whether it must be written.
    pub need: EntryNeed,
    /// Meaning of the entry.
    pub meaning: &'static str,
    /// Conditions on other entries, all of which a car with this entry meets.
    pub conditions: Vec<EntryCondition>,
    /// Unit of the shape.
    pub unit: Unit,
    /// SI value of the default.
    pub default_si: Option<f64>,
}

impl Declaration {
    /// The allowed range in SI units.
    pub fn range_si(&self) -> Option<[f64; 2]> {
        match self.shape {
            EntryShape::Quantity { low, high, .. } => {
                Some([self.unit.to_si(low), self.unit.to_si(high)])
            }
            _ => None,
        }
    }

    /// The unit's name; empty for pure numbers and texts.
    pub fn unit_name(&self) -> &'static str {
        match self.shape {
            EntryShape::Quantity { unit, .. } => unit,
            _ => "",
        }
    }

    /// The default as it would be written.
    pub fn default_text(&self) -> Option<&'static str> {
        match self.need {
            EntryNeed::Default(text, _) => Some(text),
            _ => None,
        }
    }

    /// A valid value, for messages.
    pub fn example(&self) -> String {
        match self.shape {
            EntryShape::Quantity { unit, low, high } => {
                // A round number inside the range.
                let middle = 0.5 * (low + high);
                let digits = (lone::ln(high - low) / std::f64::consts::LN_10).floor();
                #[expect(
                    clippy::cast_possible_truncation,
                    reason = "a range has some ten digits"
                )]
                let step = elementary::powi(10.0, digits as i32 - 1);
                let value = ((middle / step).round() * step * 1e6).round() / 1e6;
                if unit.is_empty() {
                    format!("{value}")
                } else {
                    format!("\"{value} {unit}\"")
                }
            }
            EntryShape::Choice(choices) => format!("\"{}\"", choices[0]),
            EntryShape::Text { .. } => "\"some text\"".to_owned(),
        }
    }
}

/// The entries of a row at one end of the car, or of the whole car.
#[derive(Clone, Debug)]
struct Placed {
    entries: Range<usize>,
    path: String,
}

/// All declarations in the order of a file, with the place of each path.
pub struct Declarations {
    /// The declarations.
    pub list: Vec<Declaration>,
    index: HashMap<String, usize>,
    /// The rows' entries by table, row and end (the whole car counts as the front).
    placed: [Vec<[Option<Placed>; 2]>; TABLES],
}

impl Declarations {
    /// The place of a path in the list.
    pub fn find(&self, path: &str) -> Option<usize> {
        self.index.get(path).copied()
    }

    fn placed<K>(&self, key: Key<K>) -> &Placed {
        let end = key.end.map_or(0, CarEnd::index);
        // Keys are made by the tables, for the ends that their rows have.
        self.placed[key.row.table as usize][usize::from(key.row.index)][end]
            .as_ref()
            .expect("every key has a row at its end")
    }

    /// The places of a key's entries in the list.
    pub(in crate::description) fn entries<K>(&self, key: Key<K>) -> Range<usize> {
        self.placed(key).entries.clone()
    }

    fn add_table(
        &mut self,
        table: EntryTable,
        end: Option<CarEnd>,
        rows: &[EntryRow],
        common: &[When],
    ) {
        let placed = &mut self.placed[table as usize];
        placed.resize_with(rows.len(), Default::default);
        for (i, row) in rows.iter().enumerate() {
            let Some(conditions) = conditions(row, end, common) else {
                continue;
            };
            let under = |path: &str| {
                end.map_or_else(|| path.to_owned(), |end| format!("{}.{path}", end.name()))
            };
            // The tables are constants: a word without a value is a bug.
            if let Pattern::Choice(words) = row.pattern {
                assert!(words.iter().all(|word| (row.takes)(word)), "{}", row.path);
            }
            let first = self.list.len();
            for member in group::members(row) {
                self.add(under(&member.path), &member, conditions.clone());
            }
            self.placed[table as usize][i][end.map_or(0, CarEnd::index)] = Some(Placed {
                entries: first..self.list.len(),
                path: under(row.path),
            });
        }
    }

    fn add(&mut self, path: String, member: &GroupMember, conditions: Vec<EntryCondition>) {
        // The tables are constants that a test reads through: a unit that is not valid is a bug.
        let unit = match member.shape {
            EntryShape::Quantity { unit, .. } => {
                Unit::parse(unit).expect("a unit of the declarations")
            }
            _ => Unit::ONE,
        };
        let default_si = match (member.shape, member.need) {
            (EntryShape::Quantity { .. }, EntryNeed::Default(text, _)) => Some(
                unit::quantity(text)
                    .expect("a default of the declarations")
                    .0,
            ),
            _ => None,
        };
        self.index.insert(path.clone(), self.list.len());
        self.list.push(Declaration {
            path,
            shape: member.shape,
            need: member.need,
            meaning: member.meaning,
            conditions,
            unit,
            default_si,
        });
    }
}

/// The conditions of a row at one end; nothing where that end does not have it.
fn conditions(row: &EntryRow, end: Option<CarEnd>, common: &[When]) -> Option<Vec<EntryCondition>> {
    const INDEPENDENT: &[&str] = RearType::WORDS.split_at(1).0;
    const SOLID: &[&str] = RearType::WORDS.split_at(1).1;
    let rear = match (row.place, end) {
        (Place::Whole, None)
        | (Place::Both, Some(_))
        | (Place::Front | Place::BothIndependent, Some(CarEnd::Front))
        | (Place::Rear, Some(CarEnd::Rear)) => None,
        (Place::BothIndependent | Place::RearIndependent, Some(CarEnd::Rear)) => Some(INDEPENDENT),
        (Place::RearSolid, Some(CarEnd::Rear)) => Some(SOLID),
        _ => return None,
    };
    let rear = rear.map(|words| EntryCondition::new("rear.type", ConditionTest::Is(words)));
    let others = common.iter().chain(row.when).map(|(path, test)| {
        let end = end.map_or("", CarEnd::name);
        EntryCondition::new(&format!("{end}.{path}"), *test)
    });
    Some(rear.into_iter().chain(others).collect())
}

impl<K> Key<K> {
    /// Dotted path of the entry, or of the table of a group of entries.
    pub fn path(self) -> &'static str {
        &DECLARATIONS.placed(self).path
    }
}

impl<K> From<Key<K>> for String {
    fn from(key: Key<K>) -> String {
        key.path().to_owned()
    }
}

/// The declarations.
pub static DECLARATIONS: LazyLock<Declarations> = LazyLock::new(|| {
    let mut all = Declarations {
        list: Vec::new(),
        index: HashMap::new(),
        placed: Default::default(),
    };
    all.add_table(EntryTable::Whole, None, whole::ROWS, &[]);
    all.add_table(EntryTable::Drive, None, drive::ROWS, &[]);
    for end in CarEnd::BOTH {
        let tables: [(EntryTable, &[EntryRow], &[When]); 8] = [
            (EntryTable::End, end::ROWS, &[]),
            (EntryTable::RearDrive, drive::REAR_ROWS, &[]),
            (EntryTable::Links, links::ROWS, &[]),
            (EntryTable::Geometry, geometry::ROWS, BY_COEFFICIENTS),
            (EntryTable::Spring, spring::ROWS, &[]),
            (EntryTable::Bar, bar::ROWS, &[]),
            (EntryTable::Compliance, compliance::ROWS, BY_COEFFICIENTS),
            (EntryTable::Tire, tire::ROWS, &[]),
        ];
        for (table, rows, common) in tables {
            all.add_table(table, Some(end), rows, common);
        }
    }
    // Conditions find their entries once; one on an entry that is not declared is a bug.
    let Declarations { list, index, .. } = &mut all;
    for declaration in list {
        for condition in &mut declaration.conditions {
            condition.index = index[&condition.path];
        }
    }
    all
});

#[cfg(test)]
mod tests {
    use super::*;

    /// Every table.
    const TABLES_WITH_ROWS: [(&str, &[EntryRow]); 10] = [
        ("whole", whole::ROWS),
        ("drive", drive::ROWS),
        ("end", end::ROWS),
        ("rear drive", drive::REAR_ROWS),
        ("links", links::ROWS),
        ("geometry", geometry::ROWS),
        ("spring", spring::ROWS),
        ("bar", bar::ROWS),
        ("compliance", compliance::ROWS),
        ("tire", tire::ROWS),
    ];

    /// The type of a choice's key has a value for every word of the choice, and for no other.
    #[test]
    fn every_word_of_a_choice_has_a_value() {
        let mut words = 0;
        for row in TABLES_WITH_ROWS.iter().flat_map(|(_, rows)| *rows) {
            if let Pattern::Choice(choices) = row.pattern {
                for word in choices {
                    assert!((row.takes)(word), "{}: {word}", row.path);
                    words += 1;
                }
                assert!(!(row.takes)("no such word"), "{}", row.path);
            }
        }
        assert!(words > 30);
    }

    /// Every row is declared at one end at least, and at every end that its key can name; no path
    /// is declared twice.
    #[test]
    fn every_row_has_its_entries() {
        for (table, rows) in DECLARATIONS.placed.iter().zip(TABLES_WITH_ROWS) {
            assert_eq!(table.len(), rows.1.len(), "{}", rows.0);
            for (placed, row) in table.iter().zip(rows.1) {
                let want = match row.place {
                    Place::Whole | Place::Front => [true, false],
                    Place::Both | Place::BothIndependent => [true, true],
                    Place::Rear | Place::RearIndependent | Place::RearSolid => [false, true],
                };
                assert_eq!(placed.each_ref().map(Option::is_some), want, "{}", row.path);
                for placed in placed.iter().flatten() {
                    assert!(!placed.entries.is_empty(), "{}", row.path);
                    for i in placed.entries.clone() {
                        let path = &DECLARATIONS.list[i].path;
                        assert!(path.starts_with(&placed.path));
                        assert_eq!(DECLARATIONS.find(path), Some(i));
                    }
                }
            }
        }
        assert_eq!(DECLARATIONS.index.len(), DECLARATIONS.list.len());
    }

    /// The index of a path that a table does not have is refused, in release builds too.
    #[test]
    #[should_panic(expected = "the path is not declared in this table")]
    fn an_undeclared_path_has_no_index() {
        super::super::row::index_of(spring::ROWS, "spring.rat");
    }
}
