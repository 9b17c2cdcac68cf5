//! Settings of the step steer.

use axletree_simulation::drive::{Integrator, LONGEST_STEP};
use axletree_simulation::{ManeuverError, within};
use serde::{Deserialize, Serialize};

use crate::checks;

pub(super) const NAME: &str = "step_steer";

/// Step steer after ISO 7401: straight running, then the steering wheel turned at a given rate to
/// an angle and held.
///
/// The defaults are the standard's conditions (ISO 7401, recalled): 80 km/h (1988 edition; later
/// ones 100 km/h), a steady lateral acceleration of 4 m/s^2, a steering-wheel rate between 200 and
/// 500 deg/s, the throttle held.
///
/// ```
/// use axletree_maneuver::{Maneuver, StepSteer};
/// use axletree_numerics::Interrupt;
/// use axletree_vehicle::bundled;
///
/// let car = bundled("bramble-solid").expect("a bundled car")?.assemble()?;
/// let measures = StepSteer::default().measure(&car, Interrupt::never())?;
/// assert!(measures.ending.outcome.is_completed());
/// let time = measures.get("yaw_rate_response_time").expect("a metric");
/// assert!(time > 0.05 && time < 0.5);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct StepSteer {
    /// Speed at the start `[m/s]`.
    pub speed: f64,
    /// Steady lateral acceleration, left positive `[m/s^2]`: the step's angle is that of the car's
    /// equilibrium in such a corner at the speed of the start.
    pub lateral_acceleration: f64,
    /// Steering-wheel angle of the step in place of that choice, left positive `[rad]`.
    pub steering_wheel_angle: Option<f64>,
    /// Rate at which the steering wheel is turned `[rad/s]`.
    pub steering_rate: f64,
    /// Hold the speed with the throttle; else the throttle is held.
    pub hold_speed: bool,
    /// Time from the start of steering to the window of the steady values `[s]`.
    pub settle: f64,
    /// Length of that window `[s]`.
    pub window: f64,
    /// Friction of the surface relative to the tires' reference `[-]`.
    pub friction: f64,
    /// Longest step of the integration `[s]`; the car's driveline, and its tires at the speed of
    /// the start, may need shorter ones.
    pub step: f64,
    /// Integrator; the points of the time grid are the same for both.
    pub integrator: Integrator,
}

impl Default for StepSteer {
    fn default() -> Self {
        StepSteer {
            speed: 80.0 / 3.6,
            lateral_acceleration: 4.0,
            steering_wheel_angle: None,
            // In the upper half of the standard's 200 to 500 deg/s: 10 to 90 % within the 0.15 s it
            // asks for up to 75 deg.
            steering_rate: 400f64.to_radians(),
            hold_speed: false,
            // A car with 1 Hz and a damping ratio of 0.35, slow and lively, is within 1 % by then.
            settle: 2.0,
            // About one period of the slowest motion, so that it averages out.
            window: 1.0,
            friction: 1.0,
            step: LONGEST_STEP,
            integrator: Integrator::Fixed,
        }
    }
}

impl StepSteer {
    /// Checks the settings. A given angle that takes longer to turn than the steady values wait is
    /// an error here; an angle chosen for a car is an outcome of that car.
    pub(super) fn checked(&self) -> Result<(), ManeuverError> {
        checks::speed(NAME, self.speed)?;
        let level = self.lateral_acceleration;
        let range = (-30.0, 30.0);
        within(NAME, "lateral_acceleration", level, range, "m/s^2")?;
        within(
            NAME,
            "lateral_acceleration (magnitude)",
            level.abs(),
            (0.02, 30.0),
            "m/s^2",
        )?;
        let rate = self.steering_rate;
        within(NAME, "steering_rate", rate, (0.1, 50.0), "rad/s")?;
        within(NAME, "settle", self.settle, (0.2, 60.0), "s")?;
        if let Some(angle) = self.steering_wheel_angle {
            within(NAME, "steering_wheel_angle", angle, (-20.0, 20.0), "rad")?;
            checks::below(
                NAME,
                ("steering_wheel_angle / steering_rate", angle.abs() / rate),
                ("settle", self.settle),
                "s",
            )?;
        }
        within(NAME, "window", self.window, (0.05, 60.0), "s")?;
        checks::friction(NAME, self.friction)?;
        checks::integration(NAME, self.step, self.integrator)
    }
}
