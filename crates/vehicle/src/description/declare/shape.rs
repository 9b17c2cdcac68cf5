//! Kinds of values and whether an entry must be written.

/// The kind of value that an entry has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EntryShape {
    /// A number with a unit (none for a pure number) between two values, both allowed.
    Quantity {
        /// The unit in which the range is stated and values are written.
        unit: &'static str,
        /// Least value `[in unit]`.
        low: f64,
        /// Largest value `[in unit]`.
        high: f64,
    },
    /// One of some words.
    Choice(&'static [&'static str]),
    /// A text.
    Text {
        /// Largest length `[characters]`.
        longest: usize,
        /// Whether it may have several lines.
        lines: bool,
    },
}

/// Whether an entry must be written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EntryNeed {
    /// It must.
    Required,
    /// Its value where it is not written, and the reason for that value.
    Default(&'static str, &'static str),
    /// It may be absent, with the meaning of its absence.
    Optional(&'static str),
}

/// An entry that must be written.
pub(super) const REQUIRED: EntryNeed = EntryNeed::Required;

/// A default with its reason.
pub(super) const fn default(value: &'static str, reason: &'static str) -> EntryNeed {
    EntryNeed::Default(value, reason)
}

/// An entry that may be absent, with the meaning of its absence.
pub(super) const fn optional(absent: &'static str) -> EntryNeed {
    EntryNeed::Optional(absent)
}
