//! Standard and club maneuvers: the driver drives a car's model, metrics say what it did.
//!
//! - [`stepping`]: time integration.
//! - [`metrics`]: what is measured, each metric declared once.
//! - [`outcome`]: how runs end.
//! - [`interrupt`]: breaking off and watching long computations.
//! - [`error`]: what can be wrong with a request.

pub mod error;
pub mod interrupt;
pub mod channels;
pub mod maneuver;
pub mod metrics;
pub mod outcome;
pub mod stepping;
pub mod trace;

pub use error::ManeuverError;
pub use interrupt::Interrupt;
pub use channels::Channel;
pub use maneuver::{Maneuver, Run};
pub use metrics::{History, Measures, Metric};
pub use outcome::{Ending, Outcome};
pub use trace::Trace;
