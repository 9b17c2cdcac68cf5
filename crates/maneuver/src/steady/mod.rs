//! Curves of equilibria: the steady-state circle and the acceleration envelope.
//!
//! - `continuation`: curves of equilibria, followed by their arc length.
//! - `limit`: a curve followed to its limit, and the cause of the limit.
//! - `points`: the channels at points of a curve.
//! - `circle`: the steady-state circle after ISO 4138.
//! - `acceleration_envelope`: the largest acceleration in every direction.

mod acceleration_envelope;
mod circle;
mod continuation;
mod limit;
mod points;

pub use acceleration_envelope::{AccelerationEnvelope, EnvelopeEdge};
pub use circle::{Circle, CircleMethod, CircleResult};
pub use limit::{LimitedBy, SteadyCurve};
pub use points::SteadyPoint;
