//! The driver on a path: preview, hands, and the throttle that holds the speed.

use axletree_scalar::Real;
use axletree_simulation::channels::Moment;
use axletree_simulation::drive::{Action, Controls};
use axletree_simulation::driver::Hands;
use axletree_simulation::driver::LateralCar;
use axletree_simulation::driver::{PreviewGains, lq_preview, macadam};
use axletree_simulation::driver::{SpeedHold, speed_of};
use axletree_simulation::{Gap, Outcome, Path};
use axletree_vehicle::Model;
use axletree_vehicle::linearize;
use axletree_vehicle::model::layout::{ATTITUDE, Inputs, POSITION, RATE, STATES, VELOCITY};
use axletree_vehicle::trim::Trim;

use super::settings::{FollowPath, Preview};
use crate::initial_state;

/// Step of the discrete preview `[s]`: short beside the hands' time constant of 0.1 s.
const PREVIEW_STEP: f64 = 0.04;

/// The driver on the path. Own states: steering-wheel angle, integral of the speed's error,
/// station.
pub(super) struct PathDriver<'a> {
    path: &'a Path,
    gains: PreviewGains,
    hands: Hands,
    hold: SpeedHold,
    straight: Inputs<f64>,
    widest: f64,
}

impl Controls<3> for PathDriver<'_> {
    fn act(&self, _: f64, car: &[f64; STATES], own: &[f64; 3]) -> Action<3> {
        let [angle, integral, station] = *own;
        let speed = speed_of(car);
        let (foot, left) = self
            .path
            .nearest([car[POSITION], car[POSITION + 1]], station);
        let (sin, cos) = Real::sin_cos(car[ATTITUDE]);
        let offset = |ahead: f64| {
            let p = self.path.at(foot + speed * ahead).position;
            cos * (p[1] - car[POSITION + 1]) - sin * (p[0] - car[POSITION])
        };
        let wanted = self.straight.steering_wheel
            + self.gains.steer(offset, car[VELOCITY + 1], car[RATE + 2]);
        let rate = self.hands.hand_rate(wanted, angle);
        let (drive_torque, slow) = self.hold.act(car, integral);
        // The station follows the foot of the normal closely; it only has to start the next search.
        let p = self.path.at(foot);
        let turn = car[ATTITUDE] - p.heading;
        let onward = (car[VELOCITY] * Real::cos(turn) - car[VELOCITY + 1] * Real::sin(turn))
            / (1.0 - p.curvature * left).max(0.2);
        Action {
            inputs: Inputs {
                steering_wheel: angle,
                steering_wheel_rate: rate,
                drive_torque,
                ..self.straight
            },
            own_rate: [rate, slow, onward + (foot - station) / PREVIEW_STEP],
        }
    }

    fn judge(&self, moment: &Moment<'_>, own: &[f64; 3]) -> Option<Outcome> {
        let position = [moment.state[POSITION], moment.state[POSITION + 1]];
        let (foot, left) = self.path.nearest(position, own[2]);
        if left.abs() > self.widest {
            return Some(Outcome::LeftPath { deviation: left });
        }
        (foot >= self.path.length()).then_some(Outcome::Completed)
    }
}

impl FollowPath {
    /// Straight running at the speed.
    pub(super) fn straight(&self, model: &Model) -> Result<Trim, Outcome> {
        initial_state::straight(model, self.speed, self.friction)
    }

    /// Preview gains of the driver for a car, by steering-wheel angle.
    ///
    /// # Errors
    /// [`Outcome::NoSteadyState`] without straight running; [`Outcome::NotConverged`] where the car
    /// has no lateral model or the gains do not converge.
    pub fn gains(&self, model: &Model) -> Result<PreviewGains, Outcome> {
        self.gains_at(model, &self.straight(model)?)
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count: whole, small, not negative"
    )]
    fn gains_at(&self, model: &Model, straight: &Trim) -> Result<PreviewGains, Outcome> {
        let failed = Outcome::NotConverged {
            passes: 0,
            gap: Gap::NoYawResponse,
        };
        let car = LateralCar::of(&linearize(model, straight)).ok_or(failed)?;
        match self.preview {
            Preview::MacAdam { sight } => {
                let intervals = 2 * (0.5 * sight / PREVIEW_STEP).ceil() as usize;
                Ok(macadam(&car, sight, intervals))
            }
            Preview::LinearQuadratic {
                deviation,
                steer,
                sight,
            } => {
                let steps = (sight / PREVIEW_STEP).ceil() as usize;
                let effort = Real::sq(deviation / steer);
                lq_preview(&car, effort, PREVIEW_STEP, steps).map_err(|_| failed)
            }
        }
    }

    /// The driver of a car that runs straight.
    pub(super) fn driver<'a>(
        &'a self,
        model: &Model,
        straight: &Trim,
    ) -> Result<PathDriver<'a>, Outcome> {
        Ok(PathDriver {
            path: &self.path,
            gains: self.gains_at(model, straight)?,
            hands: self.hands,
            hold: SpeedHold::new(model, self.speed, straight.inputs.drive_torque),
            straight: straight.inputs,
            widest: self.widest,
        })
    }
}
