//! The steering wheel held, the pedals moved at time zero.

use axletree_simulation::drive::{Action, Controls};
use axletree_vehicle::model::layout::{Inputs, STATES};

/// Inputs before, pedals after.
pub(super) struct Pedals {
    pub before: Inputs<f64>,
    /// Throttle after `[-]`.
    pub throttle: f64,
    /// Clutch after, 1 is closed `[-]`.
    pub clutch: f64,
    /// Brake torque of all wheels after `[N*m]`.
    pub brake_torque: f64,
    /// Time over which the brake torque builds up `[s]`.
    pub rise: f64,
}

impl Controls<0> for Pedals {
    #[inline(always)]
    fn act(&self, time: f64, _: &[f64; STATES], _: &[f64; 0]) -> Action<0> {
        let mut inputs = self.before;
        if time >= 0.0 {
            let share = if time < self.rise {
                time / self.rise
            } else {
                1.0
            };
            inputs.throttle = self.throttle;
            inputs.clutch = self.clutch;
            inputs.brake_torque = self.brake_torque * share;
        }
        Action {
            inputs,
            own_rate: [],
        }
    }
}
