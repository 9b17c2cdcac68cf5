//! Corners that are not flat: the car runs in equilibrium on a circle with the steering wheel held,
//! and the road shakes it.
//!
//! - `steady_corner`: the corner before, and the controls held.
//! - `window`: means over a window of the records.
//! - `drive`: the drives.
//! - `bump`: a single obstacle under chosen wheels.
//! - `rough`: a random road.

mod bump;
mod drive;
mod rough;
mod steady_corner;
mod window;

pub use bump::BumpInACorner;
pub use rough::RoughCorner;
