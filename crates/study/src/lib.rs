//! Studies: many cars through many maneuvers, as tables.
//!
//! - [`sweep()`]: entries of one car, varied.
//! - [`compare()`]: several cars in the same maneuvers.
//! - [`Vary`], [`SweepDesign`]: the values of the varied entries, and their combinations.
//! - [`StudyOptions`], [`MOST_THREADS`]: threads, interruption and progress.
//! - [`StudyError`]: faults of a request.

mod compare;
mod error;
mod sweep;
mod threads;
mod vary;
mod work;

pub use compare::{Comparison, compare};
pub use error::StudyError;
pub use sweep::{MetricColumn, SettingColumn, SweepRow, SweepTable, sweep};
pub use threads::MOST_THREADS;
pub use vary::{SweepDesign, Vary};
pub use work::StudyOptions;
