//! Numbers as messages print them.

use std::fmt;

/// A number with at most six significant digits, and its unit.
pub(crate) struct Shown(pub f64, pub &'static str);

impl fmt::Display for Shown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let rounded: f64 = format!("{:.5e}", self.0).parse().unwrap_or(self.0);
        write!(f, "{rounded}")?;
        if self.1.is_empty() {
            Ok(())
        } else {
            write!(f, " {}", self.1)
        }
    }
}
