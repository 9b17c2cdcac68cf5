//! Settings of the double lane change.

use axletree_simulation::FIXED_STEP;
use axletree_simulation::driver::{FAST_HAND_RATE, Hands};
use axletree_simulation::error::{ManeuverError, within};
use serde::{Deserialize, Serialize};

use super::layout::LaneChangeCourse;

/// Name of the maneuver.
pub(super) const NAME: &str = "double_lane_change";

/// Double lane change after ISO 3888-1 and -2: the highest entry speed at which every cone is
/// cleared.
///
/// The course and the gear are the standard's (from memory; see [`LaneChangeCourse`] for what is
/// not confirmed). The driver is our own: the steering is optimized for the car, within what hands
/// can do.
///
/// ```
/// use axletree_limit::DoubleLaneChange;
/// use axletree_maneuver::Maneuver;
///
/// let wide = DoubleLaneChange { clearance_reserve: 0.05, ..DoubleLaneChange::default() };
/// assert!(wide.check().is_ok());
/// // Lanes for a car 1.8 m wide: the first is 1.1 times the width and 0.25 m.
/// let [first, _, _] = wide.course.lanes(1.8);
/// assert!((first.width() - 2.23).abs() < 1e-12);
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct DoubleLaneChange {
    /// Course.
    pub course: LaneChangeCourse,
    /// Gear, counted from 1; none: the highest in which the engine turns at `least_engine_speed`.
    pub gear: Option<usize>,
    /// Engine speed for the choice of the gear `[rad/s]`.
    pub least_engine_speed: f64,
    /// Limits of the driver's hands.
    pub hands: Hands,
    /// Number of coefficients of the steering spline.
    pub coefficients: usize,
    /// Clearance required at every cone `[m]`.
    pub clearance_reserve: f64,
    /// Largest sideslip angle that the search allows `[rad]`.
    pub sideslip_guard: f64,
    /// Entry speed that the search starts from `[m/s]`.
    pub easy_speed: f64,
    /// Friction of the surface relative to the tires' reference `[-]`.
    pub friction: f64,
    /// Longest step of the integration `[s]`.
    pub step: f64,
}

impl Default for DoubleLaneChange {
    fn default() -> Self {
        DoubleLaneChange {
            course: LaneChangeCourse::ObstacleAvoidance,
            gear: None,
            // 2000 rpm (from memory).
            least_engine_speed: 2000.0 * std::f64::consts::PI / 30.0,
            hands: Hands {
                // As in the slalom: fast hands, so that the car sets the limit.
                rate: FAST_HAND_RATE,
                ..Hands::default()
            },
            // A knot every five meters, a quarter of a second at the speeds of the obstacle
            // avoidance.
            coefficients: 16,
            // The standard requires that no cone is moved.
            clearance_reserve: 0.0,
            // Keeps the search out of spins.
            sideslip_guard: 15f64.to_radians(),
            // Any sound car gets through at 36 km/h.
            easy_speed: 10.0,
            friction: 1.0,
            step: FIXED_STEP,
        }
    }
}

impl DoubleLaneChange {
    /// Checks every setting against its range.
    pub(super) fn faults(&self) -> Result<(), ManeuverError> {
        let coefficients = self.coefficients as f64;
        let rows = [
            (
                "least_engine_speed",
                self.least_engine_speed,
                (10.0, 2000.0),
                "rad/s",
            ),
            ("hands.lag", self.hands.lag, (0.005, 2.0), "s"),
            ("hands.rate", self.hands.rate, (0.1, 100.0), "rad/s"),
            ("coefficients", coefficients, (8.0, 40.0), "-"),
            ("sideslip_guard", self.sideslip_guard, (0.02, 0.8), "rad"),
            ("clearance_reserve", self.clearance_reserve, (0.0, 0.5), "m"),
            ("easy_speed", self.easy_speed, (3.0, 40.0), "m/s"),
            ("friction", self.friction, (0.02, 5.0), "-"),
            ("step", self.step, (1e-4, 0.02), "s"),
        ];
        rows.into_iter()
            .try_for_each(|(name, value, range, unit)| within(NAME, name, value, range, unit))
    }
}
