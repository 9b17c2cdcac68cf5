//! Lift-off in a turn after ISO 9816: on a steady circle the throttle is closed, the wheel held.

use axletree_vehicle::Model;
use serde::{Deserialize, Serialize};

use super::{CHANNELS, Circle, Pedals, metrics};
use crate::maneuver::{DriveManeuver, Run};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::FIXED_STEP;
use axletree_simulation::error::{ManeuverError, within};
use axletree_simulation::metrics::Metric;
use axletree_simulation::trace::Recorder;

const NAME: &str = "lift_off_in_a_turn";

/// Settings of the lift-off in a turn.
///
/// The defaults are the standard's conditions (ISO 9816, from memory): a radius of 100 m, a steady
/// lateral acceleration of 4 m/s^2 at first, raised from run to run; the clutch stays closed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct LiftOffInATurn {
    /// Radius of the circle [m].
    pub radius: f64,
    /// Steady lateral acceleration before, positive to the left [m/s^2].
    pub lateral_acceleration: f64,
    /// Gear, counted from 1; none: the lowest in which the engine turns at no more than three quarters
    /// of its highest speed.
    pub gear: Option<usize>,
    /// Friction of the surface relative to the tires' reference [-].
    pub friction: f64,
    /// Longest step of the integration [s].
    pub step: f64,
}

impl Default for LiftOffInATurn {
    fn default() -> Self {
        LiftOffInATurn {
            radius: 100.0,
            lateral_acceleration: 4.0,
            gear: None,
            friction: 1.0,
            step: FIXED_STEP,
        }
    }
}

impl LiftOffInATurn {}

impl DriveManeuver for LiftOffInATurn {
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
        let pedals = |_: &Model, circle: &Circle| Pedals {
            before: circle.trim.inputs,
            throttle: 0.0,
            clutch: 1.0,
            brake_torque: 0.0,
            rise: 0.0,
        };
        super::perform(self, models, circle, pedals, self.step, recorder, interrupt)
    }
}
