//! Sine with dwell after ISO 19365 (the test of 49 CFR 571.126): one sine of the steering wheel
//! with a pause at its second peak, at growing amplitudes.
//!
//! - `settings`: the maneuver's settings.
//! - `steering`: the steering-wheel angle over time, and the controls that turn it.
//! - `reference`: the slow steer that gives the unit of the amplitudes.
//! - `criteria`: the criteria that a run must meet.
//! - `series`: the runs of a car at growing amplitudes.
//! - `results`: the metrics.

mod criteria;
mod reference;
mod results;
mod series;
mod settings;
mod steering;

pub use criteria::{Assessment, CHECK_TIMES};
pub use reference::reference_angle;
pub use series::DwellRun;
pub use settings::SineWithDwell;
pub use steering::DwellSine;
