//! The condition of an equilibrium, the equilibrium itself, and the reasons why there is none.

use thiserror::Error;

use crate::model::{Evaluation, Inputs, Model, Observation, Observed, STATES};

/// Prescribed motion of an equilibrium.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Condition {
    /// Horizontal speed of O `[m/s]`.
    pub speed: f64,
    /// Lateral acceleration in heading axes, to the left positive `[m/s^2]`.
    pub lateral_acceleration: f64,
    /// Rate of the speed `[m/s^2]`.
    pub longitudinal_acceleration: f64,
    /// Friction of the surface relative to the tires' reference `[-]`.
    pub friction: f64,
}

impl Condition {
    /// Straight ahead at constant speed on the reference surface.
    pub fn straight(speed: f64) -> Self {
        Condition {
            speed,
            lateral_acceleration: 0.0,
            longitudinal_acceleration: 0.0,
            friction: 1.0,
        }
    }

    /// In a corner at constant speed on the reference surface.
    pub fn cornering(speed: f64, lateral_acceleration: f64) -> Self {
        Condition {
            lateral_acceleration,
            ..Condition::straight(speed)
        }
    }

    /// Refuses a condition outside the range of the equations.
    pub(super) fn check(&self) -> Result<(), TrimError> {
        let acceleration = ("m/s^2", -100.0, 100.0);
        for (name, value, (unit, low, high)) in [
            ("speed", self.speed, ("m/s", 0.5, 150.0)),
            (
                "lateral_acceleration",
                self.lateral_acceleration,
                acceleration,
            ),
            (
                "longitudinal_acceleration",
                self.longitudinal_acceleration,
                acceleration,
            ),
            ("friction", self.friction, ("-", 0.01, 5.0)),
        ] {
            if !(low..=high).contains(&value) {
                return Err(TrimError::Condition {
                    name,
                    value,
                    unit,
                    low,
                    high,
                });
            }
        }
        Ok(())
    }
}

/// An equilibrium.
#[derive(Clone, Debug)]
pub struct Trim {
    /// The prescribed motion.
    pub condition: Condition,
    /// The state, at the origin with zero yaw.
    pub state: [f64; STATES],
    /// The inputs that hold it. `drive_torque` is the torque that the driveline must supply; it is
    /// negative where the driveline slows the car.
    pub inputs: Inputs<f64>,
}

impl Trim {
    /// One evaluation at the equilibrium.
    pub fn evaluate(&self, model: &Model) -> Evaluation<f64> {
        model.evaluate(&self.state, &self.inputs)
    }

    /// Quantities of the motion at the equilibrium.
    pub fn observe(&self, model: &Model) -> Observation<f64> {
        self.observed(model).observation
    }

    /// Quantities of the motion at the equilibrium, with the evaluation that they are read from.
    pub fn observed(&self, model: &Model) -> Observed<f64> {
        model.observe(&self.state, &self.inputs)
    }
}

/// Why there is no equilibrium.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum TrimError {
    /// The condition is outside the range of the equations.
    #[error(
        "no equilibrium is defined at {name} = {value} {unit}; allowed: {low} to {high} {unit}"
    )]
    Condition {
        /// The quantity.
        name: &'static str,
        /// Its value.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least value allowed.
        low: f64,
        /// Largest value allowed.
        high: f64,
    },
    /// The approach in steps ended before the condition.
    #[error(
        "at {speed} m/s the car has no equilibrium with a lateral acceleration of {asked} m/s^2: the last \
         one found is at {reached:.3} m/s^2"
    )]
    NoEquilibrium {
        /// Speed `[m/s]`.
        speed: f64,
        /// Prescribed lateral acceleration `[m/s^2]`.
        asked: f64,
        /// Lateral acceleration of the last equilibrium `[m/s^2]`.
        reached: f64,
    },
}
