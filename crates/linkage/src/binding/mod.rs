//! Binding: energy of twisted and tilted link ends and of strained links.

mod energy;
mod potential;
mod potential_fit;
mod swing;
mod travel_potential;

pub use energy::{Binding, EndTurn, StoredEnergy};
pub use potential::{Potential, SolidTerm};
pub use potential_fit::FittedPotential;
pub use travel_potential::{TravelPotential, TravelSolid};
