//! Ends whose curves, compliance and binding come from the points of their links.
//!
//! - [`solved`]: the solved links of an end.
//! - `axle`, `corner`: the description of the links of an axle and of corners.
//! - `faults`: errors of the linkage as faults of entries.
//! - `place`: rounded places.
//! - `solve`: the links of an end, solved or taken over.

mod axle;
mod corner;
mod faults;
mod place;
pub(super) mod solve;
pub(crate) mod solved;
