//! Faults of a study's request. What happens to one car of a study is the outcome of its row, not
//! an error.

use axletree_simulation::ManeuverError;
use axletree_vehicle::CarError;

/// Fault of the request of a study.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StudyError {
    /// Settings of a maneuver fail its check.
    #[error(transparent)]
    Maneuver(#[from] ManeuverError),
    /// An entry to vary does not exist.
    #[error(transparent)]
    Car(#[from] CarError),
    /// A part of the request is empty.
    #[error("a study needs at least one {what}: {given} given")]
    Empty {
        /// The missing part.
        what: &'static str,
        /// Number given.
        given: usize,
    },
    /// Two parts of the request have the same name.
    #[error("{what} \"{name}\" is given twice")]
    Twice {
        /// The kind of the parts.
        what: &'static str,
        /// The name.
        name: String,
    },
    /// The study has more rows than the limit.
    #[error("the study has {rows} rows; at most {most} are allowed")]
    TooLarge {
        /// Rows of the request.
        rows: u128,
        /// Largest number allowed.
        most: usize,
    },
    /// The number of threads is out of range.
    #[error("threads = {threads} is out of range: 1 to {most} are allowed")]
    Threads {
        /// Number of threads requested.
        threads: usize,
        /// Largest number allowed.
        most: usize,
    },
}
