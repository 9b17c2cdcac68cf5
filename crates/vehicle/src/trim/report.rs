//! The quantities of an equilibrium that people read.

use axletree_report::{Figure, Figures, Quantity};
use axletree_scalar::lone;

use super::condition::Trim;
use crate::model::{Evaluation, Model, Observation};

/// A quantity of the body.
type OfBody = (Quantity, fn(&Observation<f64>) -> f64);
/// A quantity of a wheel, by its number.
type OfWheel = (Quantity, fn(&Evaluation<f64>, usize) -> f64);

const fn heading(key: &'static str, unit: &'static str, meaning: &'static str) -> Quantity {
    Quantity::new(key, unit, meaning).in_frame("heading")
}

const fn road(key: &'static str, unit: &'static str, meaning: &'static str) -> Quantity {
    Quantity::new(key, unit, meaning).in_frame("road at the wheel")
}

/// Quantities of the body after ISO 8855, at the center of mass at rest.
const BODY: [OfBody; 10] = [
    (Quantity::new("speed", "m/s", "horizontal speed"), |o| {
        o.speed
    }),
    (
        heading(
            "forward_velocity",
            "m/s",
            "horizontal velocity along the heading",
        ),
        |o| o.forward_velocity,
    ),
    (
        heading(
            "lateral_velocity",
            "m/s",
            "horizontal velocity across the heading, left positive",
        ),
        |o| o.lateral_velocity,
    ),
    (
        heading(
            "sideslip",
            "rad",
            "angle from the heading to the velocity, left positive",
        ),
        |o| o.sideslip,
    ),
    (
        Quantity::new("yaw_rate", "rad/s", "rate of the yaw angle, left positive"),
        |o| o.yaw_rate,
    ),
    (
        heading(
            "longitudinal_acceleration",
            "m/s^2",
            "level acceleration along the heading",
        ),
        |o| o.longitudinal_acceleration,
    ),
    (
        heading(
            "lateral_acceleration",
            "m/s^2",
            "level acceleration across the heading, left positive",
        ),
        |o| o.lateral_acceleration,
    ),
    (
        Quantity::new("roll", "rad", "roll angle, right side down positive"),
        |o| o.roll,
    ),
    (
        Quantity::new("pitch", "rad", "pitch angle, nose down positive"),
        |o| o.pitch,
    ),
    (
        Quantity::new(
            "steering_wheel_torque",
            "N*m",
            "torque of the hands, left positive",
        ),
        |o| o.steering_wheel_torque,
    ),
];

/// Quantities of one wheel.
const WHEEL: [OfWheel; 8] = [
    (road("load", "N", "load along the road's normal"), |e, i| {
        e.contacts[i].load
    }),
    (
        road(
            "longitudinal_force",
            "N",
            "force of the road, forward positive",
        ),
        |e, i| e.tire_forces[i].fx,
    ),
    (
        road("lateral_force", "N", "force of the road, left positive"),
        |e, i| e.tire_forces[i].fy,
    ),
    (
        road(
            "aligning_moment",
            "N*m",
            "moment of the road about its normal, left positive",
        ),
        |e, i| e.tire_forces[i].mz,
    ),
    (
        road(
            "utilization",
            "-",
            "force over the largest force in its direction, 0 to 1",
        ),
        |e, i| e.tire_forces[i].utilization.sqrt(),
    ),
    (
        road(
            "inclination",
            "rad",
            "inclination of the wheel to the road, top to the right positive",
        ),
        |e, i| lone::asin(e.contacts[i].inclination),
    ),
    (
        road(
            "longitudinal_slip",
            "-",
            "slip at the contact, forward positive",
        ),
        |e, i| e.slips[i][0],
    ),
    (
        road("lateral_slip", "rad", "slip at the contact, left positive"),
        |e, i| e.slips[i][1],
    ),
];

/// Figures of an equilibrium.
#[derive(Clone, Debug, PartialEq)]
pub struct TrimReport {
    /// Of the body.
    pub body: Figures,
    /// Of each wheel, in the order of [`WHEELS`](crate::model::layout::WHEELS).
    pub wheels: [Figures; 4],
}

impl Trim {
    /// Figures of the equilibrium, for people.
    ///
    /// ```
    /// use axletree_vehicle::{bundled, trim::{Condition, solve}};
    ///
    /// let model = bundled("bramble-solid").unwrap()?.assemble()?;
    /// let report = solve(&model, Condition::cornering(20.0, 6.0))?.report(&model);
    /// let [left, right] = [0, 1].map(|wheel| report.wheels[wheel].get("load").unwrap());
    /// assert!(report.body.get("roll").unwrap() > 0.0 && right > left);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn report(&self, model: &Model) -> TrimReport {
        let observed = self.observed(model);
        let figure = |quantity, value| Figure {
            quantity,
            value: Some(value),
        };
        let body = BODY.map(|(quantity, of)| figure(quantity, of(&observed.observation)));
        TrimReport {
            body: Figures(body.to_vec()),
            wheels: std::array::from_fn(|i| {
                let wheel =
                    WHEEL.map(|(quantity, of)| figure(quantity, of(&observed.evaluation, i)));
                Figures(wheel.to_vec())
            }),
        }
    }
}
