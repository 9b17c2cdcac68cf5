//! Metrics of maneuvers and their computation from time histories.
//!
//! - [`Metric`], [`Measures`]: the declaration of a metric, and the values of a run.
//! - [`History`]: interpolation, crossings and peaks of a sampled history.
//! - [`StepResponse`]: measures of the response to a step, after ISO 7401.
//! - [`list`]: every metric, declared once.
//!
//! A new metric is one declaration in [`list`] and one function in the maneuver that computes it.

mod definition;
mod history;
pub mod list;
mod step_response;

pub use definition::{Measures, Metric, ending_message};
pub use history::History;
pub use step_response::{SteadyWindow, StepResponse, steer_times, step_response};
