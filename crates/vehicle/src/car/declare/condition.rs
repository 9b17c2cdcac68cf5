//! Which cars have an entry: conditions on other entries.

use super::super::{Car, Cell};
use super::{DECLARATIONS, Need};
use crate::error::FaultKind;

/// What is asked of another entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Test {
    /// It is one of some words.
    Is(&'static [&'static str]),
    /// It is written.
    Given,
    /// It is not written.
    Absent,
}

/// A condition on another entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Condition {
    /// Dotted path of the other entry.
    pub path: String,
    /// What is asked of it.
    pub test: Test,
    /// Its place among the declarations.
    pub(super) index: usize,
}

impl Condition {
    pub(super) fn new(path: &str, test: Test) -> Self {
        Condition {
            path: path.to_owned(),
            test,
            index: usize::MAX,
        }
    }

    /// Whether a car meets it; nothing where the other entry is missing but must be there.
    pub(in crate::car) fn holds(&self, car: &Car) -> Option<bool> {
        let cell = &car.cells[self.index];
        let words = match self.test {
            Test::Given => return Some(cell.is_some()),
            Test::Absent => return Some(cell.is_none()),
            Test::Is(words) => words,
        };
        let other = &DECLARATIONS.list[self.index];
        let word = match cell {
            Some(Cell::Text(text)) => text,
            Some(Cell::Number { .. }) => return Some(false),
            None => match other.need {
                Need::Required => return None,
                Need::Default(word, _) => word,
                Need::Optional(_) => return Some(false),
            },
        };
        Some(words.contains(&word))
    }

    /// What is wrong with an entry that is written although the condition does not hold.
    pub(in crate::car) fn refusal(&self) -> FaultKind {
        match self.test {
            Test::Absent => FaultKind::GivenTwice {
                other: self.path.clone(),
            },
            Test::Given | Test::Is(_) => FaultKind::NotApplicable {
                needs: self.to_string(),
            },
        }
    }
}

/// As a person would write it.
impl std::fmt::Display for Condition {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.test {
            Test::Given => f.write_str(&self.path),
            Test::Absent => write!(f, "no {}", self.path),
            Test::Is(words) => {
                let words: Vec<String> = words.iter().map(|w| format!("\"{w}\"")).collect();
                write!(f, "{} = {}", self.path, words.join(" or "))
            }
        }
    }
}
