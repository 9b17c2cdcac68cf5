//! Studies: many cars over many maneuvers, as tables.
//!
//! - [`vary`]: which entries of a car take which values, and in which combinations.
//! - [`work`]: rows over threads, in order, watched and interruptible.
//! - [`sweep`]: a car's entries against what the maneuvers measure.
//! - [`compare`]: several cars side by side.
//! - [`error`]: what can be wrong with a request.

pub mod compare;
pub mod error;
pub mod sweep;
pub mod vary;
pub mod work;

pub use compare::{Comparison, compare};
pub use error::StudyError;
pub use sweep::{Column, Row, Setting, Table, sweep};
pub use vary::{Design, Vary};
pub use work::Options;
