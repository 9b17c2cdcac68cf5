//! The fault of a missing entry.

use super::declare::declarations::DECLARATIONS;
use crate::fault::Fault;
use crate::fault_kind::FaultKind;

/// The fault of a missing entry, with its meaning and an example.
pub(super) fn missing(index: usize) -> Fault {
    let declaration = &DECLARATIONS.list[index];
    let (what, example) = (declaration.meaning, declaration.example());
    let meaning = format!("{what}; write, for example, {example}");
    Fault::new(&declaration.path, FaultKind::Missing { meaning })
}
