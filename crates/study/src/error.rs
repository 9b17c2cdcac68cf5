//! What can be wrong with the request of a study. What happens to one car of it is no error but the
//! outcome of its row.

use axletree_simulation::ManeuverError;
use axletree_vehicle::CarError;

/// A study that cannot be started.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StudyError {
    /// A maneuver's settings make no sense.
    #[error(transparent)]
    Maneuver(#[from] ManeuverError),
    /// An entry to vary does not exist, or the car itself is at fault.
    #[error(transparent)]
    Car(#[from] CarError),
    /// Nothing is asked for.
    #[error("a study needs at least one {what}: {given} given")]
    Empty {
        /// What is missing.
        what: &'static str,
        /// How many were given.
        given: usize,
    },
    /// Two things that must differ have the same name.
    #[error("{what} \"{name}\" is given twice")]
    Twice {
        /// What has the name.
        what: &'static str,
        /// The name.
        name: String,
    },
    /// More rows than memory should be asked for.
    #[error("the study would have {rows} rows; allowed are at most {most}")]
    TooLarge {
        /// Rows asked for.
        rows: u128,
        /// Most allowed.
        most: u128,
    },
    /// The threads could not be started.
    #[error("{threads} threads could not be started")]
    Threads {
        /// Threads asked for.
        threads: usize,
    },
}
