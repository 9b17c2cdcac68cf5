//! Locations of one wheel: each is a list of parts over the one solver, for the left side.
//!
//! Freedoms taken of the six of the knuckle must be five, so that travel remains.
//!
//! - [`strut`]: lower arm, sliding strut, tie rod.
//! - [`wishbone`]: two wishbones and a tie rod.
//! - [`multilink`]: five rods.
//! - [`semi_trailing`]: the knuckle is one with an arm hinged on the body.

pub mod multilink;
pub mod semi_trailing;
pub mod strut;
pub mod wishbone;

pub use multilink::MultiLink;
pub use semi_trailing::SemiTrailing;
pub use strut::MacPherson;
pub use wishbone::{DoubleWishbone, TieRod, Wishbone};
