//! Locations of one wheel, each a list of parts for the left side.
//!
//! The parts must leave one of the knuckle's six degrees of freedom, its travel, so they remove
//! five.
//!
//! - [`MacPherson`]: lower arm, sliding strut, tie rod.
//! - [`DoubleWishbone`]: two wishbones and a tie rod.
//! - [`MultiLink`]: five rods.
//! - [`SemiTrailing`]: an arm hinged on the body, in one piece with the knuckle.

mod multilink;
mod semi_trailing;
mod strut;
mod wishbone;

pub use multilink::MultiLink;
pub use semi_trailing::SemiTrailing;
pub use strut::MacPherson;
pub use wishbone::{DoubleWishbone, TieRod, Wishbone};
