//! The steady corner before the road shakes the car, and the controls held in it.

use axletree_simulation::channels as ch;
use axletree_simulation::channels::Channel;
use axletree_simulation::drive::{Action, Controls};
use axletree_simulation::driver::SpeedHold;
use axletree_simulation::road::RoadLine;
use axletree_simulation::{Outcome, Trace};
use axletree_vehicle::Model;
use axletree_vehicle::model::Evaluation;
use axletree_vehicle::model::layout::{ATTITUDE, Inputs, STATES};
use axletree_vehicle::trim::Trim;

use crate::initial_state;

/// An equilibrium on a circle with the car's velocity along x.
pub(super) struct SteadyCorner {
    pub trim: Trim,
    /// Radius of the path of O, left positive `[m]`.
    pub radius: f64,
    pub speed: f64,
    pub yaw_rate: f64,
    pub sideslip: f64,
    pub lateral_acceleration: f64,
    /// Contacts and forces in the equilibrium.
    pub evaluation: Evaluation<f64>,
}

impl SteadyCorner {
    /// The equilibrium at the speed that a lateral acceleration, left positive `[m/s^2]`, needs on
    /// a radius `[m]`.
    pub fn find(
        model: &Model,
        radius: f64,
        lateral_acceleration: f64,
        friction: f64,
    ) -> Result<Self, Outcome> {
        let speed = (lateral_acceleration.abs() * radius).sqrt();
        let mut trim = initial_state::corner(model, speed, lateral_acceleration, friction)?;
        let hold = SpeedHold::new(model, speed, trim.inputs.drive_torque);
        let missing = trim.inputs.drive_torque - hold.available(&trim.state);
        if missing > 0.0 {
            return Err(Outcome::NotEnoughPower {
                speed,
                missing_torque: Some(missing),
            });
        }
        let seen = trim.observe(model);
        trim.state[ATTITUDE] = -seen.sideslip;
        Ok(SteadyCorner {
            radius: seen.speed / seen.yaw_rate,
            speed,
            yaw_rate: seen.yaw_rate,
            sideslip: seen.sideslip,
            lateral_acceleration: seen.lateral_acceleration,
            evaluation: trim.evaluate(model),
            trim,
        })
    }

    /// Side of the corner: 1 to the left, -1 to the right.
    pub fn side(&self) -> f64 {
        self.radius.signum()
    }

    /// The circle as far as a station `[m]`.
    pub fn line(&self, end: f64) -> RoadLine {
        RoadLine::curved(1.0 / self.radius, end)
    }

    /// Distance of O from the circle at a sample, outward positive `[m]`.
    pub fn outward(&self, trace: &Trace, sample: usize) -> f64 {
        let at = |channel: &Channel| trace.get(channel.name()).map_or(f64::NAN, |c| c[sample]);
        -self.side() * self.line(0.0).left_of([at(&ch::X), at(&ch::Y)])
    }

    /// Load of a wheel in equilibrium `[N]`.
    pub fn load(&self, wheel: usize) -> f64 {
        self.evaluation.contacts[wheel].load
    }

    /// Lateral force of an end (0 is the front) in equilibrium `[N]`.
    pub fn force(&self, end: usize) -> f64 {
        let [a, b] = [0, 1].map(|i| self.evaluation.tire_forces[2 * end + i].fy);
        a + b
    }

    /// Mean slip angle of an end's wheels in equilibrium `[rad]`.
    pub fn slip(&self, end: usize) -> f64 {
        let [a, b] = [0, 1].map(|i| ch::slip_angle(&self.evaluation, 2 * end + i));
        0.5 * (a + b)
    }
}

/// The steering wheel held, and either the drive torque or the speed.
pub(super) struct HeldControls {
    pub inputs: Inputs<f64>,
    /// Controller of the speed, where it is held.
    pub hold: Option<SpeedHold>,
}

impl Controls<1> for HeldControls {
    #[inline(always)]
    fn act(&self, _: f64, car: &[f64; STATES], own: &[f64; 1]) -> Action<1> {
        let (drive_torque, slow) = match &self.hold {
            Some(hold) => hold.act(car, own[0]),
            None => (self.inputs.drive_torque, 0.0),
        };
        Action {
            inputs: Inputs {
                drive_torque,
                ..self.inputs
            },
            own_rate: [slow],
        }
    }
}
