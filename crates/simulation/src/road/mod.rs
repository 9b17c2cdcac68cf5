//! Uneven roads.
//!
//! A road is a height as a function of the station along a line on the ground and of the wheel:
//! obstacles lie under chosen wheels, a rough road has one profile for the left wheels and one for
//! the right. Heights are small, and the normal of the road counts as vertical: a profile moves the
//! wheels up and down, does not push them back, and a slope costs no speed. A wheel touches the
//! road in one point: the response to unevenness much shorter than the contact is too strong.
//!
//! - [`RoadLine`]: stations along a straight line or an arc.
//! - [`ObstacleShape`]: bump, kerb and ramp.
//! - [`Obstacle`]: a shape under chosen wheels.
//! - [`RoughRoad`]: random roads by class, two tracks with coherence.
//! - [`Tracks`]: two tabulated profiles.
//! - [`FusedRoad`]: a road compiled for FMA.

mod fused;
mod iso8608;
mod line;
mod obstacle;
mod shape;
mod tracks;

pub use axletree_vehicle::model::{Flat, Patch, Road};
pub use fused::FusedRoad;
pub use iso8608::{Coherence, REFERENCE, RoadClass, RoughRoad};
pub use line::RoadLine;
pub use obstacle::{Obstacle, ObstacleWheels};
pub use shape::{ObstacleShape, smooth_step};
pub use tracks::Tracks;
