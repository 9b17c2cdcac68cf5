//! Straight running and the angle of the step, from the car's equilibria.

use axletree_simulation::Outcome;
use axletree_simulation::drive::{join_states, step_at};
use axletree_simulation::driver::SpeedHold;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::STATES;
use axletree_vehicle::trim::{Condition, Equilibria, NewtonWork, Trim};

use super::controls::StepControls;
use super::settings::StepSteer;

/// A step steer as the car's equilibria decide it, before the car is driven.
#[derive(Clone, Debug)]
pub struct PreparedStep {
    /// State of car and controls at the start.
    pub start: [f64; STATES + 1],
    /// Steering wheel and throttle.
    pub controls: StepControls,
    /// Start, end of the turning, start of the window, end `[s]`.
    pub breaks: [f64; 4],
    /// Longest step that the car allows at this speed `[s]`.
    pub step: f64,
    /// Work counts of the equilibria.
    pub work: NewtonWork,
}

impl StepSteer {
    /// Finds the straight running and the steering-wheel angle of the step.
    ///
    /// # Errors
    /// The outcome of a car that cannot start: [`Outcome::NoSteadyState`],
    /// [`Outcome::NotEnoughPower`] or
    /// [`Outcome::SteeringTooSlow`].
    pub fn prepare(&self, model: &Model) -> Result<PreparedStep, Outcome> {
        let condition = Condition {
            friction: self.friction,
            ..Condition::straight(self.speed)
        };
        let mut equilibria = Equilibria::of(model);
        let mut solve = |condition: Condition| {
            let found = equilibria.solve(condition);
            found.map_err(|_| Outcome::NoSteadyState {
                speed: condition.speed,
                lateral_acceleration: condition.lateral_acceleration,
            })
        };
        let straight: Trim = solve(condition)?;
        let hold = SpeedHold::new(model, self.speed, straight.inputs.drive_torque);
        let missing = straight.inputs.drive_torque - hold.available(&straight.state);
        if missing > 0.0 {
            return Err(Outcome::NotEnoughPower {
                speed: self.speed,
                missing_torque: Some(missing),
            });
        }
        let target = if let Some(angle) = self.steering_wheel_angle {
            angle
        } else {
            let corner = solve(Condition {
                lateral_acceleration: self.lateral_acceleration,
                ..condition
            })?;
            corner.inputs.steering_wheel
        };
        let work = equilibria.work();
        let change = target - straight.inputs.steering_wheel;
        let rise = change.abs() / self.steering_rate;
        if rise >= self.settle {
            return Err(Outcome::SteeringTooSlow {
                rise,
                settle: self.settle,
            });
        }
        Ok(PreparedStep {
            start: join_states(&straight.state, &[0.0]),
            controls: StepControls {
                before: straight.inputs,
                change,
                rise,
                hold: self.hold_speed.then_some(hold),
            },
            breaks: [0.0, rise, self.settle, self.settle + self.window],
            step: step_at(model, self.step, false, self.speed),
            work,
        })
    }
}
