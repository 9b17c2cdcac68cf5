//! Settings of path following.

use axletree_simulation::drive::Integrator;
use axletree_simulation::driver::Hands;
use axletree_simulation::{FIXED_STEP, ManeuverError, Path, within};
use serde::{Deserialize, Serialize};

use crate::checks;

pub(super) const NAME: &str = "follow_path";

/// Rule of the preview.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Preview {
    /// Optimal preview after MacAdam.
    MacAdam {
        /// Preview time `[s]`.
        sight: f64,
    },
    /// Linear-quadratic preview after Sharp and Valtetsiotis.
    LinearQuadratic {
        /// Deviation from the path that weighs as much as `steer` `[m]`.
        deviation: f64,
        /// Steering-wheel angle that weighs as much as `deviation` `[rad]`.
        steer: f64,
        /// Preview time `[s]`.
        sight: f64,
    },
}

impl Default for Preview {
    fn default() -> Self {
        // A quarter of a meter weighs as much as half a turn: near the gains of validation case D3;
        // preview time beyond which the weights are nothing.
        Preview::LinearQuadratic {
            deviation: 0.25,
            steer: 180f64.to_radians(),
            sight: 3.0,
        }
    }
}

/// Path following by a driver with preview who holds the speed.
///
/// ```
/// use axletree_maneuver::{FollowPath, Maneuver};
/// use axletree_numerics::Interrupt;
/// use axletree_simulation::Path;
/// use axletree_vehicle::bundled;
///
/// let car = bundled("bramble-solid").expect("a bundled car")?.assemble()?;
/// let bend = |x: f64| 0.002 * x * x;
/// let path = Path::graph(0.0, 60.0, 60, bend)?;
/// let measures = FollowPath::new(path, 15.0).measure(&car, Interrupt::never())?;
/// assert!(measures.ending.outcome.is_completed());
/// assert!(measures.get("path_deviation_largest").is_some_and(|d| d < 1.0));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct FollowPath {
    /// The path; the car starts on it, along it, in straight running.
    pub path: Path,
    /// Speed, held by the throttle `[m/s]`.
    pub speed: f64,
    /// Rule of the preview.
    pub preview: Preview,
    /// Lag and rate of the driver's hands.
    pub hands: Hands,
    /// Distance from the path at which the run ends `[m]`.
    pub widest: f64,
    /// Friction of the surface relative to the tires' reference `[-]`.
    pub friction: f64,
    /// Longest step of the integration `[s]`.
    pub step: f64,
    /// Integrator; the points of the time grid are the same for both.
    pub integrator: Integrator,
}

impl FollowPath {
    /// A path at a speed `[m/s]`, with the default driver.
    pub fn new(path: Path, speed: f64) -> Self {
        FollowPath {
            path,
            speed,
            preview: Preview::default(),
            hands: Hands::default(),
            widest: 5.0,
            friction: 1.0,
            step: FIXED_STEP,
            integrator: Integrator::Fixed,
        }
    }

    /// Checks the settings.
    pub(super) fn checked(&self) -> Result<(), ManeuverError> {
        checks::speed(NAME, self.speed)?;
        checks::hands(NAME, &self.hands)?;
        within(NAME, "widest", self.widest, (0.1, 1000.0), "m")?;
        checks::friction(NAME, self.friction)?;
        checks::integration(NAME, self.step, self.integrator)?;
        match self.preview {
            Preview::MacAdam { sight } => within(NAME, "sight", sight, (0.1, 10.0), "s"),
            Preview::LinearQuadratic {
                deviation,
                steer,
                sight,
            } => {
                within(NAME, "sight", sight, (0.1, 10.0), "s")?;
                within(NAME, "deviation", deviation, (1e-4, 1e3), "m")?;
                within(NAME, "steer", steer, (1e-4, 1e3), "rad")
            }
        }
    }
}
