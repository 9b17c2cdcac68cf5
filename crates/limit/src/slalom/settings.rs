//! What is asked of the slalom.

use serde::{Deserialize, Serialize};

use axletree_simulation::error::{ManeuverError, within};

pub(super) const NAME: &str = "slalom";

/// Settings of the slalom: cones in a straight line, passed on alternate sides, the first on its left.
///
/// The speed found is the one that can be kept up in rhythm; a driver who starts early and spends the
/// phase over eight cones can be 3 to 4 % faster once, beside a spin.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Slalom {
    /// Number of cones.
    pub cones: usize,
    /// Distance of the cones [m].
    pub spacing: f64,
    /// Clearance that the rhythm leaves at every cone [m].
    pub clearance_reserve: f64,
    /// Radius of a cone's base [m].
    pub cone_radius: f64,
    /// Greatest rate of the steering wheel in the hands, approached smoothly [rad/s].
    pub hand_rate: f64,
    /// Lag of the muscles [s].
    pub neuromuscular_lag: f64,
    /// Greatest steering-wheel angle to either side, approached smoothly [rad].
    pub steering_lock: f64,
    /// Largest sideslip angle that the search allows [rad].
    pub sideslip_guard: f64,
    /// Friction of the surface relative to the tires' reference [-].
    pub friction: f64,
    /// Number of odd harmonics of the steering.
    pub harmonics: usize,
    /// Longest step of the integration at the speed the search starts from [s].
    pub step: f64,
}

impl Default for Slalom {
    fn default() -> Self {
        Slalom {
            cones: 8,
            // 60 ft, rounded: common practice, no source.
            spacing: 18.0,
            // What the first cones of a real course take from a rhythm started from straight running.
            clearance_reserve: 0.03,
            // Half the base of a common 45 cm cone: common practice, no source.
            cone_radius: 0.18,
            // Fast hands: common practice, no source.
            hand_rate: 900_f64.to_radians(),
            // Arm muscles follow a command within about a tenth of a second (McRuer and Krendel,
            // AGARDograph 188, 1974, from memory).
            neuromuscular_lag: 0.1,
            // Two and a half turns from lock to lock: common practice, no source.
            steering_lock: 450_f64.to_radians(),
            // Keeps the search out of spins; orbits have a third of it.
            sideslip_guard: 12_f64.to_radians(),
            friction: 1.0,
            // One is 0.014 m/s slower, three are 0.001 m/s faster (the bundled solid-axle car).
            harmonics: 2,
            // At the speed found about 5 ms, which a contact that slides altogether asks for; a quarter of it moves
            // the speed by less than 1 mm/s. Shafts may ask for less.
            step: 0.0065,
        }
    }
}

impl Slalom {
    /// Checks every setting; all that are wrong are told at once.
    pub(super) fn faults(&self) -> Result<(), ManeuverError> {
        let rows = [
            ("cones", self.cones as f64, (2.0, 100.0), "-"),
            ("spacing", self.spacing, (3.0, 100.0), "m"),
            ("clearance_reserve", self.clearance_reserve, (0.0, 1.0), "m"),
            ("cone_radius", self.cone_radius, (0.0, 1.0), "m"),
            ("hand_rate", self.hand_rate, (0.5, 100.0), "rad/s"),
            (
                "neuromuscular_lag",
                self.neuromuscular_lag,
                (0.02, 0.5),
                "s",
            ),
            ("steering_lock", self.steering_lock, (0.1, 50.0), "rad"),
            ("sideslip_guard", self.sideslip_guard, (0.02, 0.8), "rad"),
            ("friction", self.friction, (0.02, 5.0), "-"),
            ("harmonics", self.harmonics as f64, (1.0, 4.0), "-"),
            ("step", self.step, (2e-4, 1e-2), "s"),
        ];
        let faults = rows
            .into_iter()
            .filter_map(|(name, value, range, unit)| within(NAME, name, value, range, unit).err());
        ManeuverError::all(faults.collect())
    }
}
