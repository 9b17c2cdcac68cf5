//! The steady circle before a pedal moves.

use axletree_simulation::outcome::Outcome;
use axletree_vehicle::Model;
use axletree_vehicle::trim::Trim;

use crate::initial_state;

/// Time that the car runs on the circle before the pedal moves `[s]`.
pub(super) const BEFORE: f64 = 0.5;
/// Time at which the standards evaluate the response `[s]`.
pub(super) const EVALUATION: f64 = 1.0;
/// Duration of a run from the pedal's move `[s]`.
pub(super) const AFTER: f64 = 3.0;

/// Settings of the circle.
#[derive(Clone, Copy)]
pub(crate) struct TurnSettings {
    /// Radius `[m]`.
    pub radius: f64,
    /// Lateral acceleration, left positive `[m/s^2]`.
    pub lateral_acceleration: f64,
    /// Friction of the surface relative to the tires' reference `[-]`.
    pub friction: f64,
    /// Gear, counted from 1.
    pub gear: Option<usize>,
}

/// An equilibrium on a circle, in gear.
pub(crate) struct SteadyTurn {
    pub trim: Trim,
    /// Radius of the path of O, left positive `[m]`.
    pub radius: f64,
}

impl SteadyTurn {
    /// The equilibrium at the speed that the lateral acceleration needs on the radius.
    pub fn find(model: &Model, settings: &TurnSettings) -> Result<Self, Outcome> {
        let lateral_acceleration = settings.lateral_acceleration;
        let speed = (lateral_acceleration.abs() * settings.radius).sqrt();
        let trim = initial_state::corner(model, speed, lateral_acceleration, settings.friction)?;
        // The centripetal acceleration differs from the lateral one by the cosine of the sideslip.
        let seen = trim.observe(model);
        Ok(SteadyTurn {
            radius: seen.speed / seen.yaw_rate,
            trim: initial_state::in_gear(model, &trim, settings.gear)?,
        })
    }
}
