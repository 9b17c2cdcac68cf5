//! Reasons why a car cannot be driven.

use thiserror::Error;

/// Fastest rate that a drive can follow `[1/s]`: its steps are then about a microsecond.
pub(super) const FASTEST_RATE: f64 = 2e6;

/// Why a car of these numbers cannot be driven.
#[derive(Clone, Debug, PartialEq, Error)]
#[non_exhaustive]
pub enum UndrivableNumbers {
    /// The rates of the equations are not finite.
    #[error("the rates of the equations are not finite")]
    NotFinite,
    /// A part moves faster than any step can follow.
    #[error(
        "the {part} would move at {rate:.1e} 1/s; at most {FASTEST_RATE:.0e} 1/s can be followed"
    )]
    TooFast {
        /// The part.
        part: &'static str,
        /// Its fastest rate `[1/s]`.
        rate: f64,
    },
}
