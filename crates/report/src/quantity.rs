//! The declaration of a quantity.

use std::fmt;

/// A quantity that people read, declared once.
///
/// ```
/// use axletree_report::Quantity;
///
/// const ROLL: Quantity = Quantity::new("roll", "rad", "Roll of the body, right side down positive")
///     .in_frame("heading");
/// assert_eq!(ROLL.to_string(), "roll [rad]");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Quantity {
    /// Name, snake case; unique within its table.
    pub key: &'static str,
    /// SI unit, as `m/s^2` or `N*m/rad`; "-" for a pure number.
    pub unit: &'static str,
    /// Meaning, with its sign where it has one.
    pub meaning: &'static str,
    /// Frame of its components: "earth", "body", "heading", "road at the wheel"; "-" where it has
    /// none.
    pub frame: &'static str,
    /// Source of its definition; "-" where it has none of its own.
    pub source: &'static str,
}

impl Quantity {
    /// A quantity without a frame and without a source of its own.
    pub const fn new(key: &'static str, unit: &'static str, meaning: &'static str) -> Self {
        Quantity {
            key,
            unit,
            meaning,
            frame: "-",
            source: "-",
        }
    }

    /// The same with a frame.
    #[must_use]
    pub const fn in_frame(mut self, frame: &'static str) -> Self {
        self.frame = frame;
        self
    }

    /// The same with the source of its definition.
    #[must_use]
    pub const fn after(mut self, source: &'static str) -> Self {
        self.source = source;
        self
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} [{}]", self.key, self.unit)
    }
}
