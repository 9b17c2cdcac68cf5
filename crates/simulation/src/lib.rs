//! Driving a car's model through time: controls, drivers, roads, recorded channels, outcomes.
//!
//! - [`drive`]: one car or many along schedules, with fixed steps.
//! - [`driver`]: hands, preview, holding a speed.
//! - [`road`]: bumps, kerbs, ramps, random roads.
//! - [`path`]: a smooth curve through points on the ground.
//! - [`channels`]: every recorded channel, declared once.
//! - [`trace`]: recorded time histories.
//! - [`checkpoint`]: checkpoints of a simulation, so that runs that differ only later can restart from one.
//! - [`metrics`]: every metric, declared once, and how it is read from histories.
//! - [`outcome`]: how runs end.
//! - [`error`]: faults of settings.

pub mod channels;
pub mod checkpoint;
pub mod drive;
pub mod driver;
pub mod error;
pub mod metrics;
pub mod outcome;
pub mod path;
pub mod road;
pub mod trace;

pub use channels::Channel;
pub use drive::{Action, Controls, FIXED_STEP, LONGEST_STEP};
pub use error::ManeuverError;
pub use metrics::{History, Measures, Metric};
pub use outcome::{Ending, Outcome};
pub use path::Path;
pub use trace::Trace;
