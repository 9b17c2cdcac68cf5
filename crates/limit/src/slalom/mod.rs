//! Slalom: the highest speed that can be kept up in rhythm, the steering found for each car.
//!
//! The inside of a slalom repeats after two cones. The fastest such rhythm is a periodic orbit of car
//! and driver: speed, steering and lateral offset are unknowns of one optimization whose constraints
//! are the clearances of the two cones. No driver's gains enter, so cars are compared and not the
//! stability of a driver with them. The real course is then driven once with the steering found and a
//! light hand; it shows whether the speed can be had from a straight approach and never changes it.
//!
//! - [`settings`]: what is asked.
//! - [`plant`]: car, hands and right foot along the course.
//! - [`ways`]: several ways of the car along the course, side by side.
//! - [`harmonics`]: the steering that is learned.
//! - [`orbit`]: one period.
//! - [`sensitivity`]: what it depends on, and how orbits are closed.
//! - [`start`]: where the search starts.
//! - [`search`]: the fastest orbit.
//! - [`proposal`]: the steps of this search.
//! - [`course`]: the real course.
//! - [`summary`]: what is read off the orbit, what limited it.
//! - `top_speed`: all of it in order.
//! - `measure`: the metrics.
//! - [`result`]: what is returned.

pub mod course;
pub mod harmonics;
mod measure;
pub mod orbit;
pub mod plant;
pub mod proposal;
pub mod result;
pub mod search;
pub mod sensitivity;
pub mod settings;
pub mod start;
pub mod summary;
mod top_speed;
pub mod ways;

pub use harmonics::Steering;
pub use result::{CourseRun, Driver, Limit, Rhythm, TopSpeed};
pub use settings::Slalom;
