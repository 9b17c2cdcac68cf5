//! Metrics of maneuvers and their computation from time histories.
//!
//! - [`definition`]: the declaration of a metric, and the values of a run.
//! - [`history`]: sampled histories, read between their samples.
//! - [`step_response`]: measures of the response to a step, after ISO 7401.
//! - [`list`]: every metric, declared once.
//!
//! A new metric is one declaration in [`list`] and one line in the maneuver that computes it.

pub mod definition;
pub mod history;
pub mod list;
pub mod step_response;

pub use definition::{Measures, Metric};
pub use history::History;
