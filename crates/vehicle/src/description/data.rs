//! A description: one cell per declared entry, and the conditions between them.

use super::cell::Cell;
use super::declare::condition::EntryCondition;
use super::declare::declarations::{DECLARATIONS, Declaration};
use super::declare::row::ConditionTest;
use super::declare::shape::EntryNeed;

/// A car as described: pure data.
///
/// Reading checks every value and every condition between entries, so that a description that
/// exists has every entry that its car needs, in range. Whether its linkages can be solved and its
/// springs carry it shows in the assembly only.
///
/// ```
/// use axletree_vehicle::{BUNDLED, Description, assemble};
///
/// let (name, text) = BUNDLED[0];
/// let description = Description::from_toml(text, Some(name))?;
/// assert!(description.name().starts_with("Bramble"));
/// let assembled = assemble(&description)?;
/// assert!(assembled.summary.mass > 1000.0);
/// # Ok::<(), axletree_vehicle::CarError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Description {
    /// One cell per declaration; nothing where the entry is not written.
    pub(super) cells: Vec<Option<Cell>>,
    /// File name or name of a bundled car.
    pub(super) origin: Option<String>,
}

/// Two descriptions are equal if every entry is, written or by default, wherever they came from.
impl PartialEq for Description {
    fn eq(&self, other: &Description) -> bool {
        (0..self.cells.len()).all(|i| self.effective(i) == other.effective(i))
    }
}

impl Description {
    /// A description without any entry.
    pub(super) fn empty(origin: Option<&str>) -> Self {
        Description {
            cells: vec![None; DECLARATIONS.list.len()],
            origin: origin.map(str::to_owned),
        }
    }

    /// Where the description came from: a file name or a bundled car's name.
    pub fn origin(&self) -> Option<&str> {
        self.origin.as_deref()
    }

    /// The value of an entry by its place: as written, else its default.
    pub(super) fn effective(&self, index: usize) -> Option<Cell> {
        if let Some(cell) = &self.cells[index] {
            return Some(cell.clone());
        }
        let declaration = &DECLARATIONS.list[index];
        if !self.applies(declaration) {
            return None;
        }
        match (declaration.default_si, declaration.default_text()) {
            (Some(si), _) => Some(Cell::Number { si, written: None }),
            (None, Some(text)) => Some(Cell::Text(text.into())),
            (None, None) => None,
        }
    }

    /// Whether the car has the entry: whether all its conditions hold.
    pub(super) fn applies(&self, declaration: &Declaration) -> bool {
        declaration
            .conditions
            .iter()
            .all(|condition| self.holds(condition) == Some(true))
    }

    /// Whether a condition holds; nothing where the other entry is missing but required.
    pub(super) fn holds(&self, condition: &EntryCondition) -> Option<bool> {
        let cell = &self.cells[condition.index];
        let words = match condition.test {
            ConditionTest::Given => return Some(cell.is_some()),
            ConditionTest::Absent => return Some(cell.is_none()),
            ConditionTest::Is(words) => words,
        };
        let word = match cell {
            Some(Cell::Text(text)) => text,
            Some(Cell::Number { .. }) => return Some(false),
            None => match DECLARATIONS.list[condition.index].need {
                EntryNeed::Required => return None,
                EntryNeed::Default(word, _) => word,
                EntryNeed::Optional(_) => return Some(false),
            },
        };
        Some(words.contains(&word))
    }

    /// The number of an entry by its place: as written, else its default. `[SI]`
    pub(super) fn number_at(&self, index: usize) -> Option<f64> {
        match &self.cells[index] {
            Some(Cell::Number { si, .. }) => Some(*si),
            Some(Cell::Text(_)) => None,
            None => DECLARATIONS.list[index].default_si,
        }
    }

    /// The text of an entry by its place: as written, else its default.
    pub(super) fn text_at(&self, index: usize) -> Option<&str> {
        match &self.cells[index] {
            Some(Cell::Text(text)) => Some(text),
            Some(Cell::Number { .. }) => None,
            None => match DECLARATIONS.list[index].need {
                EntryNeed::Default(text, _) => Some(text),
                EntryNeed::Required | EntryNeed::Optional(_) => None,
            },
        }
    }
}
