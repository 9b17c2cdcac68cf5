//! Roads that are not flat.
//!
//! A road is a height as a function of the station along a line on the ground and of the wheel that
//! rolls there: obstacles lie under chosen wheels, a rough road has one profile for the left wheels and
//! one for the right. Heights are small; the road's normal is taken vertical, so that a profile shakes
//! the wheels up and down and does not push them back, and a slope costs no speed. A wheel touches the
//! road in a point: unevenness much shorter than its contact is felt too strongly.
//!
//! - [`line`]: stations along a straight line or an arc.
//! - [`shape`]: bump, kerb and ramp.
//! - [`obstacle`]: a shape under chosen wheels.
//! - [`iso8608`]: random roads by class, two tracks with coherence.
//! - [`tracks`]: two profiles by table.
//! - [`quick`]: a road asked with the machine's own arithmetic.

pub mod iso8608;
pub mod line;
pub mod obstacle;
pub mod quick;
pub mod shape;
pub mod tracks;

pub use axletree_vehicle::model::{Flat, Patch, Road};
pub use iso8608::{Coherence, RoadClass, RoughRoad};
pub use line::Line;
pub use obstacle::{Obstacle, Under};
pub use quick::Quick;
pub use shape::Shape;
pub use tracks::Tracks;
