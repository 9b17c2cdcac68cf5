//! Steering wheel and throttle during a step steer.

use axletree_simulation::drive::{Action, Controls};
use axletree_simulation::driver::SpeedHold;
use axletree_vehicle::model::layout::{Inputs, STATES};

/// The steering wheel turned to an angle and held; the throttle or the speed held.
#[derive(Clone, Copy, Debug)]
pub struct StepControls {
    /// Inputs of straight running, before the step.
    pub(super) before: Inputs<f64>,
    /// Change of the steering-wheel angle `[rad]`.
    pub(super) change: f64,
    /// Duration of the turning `[s]`.
    pub(super) rise: f64,
    /// Controller of the speed, where it is held.
    pub(super) hold: Option<SpeedHold>,
}

impl StepControls {
    /// Change of the steering-wheel angle, left positive `[rad]`.
    pub fn change(&self) -> f64 {
        self.change
    }
}

impl Controls<1> for StepControls {
    fn act(&self, time: f64, car: &[f64; STATES], own: &[f64; 1]) -> Action<1> {
        let (share, rate) = if time < self.rise {
            (time / self.rise, self.change / self.rise)
        } else {
            (1.0, 0.0)
        };
        let (drive_torque, own_rate) = match &self.hold {
            Some(hold) => hold.act(car, own[0]),
            None => (self.before.drive_torque, 0.0),
        };
        Action {
            inputs: Inputs {
                steering_wheel: self.before.steering_wheel + self.change * share,
                steering_wheel_rate: rate,
                drive_torque,
                ..self.before
            },
            own_rate: [own_rate],
        }
    }
}
