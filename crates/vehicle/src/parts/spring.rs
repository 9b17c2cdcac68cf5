//! The rate of a coil spring from its wire.
//!
//! `k = G d^4 / (8 D^3 n)`: torsion of a thin wire wound with mean diameter D over n active coils
//! (Shigley, *Mechanical Engineering Design*, chapter on helical springs; Wahl, *Mechanical
//! Springs*).
use axletree_scalar::elementary;

/// A helical spring of round wire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coil {
    /// Diameter of the wire `[m]`.
    pub wire: f64,
    /// Mean diameter of the coil `[m]`.
    pub diameter: f64,
    /// Active coils `[-]`.
    pub active: f64,
    /// Shear modulus `[Pa]`.
    pub shear_modulus: f64,
}

impl Coil {
    /// The rate `[N/m]`.
    pub fn rate(&self) -> f64 {
        self.shear_modulus * elementary::powi(self.wire, 4)
            / (8.0 * elementary::powi(self.diameter, 3) * self.active)
    }
}
