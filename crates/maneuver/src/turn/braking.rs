//! Braking in a turn after ISO 7975: on a steady circle the brakes are applied, the wheel held.

use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{DRIVELINE, SPIN};
use serde::{Deserialize, Serialize};

use super::{CHANNELS, Circle, Pedals, metrics};
use crate::maneuver::{DriveManeuver, Run};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::FIXED_STEP;
use axletree_simulation::error::{ManeuverError, within};
use axletree_simulation::metrics::Metric;
use axletree_simulation::trace::Recorder;

const NAME: &str = "braking_in_a_turn";

/// Settings of braking in a turn.
///
/// The defaults are the standard's conditions (ISO 7975, from memory): a radius of 100 m, a steady
/// lateral acceleration of 5 m/s^2 before, about 80 km/h; the brake applied within 0.4 s;
/// deceleration raised from run to run. No anti-lock system: a wheel that gets too much locks.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct BrakingInATurn {
    /// Radius of the circle [m].
    pub radius: f64,
    /// Steady lateral acceleration before, positive to the left [m/s^2].
    pub lateral_acceleration: f64,
    /// Deceleration that the brake torque alone would give the car where no wheel locks; what comes out
    /// is measured [m/s^2].
    pub deceleration: f64,
    /// Time over which the brake torque builds up [s].
    pub brake_rise: f64,
    /// Open the clutch while braking.
    pub declutch: bool,
    /// Gear, counted from 1; none: the lowest in which the engine turns at no more than three quarters
    /// of its highest speed.
    pub gear: Option<usize>,
    /// Friction of the surface relative to the tires' reference [-].
    pub friction: f64,
    /// Longest step of the integration [s].
    pub step: f64,
}

impl Default for BrakingInATurn {
    fn default() -> Self {
        BrakingInATurn {
            radius: 100.0,
            lateral_acceleration: 5.0,
            // In the middle of the standard's series, which starts at 2 m/s^2 (from memory).
            deceleration: 4.0,
            // Half of what is allowed.
            brake_rise: 0.2,
            declutch: false,
            gear: None,
            friction: 1.0,
            step: FIXED_STEP,
        }
    }
}

impl BrakingInATurn {}

impl DriveManeuver for BrakingInATurn {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        metrics()
    }

    fn check(&self) -> Result<(), ManeuverError> {
        within(NAME, "radius", self.radius, (5.0, 2000.0), "m")?;
        let level = self.lateral_acceleration.abs();
        within(
            NAME,
            "lateral_acceleration magnitude",
            level,
            (0.1, 30.0),
            "m/s^2",
        )?;
        within(
            NAME,
            "deceleration",
            self.deceleration,
            (0.0, 30.0),
            "m/s^2",
        )?;
        within(NAME, "brake_rise", self.brake_rise, (0.0, 0.99), "s")?;
        within(NAME, "friction", self.friction, (0.01, 5.0), "-")?;
        within(NAME, "step", self.step, (1e-5, 0.02), "s")
    }

    fn recorder(&self) -> Recorder {
        Recorder::of(CHANNELS)
    }

    fn perform(
        &self,
        models: &[&Model],
        recorder: &dyn Fn() -> Recorder,
        interrupt: Interrupt<'_>,
    ) -> Vec<Result<Run, ManeuverError>> {
        let circle = |model: &Model| {
            Circle::find(
                model,
                self.radius,
                self.lateral_acceleration,
                self.friction,
                self.gear,
            )
        };
        let pedals = |model: &Model, circle: &Circle| {
            // Torque on all wheels for a force at the rolling radius of the front ones.
            let spin = 0.5 * (circle.trim.state[SPIN] + circle.trim.state[SPIN + 1]);
            let radius = circle.trim.condition.speed / spin.max(0.1 * circle.trim.state[DRIVELINE]);
            Pedals {
                before: circle.trim.inputs,
                throttle: 0.0,
                clutch: if self.declutch { 0.0 } else { 1.0 },
                brake_torque: model.mass() * self.deceleration * radius,
                rise: self.brake_rise,
            }
        };
        super::perform(self, models, circle, pedals, self.step, recorder, interrupt)
    }
}
