//! The rate of an anti-roll bar from its shape.
//!
//! A bar of round section lies across the car; an arm at each end carries a link. With equal and
//! opposite forces F at the links, its compliance over the relative travel of the two ends is a sum
//! (Castigliano; torsion and cantilevers as in Shigley, *Mechanical Engineering Design*, and Roark,
//! *Formulas for Stress and Strain*):
//!
//! ```text
//! 1/k = a^2 L/(G J)                            torsion of the length L on the lever a
//!     + 2 c_a^3/(3 E I)                        bending of both arms of length c_a
//!     + (2 c^3/3 + c^2 b/3)/(E I)              bending of the overhangs c and the span b = L - 2 c
//!     + 2 (L/b)^2/k_b                          bushings, each loaded with F L/b
//!     + 2/k_l                                  links
//! ```
//!
//! The rate is force over RELATIVE end travel, which is also the rate with one end held. In roll
//! both ends move by the same amount in opposite senses, and each feels 2 k per travel of its own.

use super::section::RoundSection;
use axletree_scalar::Real;
use axletree_scalar::elementary;

/// Kind of the arms of a bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Arms {
    /// Bent from the bar.
    SameSection,
    /// So stiff that they do not bend.
    Rigid,
    /// Blades of this bending rate at the link each `[N/m]`.
    Rate(f64),
}

/// An anti-roll bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AntiRollBar {
    /// Its section.
    pub section: RoundSection,
    /// Length that twists, from arm to arm `[m]`.
    pub length: f64,
    /// Lever of each arm, square to the bar's axis `[m]`.
    pub lever: f64,
    /// Length of each arm along itself `[m]`.
    pub arm_length: f64,
    /// Kind of the arms.
    pub arms: Arms,
    /// Distance of each bearing inboard of its arm `[m]`.
    pub bearing_inset: f64,
    /// Radial rate of each bearing's bushing; none where it is rigid `[N/m]`.
    pub bushing_rate: Option<f64>,
    /// Rate of each link; none where it is rigid `[N/m]`.
    pub link_rate: Option<f64>,
    /// Shear modulus `[Pa]`.
    pub shear_modulus: f64,
    /// Young's modulus `[Pa]`.
    pub youngs_modulus: f64,
}

impl AntiRollBar {
    /// Relative end travel per force `[m/N]`.
    pub fn compliance(&self) -> f64 {
        let torsion =
            Real::sq(self.lever) * self.length / (self.shear_modulus * self.section.polar());
        let bending = self.youngs_modulus * self.section.diametral();
        let arms = match self.arms {
            Arms::SameSection => 2.0 * elementary::powi(self.arm_length, 3) / (3.0 * bending),
            Arms::Rigid => 0.0,
            Arms::Rate(rate) => 2.0 / rate,
        };
        let c = self.bearing_inset;
        let span = self.length - 2.0 * c;
        let overhang = (2.0 * elementary::powi(c, 3) / 3.0 + Real::sq(c) * span / 3.0) / bending;
        let bushings = self
            .bushing_rate
            .map_or(0.0, |rate| 2.0 * Real::sq(self.length / span) / rate);
        let links = self.link_rate.map_or(0.0, |rate| 2.0 / rate);
        torsion + arms + overhang + bushings + links
    }

    /// Force over relative end travel; zero for no bar `[N/m]`.
    pub fn rate(&self) -> f64 {
        if self.section.outer > 0.0 {
            self.compliance().recip()
        } else {
            0.0
        }
    }
}
