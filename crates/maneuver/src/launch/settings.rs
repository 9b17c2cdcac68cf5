//! Settings of the launch.

use axletree_simulation::drive::Integrator;
use axletree_simulation::driver::Hands;
use axletree_simulation::{FIXED_STEP, ManeuverError, within};
use serde::{Deserialize, Serialize};

use crate::checks;

pub(super) const NAME: &str = "launch";

/// Throttle and clutch of a launch.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LaunchMethod {
    /// Slip of the faster driven wheel, held by the throttle `[-]`.
    HeldSlip(f64),
    /// Time over which the clutch closes with the throttle open `[s]`.
    DumpedClutch(f64),
}

/// From rest over a distance as fast as the rear tires let the car go. Common practice, no
/// standard.
///
/// ```
/// use axletree_maneuver::{Launch, Maneuver};
/// use axletree_numerics::Interrupt;
/// use axletree_vehicle::bundled;
///
/// let car = bundled("bramble-solid").expect("a bundled car")?.assemble()?;
/// let measures = Launch::default().measure(&car, Interrupt::never())?;
/// assert!(measures.ending.outcome.is_completed());
/// assert!(measures.get("distance_time").is_some_and(|time| time > 1.5));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Launch {
    /// Distance `[m]`. Default: 60 ft, the first split of a drag strip.
    pub distance: f64,
    /// Throttle and clutch.
    pub method: LaunchMethod,
    /// Engine speed at the start, the clutch open `[rad/s]`.
    pub engine_speed: f64,
    /// Share of the highest engine speed at which the next gear is taken `[-]`.
    pub shift_share: f64,
    /// Time without torque while a gear is changed `[s]`.
    pub shift_time: f64,
    /// Lag and rate of the driver's hands.
    pub hands: Hands,
    /// Friction of the surface relative to the tires' reference `[-]`.
    pub friction: f64,
    /// Longest step of the integration `[s]`.
    pub step: f64,
    /// Integrator; the points of the time grid are the same for both.
    pub integrator: Integrator,
}

impl Default for Launch {
    fn default() -> Self {
        Launch {
            distance: 18.288,
            // A little short of the slip of the largest force of street tires; common practice.
            method: LaunchMethod::HeldSlip(0.1),
            // 4000 rpm: enough momentum for the clutch, short of a spin; common practice, no
            // source.
            engine_speed: 4000.0 * std::f64::consts::PI / 30.0,
            shift_share: 0.96,
            // A quick hand; common practice, no source.
            shift_time: 0.25,
            hands: Hands::default(),
            friction: 1.0,
            step: 0.5 * FIXED_STEP,
            integrator: Integrator::Fixed,
        }
    }
}

impl Launch {
    /// Checks the settings.
    pub(super) fn checked(&self) -> Result<(), ManeuverError> {
        within(NAME, "distance", self.distance, (1.0, 2000.0), "m")?;
        match self.method {
            LaunchMethod::HeldSlip(slip) => {
                within(NAME, "method.held_slip", slip, (0.0, 3.0), "-")?;
            }
            LaunchMethod::DumpedClutch(time) => {
                within(NAME, "method.dumped_clutch", time, (0.01, 10.0), "s")?;
            }
        }
        let speed = self.engine_speed;
        within(NAME, "engine_speed", speed, (20.0, 3000.0), "rad/s")?;
        within(NAME, "shift_share", self.shift_share, (0.3, 0.98), "-")?;
        within(NAME, "shift_time", self.shift_time, (0.01, 3.0), "s")?;
        checks::hands(NAME, &self.hands)?;
        within(NAME, "friction", self.friction, (0.02, 5.0), "-")?;
        within(NAME, "step", self.step, (1e-5, 0.01), "s")?;
        self.integrator.check(NAME)
    }
}
