//! Uneven roads.
//!
//! A road is a height as a function of the station along a line on the ground and of the wheel:
//! obstacles lie under chosen wheels, a rough road has one profile for the left wheels and one for the
//! right. Heights are small, and the normal of the road counts as vertical: a profile moves the wheels
//! up and down, does not push them back, and a slope costs no speed. A wheel touches the road in one
//! point: the response to unevenness much shorter than the contact is too strong.
//!
//! - [`line`]: stations along a straight line or an arc.
//! - [`shape`]: bump, kerb and ramp.
//! - [`obstacle`]: a shape under chosen wheels.
//! - [`iso8608`]: random roads by class, two tracks with coherence.
//! - [`tracks`]: two tabulated profiles.
//! - [`quick`]: a road compiled for FMA.

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
