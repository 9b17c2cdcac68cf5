//! Lift-off in a turn after ISO 9816: on a steady circle the throttle is closed, the steering wheel
//! held.

use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels::Channel;
use axletree_simulation::drive::Integrator;
use axletree_simulation::{FIXED_STEP, ManeuverError, Recorder};
use axletree_vehicle::Model;
use serde::{Deserialize, Serialize};

use super::departures::{CHANNELS, METRICS};
use super::drive;
use super::pedals::Pedals;
use super::steady_turn::{SteadyTurn, TurnSettings};
use crate::checks;
use crate::drive_maneuver::{DriveManeuver, Performed, Recorded};
use crate::measured_by::MeasuredBy;
use crate::side_by_side::Integration;

/// Lift-off in a turn after ISO 9816: on a steady circle the throttle is closed, the steering wheel
/// held.
///
/// The defaults are the standard's conditions (ISO 9816, from memory): a radius of 100 m, a steady
/// lateral acceleration of 4 m/s^2 at first, raised from run to run; the clutch stays closed.
///
/// ```
/// use axletree_maneuver::{LiftOffInATurn, Maneuver};
/// use axletree_numerics::Interrupt;
/// use axletree_vehicle::bundled;
///
/// let car = bundled("bramble-solid").expect("a bundled car")?.assemble()?;
/// let measures = LiftOffInATurn::default().measure(&car, Interrupt::never())?;
/// assert!(measures.ending.outcome.is_completed());
/// assert!(measures.get("yaw_rate_ratio").is_some_and(|ratio| ratio > 1.0));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct LiftOffInATurn {
    /// Radius of the circle `[m]`.
    pub radius: f64,
    /// Steady lateral acceleration before, left positive `[m/s^2]`.
    pub lateral_acceleration: f64,
    /// Gear, counted from 1. Default: the lowest in which the engine turns at no more than three
    /// quarters of its highest speed.
    pub gear: Option<usize>,
    /// Friction of the surface relative to the tires' reference `[-]`.
    pub friction: f64,
    /// Longest step of the integration `[s]`.
    pub step: f64,
    /// Integrator; the points of the time grid are the same for both.
    pub integrator: Integrator,
}

impl Default for LiftOffInATurn {
    fn default() -> Self {
        LiftOffInATurn {
            radius: 100.0,
            lateral_acceleration: 4.0,
            gear: None,
            friction: 1.0,
            step: FIXED_STEP,
            integrator: Integrator::Fixed,
        }
    }
}

impl DriveManeuver for LiftOffInATurn {
    type Found = SteadyTurn;
    const NAME: &'static str = "lift_off_in_a_turn";
    const CHANNELS: &'static [&'static Channel] = CHANNELS;
    const METRICS: &'static [MeasuredBy<Recorded<SteadyTurn>>] = METRICS;

    fn check(&self) -> Result<(), ManeuverError> {
        checks::corner(Self::NAME, self.radius, self.lateral_acceleration)?;
        checks::friction(Self::NAME, self.friction)?;
        checks::integration(Self::NAME, self.step, self.integrator)
    }

    fn perform(
        &self,
        models: &[&Model],
        recorder: &dyn Fn() -> Recorder,
        interrupt: Interrupt<'_>,
    ) -> Vec<Performed<SteadyTurn>> {
        let settings = TurnSettings {
            radius: self.radius,
            lateral_acceleration: self.lateral_acceleration,
            friction: self.friction,
            gear: self.gear,
        };
        let pedals = |_: &Model, turn: &SteadyTurn| Pedals {
            before: turn.trim.inputs,
            throttle: 0.0,
            clutch: 1.0,
            brake_torque: 0.0,
            rise: 0.0,
        };
        let integration = Integration {
            step: self.step,
            integrator: self.integrator,
        };
        drive::perform(models, &settings, pedals, integration, recorder, interrupt)
    }
}
