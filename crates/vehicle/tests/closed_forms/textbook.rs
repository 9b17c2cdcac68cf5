//! The textbook's equations on their own: the single-track car.
//!
//! `m (v' + V r) = F_f + F_r`, `I r' = a F_f - b F_r`, `F = C alpha`,
//! `alpha_f = steer - (v + a r)/V`, `alpha_r = -(v - b r)/V` (Rajamani, *Vehicle Dynamics and
//! Control*, 2nd ed. 2012, ch. 2; Abe, *Vehicle Handling Dynamics*, ch. 3; Pacejka, *Tire and
//! Vehicle Dynamics*, ch. 1). Parameters are those of the validation cases, recalled from memory
//! (flag M).

use super::build::{Case, End};

/// A single-track car; stiffnesses are of a whole axle.
#[derive(Clone, Copy, Debug)]
pub struct SingleTrack {
    pub mass: f64,
    pub yaw_inertia: f64,
    /// Axles from the center of mass `[m]`.
    pub arms: [f64; 2],
    /// Cornering stiffness of each axle `[N/rad]`.
    pub stiffness: [f64; 2],
    pub gravity: f64,
}

/// After Rajamani 2012, ch. 2-3, from memory.
pub const RAJAMANI: SingleTrack = SingleTrack {
    mass: 1573.0,
    yaw_inertia: 2873.0,
    arms: [1.10, 1.58],
    stiffness: [160e3, 160e3],
    gravity: super::G,
};

/// After Abe 2009, ch. 3, from memory.
pub const ABE: SingleTrack = SingleTrack {
    mass: 1500.0,
    yaw_inertia: 2500.0,
    arms: [1.10, 1.60],
    stiffness: [110e3, 120e3],
    gravity: super::G,
};

impl SingleTrack {
    pub fn wheelbase(&self) -> f64 {
        self.arms[0] + self.arms[1]
    }

    /// Understeer gradient `m (b C_r - a C_f)/(L C_f C_r)` `[rad*s^2/m]`.
    pub fn understeer(&self) -> f64 {
        let ([a, b], [f, r]) = (self.arms, self.stiffness);
        self.mass * (b * r - a * f) / (self.wheelbase() * f * r)
    }

    /// The full car that should behave like it: height, springs, two tracks, unsprung masses of
    /// ordinary size. With growing `scale` springs and tires become stiffer, relaxation shorter,
    /// wheels lighter in spin: everything that the textbook leaves out vanishes with its inverse.
    pub fn case(&self, scale: f64) -> Case {
        let end = |i: usize| End {
            damping: 8e4 * scale.sqrt(),
            bar: 1e6 * scale,
            tire_rate: 1e8 * scale,
            cornering: self.stiffness[i] / 2.0,
            relaxation: 0.01 / scale,
            slip: 1e3,
            unsprung: 20.0,
            roll_center: 0.05 + 0.1 * i as f64,
            ..End::plain(1.5, 0.3, 1e7 * scale)
        };
        Case {
            yaw_inertia: self.yaw_inertia,
            gravity: self.gravity,
            spin_inertia: 1e-2 / scale,
            ..Case::plain(self.mass, self.arms, 0.5, [end(0), end(1)])
        }
    }
}
