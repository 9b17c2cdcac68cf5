//! Braking in a turn after ISO 7975: on a steady circle the brakes are applied, the steering wheel
//! held.

use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels::Channel;
use axletree_simulation::drive::Integrator;
use axletree_simulation::{FIXED_STEP, ManeuverError, Recorder, within};
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{DRIVELINE, SPIN};
use serde::{Deserialize, Serialize};

use super::departures::{CHANNELS, METRICS};
use super::drive;
use super::pedals::Pedals;
use super::steady_turn::{SteadyTurn, TurnSettings};
use crate::checks;
use crate::drive_maneuver::{DriveManeuver, Performed, Recorded};
use crate::measured_by::MeasuredBy;
use crate::side_by_side::Integration;

/// Braking in a turn after ISO 7975: on a steady circle the brakes are applied, the steering wheel
/// held.
///
/// The defaults are the standard's conditions (ISO 7975, from memory): a radius of 100 m, a steady
/// lateral acceleration of 5 m/s^2 before, about 80 km/h; the brake applied within 0.4 s;
/// deceleration raised from run to run. No anti-lock system: a wheel that gets too much locks.
///
/// ```
/// use axletree_maneuver::{BrakingInATurn, Maneuver};
/// use axletree_numerics::Interrupt;
/// use axletree_vehicle::bundled;
///
/// let car = bundled("bramble-solid").expect("a bundled car")?.assemble()?;
/// let measures = BrakingInATurn::default().measure(&car, Interrupt::never())?;
/// assert!(measures.ending.outcome.is_completed());
/// assert!(measures.get("mean_deceleration").is_some_and(|a| a > 3.0));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct BrakingInATurn {
    /// Radius of the circle `[m]`.
    pub radius: f64,
    /// Steady lateral acceleration before, left positive `[m/s^2]`.
    pub lateral_acceleration: f64,
    /// Deceleration that the brake torque alone would give the car if no wheel locked; the
    /// deceleration of the car is measured `[m/s^2]`.
    pub deceleration: f64,
    /// Time over which the brake torque builds up `[s]`.
    pub brake_rise: f64,
    /// Open the clutch while braking.
    pub declutch: bool,
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

impl Default for BrakingInATurn {
    fn default() -> Self {
        BrakingInATurn {
            radius: 100.0,
            lateral_acceleration: 5.0,
            // In the middle of the standard's series, which starts at 2 m/s^2 (from memory).
            deceleration: 4.0,
            // Half of the standard's 0.4 s.
            brake_rise: 0.2,
            declutch: false,
            gear: None,
            friction: 1.0,
            step: FIXED_STEP,
            integrator: Integrator::Fixed,
        }
    }
}

impl DriveManeuver for BrakingInATurn {
    type Found = SteadyTurn;
    const NAME: &'static str = "braking_in_a_turn";
    const CHANNELS: &'static [&'static Channel] = CHANNELS;
    const METRICS: &'static [MeasuredBy<Recorded<SteadyTurn>>] = METRICS;

    fn check(&self) -> Result<(), ManeuverError> {
        let (name, deceleration) = (Self::NAME, self.deceleration);
        checks::corner(name, self.radius, self.lateral_acceleration)?;
        within(name, "deceleration", deceleration, (0.0, 30.0), "m/s^2")?;
        within(name, "brake_rise", self.brake_rise, (0.0, 0.99), "s")?;
        checks::friction(name, self.friction)?;
        checks::integration(name, self.step, self.integrator)
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
        let pedals = |model: &Model, turn: &SteadyTurn| {
            // Torque on all wheels for a force at the rolling radius of the front ones.
            let spin = 0.5 * (turn.trim.state[SPIN] + turn.trim.state[SPIN + 1]);
            let radius = turn.trim.condition.speed / spin.max(0.1 * turn.trim.state[DRIVELINE]);
            Pedals {
                before: turn.trim.inputs,
                throttle: 0.0,
                clutch: if self.declutch { 0.0 } else { 1.0 },
                brake_torque: model.mass() * self.deceleration * radius,
                rise: self.brake_rise,
            }
        };
        let integration = Integration {
            step: self.step,
            integrator: self.integrator,
        };
        drive::perform(models, &settings, pedals, integration, recorder, interrupt)
    }
}
