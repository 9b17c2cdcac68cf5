//! Second moments of area of round bars and tubes.
use axletree_scalar::elementary;

/// A round section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RoundSection {
    /// Outer diameter `[m]`.
    pub outer: f64,
    /// Bore; 0 for a solid bar `[m]`.
    pub bore: f64,
}

impl RoundSection {
    /// A tube by its wall `[m]`; a wall of 0 or of the radius is a solid bar.
    pub fn tube(outer: f64, wall: f64) -> Self {
        let bore = if wall > 0.0 {
            (outer - 2.0 * wall).max(0.0)
        } else {
            0.0
        };
        RoundSection { outer, bore }
    }

    /// Polar second moment, `J = pi (D^4 - d^4) / 32` `[m^4]`.
    pub fn polar(&self) -> f64 {
        std::f64::consts::PI * (elementary::powi(self.outer, 4) - elementary::powi(self.bore, 4))
            / 32.0
    }

    /// Second moment about a diameter, `I = J / 2` `[m^4]`.
    pub fn diametral(&self) -> f64 {
        0.5 * self.polar()
    }
}
