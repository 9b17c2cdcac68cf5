//! A model as a record of named numbers, which survives a change of the numbers' order and is
//! refused where their set or their meaning has changed.
//!
//! A record holds a schema number, the car's name, its topology (the kind of rear end), its gears,
//! and every other number under its dotted path: those of the equations as
//! [`Named`](axletree_scalar::numbers::Named) lists them,
//! the outer measures under `geometry`, the travels at rest under `rest_travel`. It depends on no
//! other car.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::undrivable::UndrivableNumbers;
use crate::excerpt::excerpt;

/// Version of the meaning of a model's numbers. Raised whenever a number changes its meaning, unit
/// or sign without changing its path; paths that come or go are noticed by themselves.
pub const RECORD_SCHEMA: u32 = 2;

/// Paths that a message lists before it only counts them.
const LISTED: usize = 5;
/// Longest part of a path that a message repeats `[characters]`.
const LONGEST_PATH: usize = 120;

/// Why a record is not a model.
#[derive(Clone, Debug, PartialEq, Error)]
#[non_exhaustive]
pub enum RecordError {
    /// The record has another schema.
    #[error(
        "the model's record has schema {found}, this version of Axletree reads schema {RECORD_SCHEMA}: \
         assemble the car again from its description"
    )]
    Schema {
        /// Schema of the record; 0 where it has none.
        found: u32,
    },
    /// The rear end is neither of the two kinds.
    #[error("the model's record has rear = \"{}\"; allowed: \"independent\", \"solid\"", excerpt(.0, LONGEST_PATH))]
    Rear(String),
    /// Numbers are missing.
    #[error("the model's record lacks {}", listed(.0))]
    Missing(Vec<String>),
    /// There are numbers that a car of this topology does not have.
    #[error("no number of this car has the path {}", listed(.0))]
    Unknown(Vec<String>),
    /// A car of the replaced numbers cannot be driven.
    #[error("{}: {reason}", listed(numbers))]
    Undrivable {
        /// The replaced numbers of which each alone is a reason; all of them where none is.
        numbers: Vec<String>,
        /// The reason.
        reason: UndrivableNumbers,
    },
    /// A number is not finite.
    #[error("{path} = {value} is not finite")]
    NotFinite {
        /// Path of the number.
        path: String,
        /// The number.
        value: f64,
    },
}

/// The first few, and how many more there are.
fn listed(paths: &[String]) -> String {
    let shown = paths
        .iter()
        .take(LISTED)
        .map(|path| excerpt(path, LONGEST_PATH));
    let text = shown.collect::<Vec<String>>().join(", ");
    match paths.len().checked_sub(LISTED) {
        None | Some(0) => text,
        Some(more) => format!("{text} and {more} more"),
    }
}

/// The stored form of a model.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(default)]
#[derive(Default)]
pub(super) struct Record {
    pub(super) schema: u32,
    pub(super) name: String,
    /// "independent" or "solid".
    pub(super) rear: String,
    /// By dotted path.
    pub(super) numbers: BTreeMap<String, f64>,
    pub(super) gears: Vec<f64>,
}

/// Refuses the first number that is not finite, in the order of iteration.
pub(super) fn check_finite<'a>(
    numbers: impl IntoIterator<Item = (&'a String, &'a f64)>,
) -> Result<(), RecordError> {
    match numbers.into_iter().find(|(_, value)| !value.is_finite()) {
        Some((path, value)) => Err(RecordError::NotFinite {
            path: path.clone(),
            value: *value,
        }),
        None => Ok(()),
    }
}
