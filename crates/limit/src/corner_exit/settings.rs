//! Settings of the corner exit.

use axletree_simulation::driver::Hands;
use axletree_simulation::{FIXED_STEP, ManeuverError, within};
use serde::{Deserialize, Serialize};

use super::track::ExitTrack;

/// Name of the maneuver.
pub(super) const NAME: &str = "corner_exit";

/// Corner exit under power: out of a steady corner in the least time, the throttle opened once and
/// fully. Common practice, no standard.
///
/// The point at which the throttle opens and the steering along the track are optimized; the car
/// must stay on the track and its sideslip below a guard.
///
/// Where the surface holds much less than the engine gives, a fully open throttle spins the wheels
/// all the way and is not the fastest way out; the tires' limit there is measured by
/// [`AccelerationEnvelope`](axletree_maneuver::AccelerationEnvelope).
///
/// ```
/// use axletree_limit::CornerExit;
/// use axletree_maneuver::Maneuver;
///
/// let tight = CornerExit { radius: 15.0, ..CornerExit::default() };
/// assert!(tight.check().is_ok());
/// let error = CornerExit { radius: 1.0, ..tight }.check().unwrap_err();
/// assert!(error.to_string().starts_with("corner_exit.radius = 1 m"));
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct CornerExit {
    /// Radius of the corner `[m]`.
    pub radius: f64,
    /// Steady lateral acceleration at the start `[m/s^2, left positive]`.
    pub lateral_acceleration: f64,
    /// Angle by which the corner still turns from the start `[rad]`.
    pub turn: f64,
    /// Length of the straight behind it, at whose end time and speed are taken `[m]`.
    pub straight: f64,
    /// Largest distance of the car's center of mass from the middle of the track `[m]`.
    pub half_width: f64,
    /// Largest sideslip angle `[rad]`.
    pub sideslip_guard: f64,
    /// Distance over which the throttle goes from steady to fully open `[m]`.
    pub opening: f64,
    /// Gear, counted from 1; none: the lowest in which the engine turns at no more than three
    /// quarters of its highest speed.
    pub gear: Option<usize>,
    /// Limits of the driver's hands.
    pub hands: Hands,
    /// Number of coefficients of the steering spline.
    pub coefficients: usize,
    /// Friction of the surface relative to the tires' reference `[-]`.
    pub friction: f64,
    /// Longest step of the integration `[s]`.
    pub step: f64,
}

impl Default for CornerExit {
    fn default() -> Self {
        CornerExit {
            // A corner of a coned course in second gear, a quarter turn, and the length of a gap
            // behind it; common practice, no source.
            radius: 25.0,
            lateral_acceleration: 7.5,
            turn: 75f64.to_radians(),
            straight: 40.0,
            half_width: 1.5,
            sideslip_guard: 12f64.to_radians(),
            // A fifth of a second at the speed of the corner.
            opening: 3.0,
            gear: Some(2),
            hands: Hands::default(),
            coefficients: 12,
            friction: 1.0,
            step: FIXED_STEP,
        }
    }
}

impl CornerExit {
    /// Center line of the track.
    pub(super) fn track(&self) -> ExitTrack {
        ExitTrack {
            radius: self.radius,
            turn: self.turn,
            straight: self.straight,
            side: self.lateral_acceleration.signum(),
        }
    }

    /// Checks every setting against its range.
    pub(super) fn faults(&self) -> Result<(), ManeuverError> {
        let level = self.lateral_acceleration.abs();
        let coefficients = self.coefficients as f64;
        let rows = [
            ("radius", self.radius, (5.0, 500.0), "m"),
            (
                "lateral_acceleration (magnitude)",
                level,
                (0.5, 30.0),
                "m/s^2",
            ),
            ("turn", self.turn, (0.1, 3.0), "rad"),
            ("straight", self.straight, (5.0, 500.0), "m"),
            ("half_width", self.half_width, (0.3, 10.0), "m"),
            ("sideslip_guard", self.sideslip_guard, (0.02, 0.8), "rad"),
            ("opening", self.opening, (0.2, 100.0), "m"),
            ("hands.lag", self.hands.lag, (0.005, 2.0), "s"),
            ("hands.rate", self.hands.rate, (0.1, 100.0), "rad/s"),
            ("coefficients", coefficients, (6.0, 40.0), "-"),
            ("friction", self.friction, (0.02, 5.0), "-"),
            ("step", self.step, (1e-4, 0.02), "s"),
        ];
        rows.into_iter()
            .try_for_each(|(name, value, range, unit)| within(NAME, name, value, range, unit))
    }
}
