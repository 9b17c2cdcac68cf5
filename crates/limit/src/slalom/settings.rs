//! Settings of the slalom.

use axletree_simulation::driver::{FAST_HAND_RATE, Hands};
use axletree_simulation::{ManeuverError, within};
use serde::{Deserialize, Serialize};

/// Name of the maneuver.
pub(super) const NAME: &str = "slalom";

/// Slalom: cones in a straight line, passed on alternate sides, the first on its left.
///
/// The top speed is the one that can be kept up in rhythm. A driver who starts early and uses up
/// the phase over eight cones can be 3 to 4 % faster once, close to a spin.
///
/// ```
/// use axletree_limit::Slalom;
/// use axletree_maneuver::Maneuver;
///
/// let wide = Slalom { spacing: 22.0, ..Slalom::default() };
/// assert!(wide.check().is_ok());
/// let error = Slalom { cones: 1, ..wide }.check().unwrap_err();
/// assert_eq!(error.to_string(), "slalom.cones = 1 is out of range (allowed: 2 to 100)");
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Slalom {
    /// Number of cones.
    pub cones: usize,
    /// Distance between neighboring cones `[m]`.
    pub spacing: f64,
    /// Clearance that the rhythm leaves at every cone `[m]`.
    pub clearance_reserve: f64,
    /// Radius of a cone's base `[m]`.
    pub cone_radius: f64,
    /// Largest rate of the steering wheel, approached smoothly `[rad/s]`.
    pub hand_rate: f64,
    /// Lag of the driver's arms `[s]`.
    pub neuromuscular_lag: f64,
    /// Largest steering-wheel angle to either side, approached smoothly `[rad]`.
    pub steering_lock: f64,
    /// Largest sideslip angle that the search allows `[rad]`.
    pub sideslip_guard: f64,
    /// Friction of the surface relative to the tires' reference `[-]`.
    pub friction: f64,
    /// Number of odd harmonics of the steering.
    pub harmonics: usize,
    /// Longest step of the integration at the speed that the search starts from `[s]`.
    pub step: f64,
}

impl Default for Slalom {
    fn default() -> Self {
        Slalom {
            cones: 8,
            // 60 ft, rounded: common practice, no source.
            spacing: 18.0,
            // What the first cones of a real course take from a rhythm started from straight
            // running.
            clearance_reserve: 0.03,
            // Half the base of a common 45 cm cone: common practice, no source.
            cone_radius: 0.18,
            // Fast hands, so that the car sets the limit.
            hand_rate: FAST_HAND_RATE,
            neuromuscular_lag: Hands::default().lag,
            // Two and a half turns from lock to lock: common practice, no source.
            steering_lock: 450_f64.to_radians(),
            // Keeps the search out of spins; periodic orbits have a third of it.
            sideslip_guard: 12_f64.to_radians(),
            friction: 1.0,
            // One is 0.014 m/s slower, three are 0.001 m/s faster (the bundled solid-axle car).
            harmonics: 2,
            // About 5 ms at the speed found, which a fully sliding contact needs; a quarter of it
            // moves the speed by less than 1 mm/s. Stiff shafts may need less.
            step: 0.0065,
        }
    }
}

impl Slalom {
    /// Checks every setting against its range; all faults are reported together.
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

    /// Checks a prescribed speed `[m/s]` together with the settings.
    pub(super) fn faults_at(&self, speed: f64) -> Result<(), ManeuverError> {
        let own = match self.faults() {
            Ok(()) => vec![],
            Err(ManeuverError::Several(faults)) => faults,
            Err(fault) => vec![fault],
        };
        let speed = within(NAME, "speed", speed, (1.0, 100.0), "m/s").err();
        ManeuverError::all(own.into_iter().chain(speed).collect())
    }
}
