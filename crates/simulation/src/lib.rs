//! Simulation of a car driven through time: controls, drivers, roads, recorded channels, outcomes.
//!
//! - [`drive`]: one car or many along schedules, with fixed or adaptive steps.
//! - [`driver`]: hands, speed control, preview steering.
//! - [`road`]: bumps, kerbs, ramps, random roads.
//! - [`channels`]: every recorded channel, declared once.
//! - [`metrics`]: every metric, declared once, and its computation from time histories.
//! - [`Path`]: a smooth curve through points on the ground.
//! - [`Trace`], [`Recorder`]: recorded time histories.
//! - [`Checkpoints`]: saved states, from which runs that differ only after them are restarted.
//! - [`Outcome`], [`Ending`]: named endings of runs; [`Gap`]: distance of a search from its goal.
//! - [`ManeuverError`], [`within`]: faults of settings.

pub mod channels;
mod checkpoint;
pub mod drive;
pub mod driver;
mod error;
pub mod metrics;
mod outcome;
mod path;
pub mod road;
mod trace;

pub use channels::Channel;
pub use checkpoint::{Checkpoint, Checkpoints};
pub use drive::{Action, Controls, FIXED_STEP, Integrator, LONGEST_STEP};
pub use error::{ManeuverError, within};
pub use metrics::{History, Measures, Metric};
pub use outcome::{Ending, Gap, Outcome};
pub use path::{Path, PathPoint};
pub use trace::{Recorder, Trace};
