//! Conditions on other entries: which cars have an entry.

use super::row::ConditionTest;
use crate::fault_kind::FaultKind;

/// A condition on another entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EntryCondition {
    /// Dotted path of the other entry.
    pub path: String,
    /// The test of the other entry.
    pub test: ConditionTest,
    /// Place of the other entry among the declarations.
    pub(in crate::description) index: usize,
}

impl EntryCondition {
    pub(super) fn new(path: &str, test: ConditionTest) -> Self {
        EntryCondition {
            path: path.to_owned(),
            test,
            index: usize::MAX,
        }
    }

    /// The fault of an entry that is written although the condition does not hold.
    pub(in crate::description) fn refusal(&self) -> FaultKind {
        match self.test {
            ConditionTest::Absent => FaultKind::GivenTwice {
                other: self.path.clone(),
            },
            ConditionTest::Given | ConditionTest::Is(_) => FaultKind::NotApplicable {
                needs: self.to_string(),
            },
        }
    }
}

/// As a person would write it.
impl std::fmt::Display for EntryCondition {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.test {
            ConditionTest::Given => f.write_str(&self.path),
            ConditionTest::Absent => write!(f, "no {}", self.path),
            ConditionTest::Is(words) => {
                let words: Vec<String> = words.iter().map(|w| format!("\"{w}\"")).collect();
                write!(f, "{} = {}", self.path, words.join(" or "))
            }
        }
    }
}
