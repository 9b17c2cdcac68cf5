//! Steady-state circle after ISO 4138: constant radius or constant speed.
//!
//! The equilibria of the car are followed from gentle cornering to the limit; nothing is driven in
//! time. The standard's slow tests (lateral acceleration rising by less than about 0.1 m/s^2 per second,
//! recalled) approximate the same.
//!
//! - [`continuation`]: the curve of equilibria by its arc length.
//! - [`limit`]: where it ends and why.

pub mod continuation;
pub mod limit;

use axletree_scalar::Real;
use axletree_vehicle::Model;
use axletree_vehicle::model::Observed;
use axletree_vehicle::trim::{self, Condition};
use serde::{Deserialize, Serialize};

use continuation::Curve;
pub use continuation::Held;
use limit::Walk;
pub use limit::{CircleCurve, CirclePoint, LimitedBy};

use crate::maneuver::{Maneuver, Run};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels::{ALL, Moment, Sight, Source};
use axletree_simulation::error::{ManeuverError, within};
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::outcome::{Ending, Outcome};
use axletree_simulation::trace::Trace;

const NAME: &str = "circle";
/// Equilibria in the evaluation range through which the gradients' lines are laid.
const FIT_POINTS: usize = 7;

/// What is held while the lateral acceleration grows.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CircleMethod {
    /// The radius of the path [m].
    ConstantRadius(f64),
    /// The speed [m/s].
    ConstantSpeed(f64),
}

/// Settings of the steady-state circle.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Circle {
    /// What is held. Default: a radius of 100 m, the one the standard prefers (recalled).
    pub method: CircleMethod,
    /// Lateral accelerations between which gradients are evaluated [m/s^2]. Default 1 to 4: above the
    /// noise of a test and within the range in which street cars are nearly linear.
    pub range: [f64; 2],
    /// To the left, else to the right.
    pub to_left: bool,
    /// Largest steering-wheel angle [rad]. Default: one and a half turns, common practice.
    pub steering_lock: f64,
    /// Friction of the surface relative to the tires' reference [-].
    pub friction: f64,
}

impl Default for Circle {
    fn default() -> Self {
        Circle {
            method: CircleMethod::ConstantRadius(100.0),
            range: [1.0, 4.0],
            to_left: true,
            steering_lock: 540f64.to_radians(),
            friction: 1.0,
        }
    }
}

/// A followed curve with the equilibria of the evaluation range.
#[derive(Clone, Debug)]
pub struct CircleResult {
    /// From gentle cornering to the limit; none where even that has no equilibrium.
    pub curve: Option<CircleCurve>,
    /// Equilibria evenly spread over the evaluation range; empty where the car does not reach its end.
    pub fit: Vec<CirclePoint>,
}

impl Circle {
    /// Least centripetal acceleration of the curve [m/s^2].
    const GENTLE: f64 = 0.3;

    fn held(&self) -> Held {
        match self.method {
            CircleMethod::ConstantRadius(r) => Held::Radius(r),
            CircleMethod::ConstantSpeed(v) => Held::Speed(v),
        }
    }

    /// Follows the curve of a car.
    pub fn follow(
        &self,
        model: &Model,
        interrupt: Interrupt<'_>,
    ) -> Result<CircleResult, ManeuverError> {
        self.check()?;
        let curve = Curve::new(model, self.held(), self.to_left, self.friction);
        let speed = match self.method {
            CircleMethod::ConstantRadius(r) => (Self::GENTLE * r).sqrt(),
            CircleMethod::ConstantSpeed(v) => v,
        };
        let sense = if self.to_left { 1.0 } else { -1.0 };
        let gentle = Condition {
            friction: self.friction,
            ..Condition::cornering(speed, sense * Self::GENTLE)
        };
        let start = trim::solve(model, gentle)
            .ok()
            .map(|t| curve.place(&t, Self::GENTLE))
            .and_then(|place| curve.at(&place, Self::GENTLE));
        let Some(start) = start else {
            return Ok(CircleResult {
                curve: None,
                fit: Vec::new(),
            });
        };
        // The evaluation range, each point from the one before.
        let [low, high] = self.range;
        let mut fit = Vec::new();
        let mut place = start.clone();
        for i in 0..FIT_POINTS {
            let target = low + (high - low) * i as f64 / (FIT_POINTS - 1) as f64;
            let Some(next) = curve.at(&place, target) else {
                fit.clear();
                break;
            };
            let trim = curve.trim(&next);
            let Observed {
                observation,
                evaluation,
            } = trim.observed(model);
            fit.push(CirclePoint {
                trim,
                observation,
                evaluation,
            });
            place = next;
        }
        let walk = Walk {
            model,
            curve,
            steering_lock: self.steering_lock,
        };
        let curve = Some(walk.follow(start, interrupt));
        Ok(CircleResult { curve, fit })
    }

    /// Slope of a quantity over lateral acceleration by least squares through the evaluation range.
    fn gradient(fit: &[CirclePoint], read: impl Fn(&CirclePoint) -> f64) -> f64 {
        if fit.is_empty() {
            return f64::NAN;
        }
        let n = fit.len() as f64;
        let x: Vec<f64> = fit
            .iter()
            .map(|p| p.observation.lateral_acceleration)
            .collect();
        let y: Vec<f64> = fit.iter().map(read).collect();
        let (mx, my) = (x.iter().sum::<f64>() / n, y.iter().sum::<f64>() / n);
        let above: f64 = x.iter().zip(&y).map(|(x, y)| (x - mx) * (y - my)).sum();
        let below: f64 = x.iter().map(|x| Real::sq(x - mx)).sum();
        above / below
    }

    fn measured(&self, model: &Model, result: &CircleResult) -> Measures {
        let outcome = match &result.curve {
            None => Outcome::NoSteadyState {
                speed: 0.0,
                lateral_acceleration: Self::GENTLE,
            },
            Some(curve) => {
                let last = &curve.points[curve.points.len() - 1];
                match curve.limited_by {
                    LimitedBy::Interrupted => Outcome::Interrupted,
                    LimitedBy::Lost => Outcome::NotConverged {
                        passes: curve.points.len(),
                        residual: last.observation.lateral_acceleration,
                    },
                    // These are ends of the curve as much as spent tires are, but named.
                    LimitedBy::Power => Outcome::NotEnoughPower {
                        speed: last.observation.speed,
                        missing_torque: 0.0,
                    },
                    LimitedBy::TwoWheelLift => Outcome::TwoWheelLift { left: self.to_left },
                    _ => Outcome::Completed,
                }
            }
        };
        let mut measures = Measures::empty(NAME, Ending { outcome, time: 0.0 }, self.metrics());
        let fit = &result.fit;
        let gain = model.numbers.chassis.steering.gain;
        let steer = Self::gradient(fit, |p| p.trim.inputs.steering_wheel);
        let ackermann = match self.method {
            CircleMethod::ConstantRadius(_) => 0.0,
            CircleMethod::ConstantSpeed(v) => model.geometry.wheelbase / (v * v),
        };
        measures.set(&m::UNDERSTEER_GRADIENT, gain * steer - ackermann);
        measures.set(&m::STEERING_WHEEL_ANGLE_GRADIENT, steer);
        measures.set(
            &m::ROLL_ANGLE_GRADIENT,
            Self::gradient(fit, |p| p.observation.roll),
        );
        measures.set(
            &m::SIDESLIP_GRADIENT,
            Self::gradient(fit, |p| p.observation.sideslip),
        );
        measures.set(
            &m::STEERING_TORQUE_GRADIENT,
            Self::gradient(fit, |p| p.observation.steering_wheel_torque),
        );
        if let Some(curve) = &result.curve {
            let last = &curve.points[curve.points.len() - 1];
            let o = &last.observation;
            let (front, rear) = (last.utilization(0), last.utilization(1));
            measures.set(&m::LATERAL_ACCELERATION_LIMIT, o.lateral_acceleration.abs());
            measures.set(&m::SPEED_AT_LIMIT, o.speed);
            measures.set(
                &m::STEERING_WHEEL_ANGLE_AT_LIMIT,
                last.trim.inputs.steering_wheel,
            );
            measures.set(&m::SIDESLIP_AT_LIMIT, o.sideslip);
            measures.set(&m::ROLL_ANGLE_AT_LIMIT, o.roll);
            measures.set(&m::FRONT_UTILIZATION_AT_LIMIT, front);
            measures.set(&m::REAR_UTILIZATION_AT_LIMIT, rear);
            measures.set(&m::LIMIT_BALANCE, front - rear);
            if let Some((_, lift)) = &curve.wheel_lift {
                measures.set(
                    &m::WHEEL_LIFT_LATERAL_ACCELERATION,
                    lift.observation.lateral_acceleration.abs(),
                );
            }
        }
        measures
    }

    /// Every channel at every point; the time column counts the points.
    pub(crate) fn traced<'p>(points: impl IntoIterator<Item = &'p CirclePoint>) -> Trace {
        let mut trace = Trace {
            channels: ALL.to_vec(),
            columns: vec![Vec::new(); ALL.len()],
            ..Trace::default()
        };
        for point in points {
            let time = trace.time.len() as f64;
            trace.time.push(time);
            let moment = Moment {
                time,
                state: &point.trim.state,
                rate: &point.evaluation.rate,
                inputs: &point.trim.inputs,
            };
            let sight = Sight {
                observation: point.observation,
                evaluation: point.evaluation,
            };
            for (channel, column) in ALL.iter().zip(&mut trace.columns) {
                column.push(match channel.source {
                    Source::Motion(read) => read(&moment),
                    Source::Observed(read) => read(&sight),
                    Source::Maneuver => f64::NAN,
                });
            }
        }
        trace
    }
}

impl Maneuver for Circle {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        vec![
            &m::UNDERSTEER_GRADIENT,
            &m::STEERING_WHEEL_ANGLE_GRADIENT,
            &m::ROLL_ANGLE_GRADIENT,
            &m::SIDESLIP_GRADIENT,
            &m::STEERING_TORQUE_GRADIENT,
            &m::LATERAL_ACCELERATION_LIMIT,
            &m::SPEED_AT_LIMIT,
            &m::STEERING_WHEEL_ANGLE_AT_LIMIT,
            &m::SIDESLIP_AT_LIMIT,
            &m::ROLL_ANGLE_AT_LIMIT,
            &m::FRONT_UTILIZATION_AT_LIMIT,
            &m::REAR_UTILIZATION_AT_LIMIT,
            &m::LIMIT_BALANCE,
            &m::WHEEL_LIFT_LATERAL_ACCELERATION,
        ]
    }

    fn check(&self) -> Result<(), ManeuverError> {
        match self.method {
            CircleMethod::ConstantRadius(r) => within(NAME, "radius", r, (5.0, 2000.0), "m")?,
            CircleMethod::ConstantSpeed(v) => within(NAME, "speed", v, (2.0, 100.0), "m/s")?,
        }
        let [low, high] = self.range;
        within(NAME, "range, low end", low, (0.05, 20.0), "m/s^2")?;
        within(NAME, "range, high end", high, (0.05, 20.0), "m/s^2")?;
        if low >= high {
            return Err(ManeuverError::Order {
                maneuver: NAME,
                setting: "range, low end",
                value: low,
                other: "range, high end",
                limit: high,
                unit: "m/s^2",
            });
        }
        within(
            NAME,
            "steering_lock",
            self.steering_lock,
            (0.1, 30.0),
            "rad",
        )?;
        within(NAME, "friction", self.friction, (0.01, 5.0), "-")
    }

    fn measure(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Measures, ManeuverError> {
        let result = self.follow(model, interrupt)?;
        Ok(self.measured(model, &result))
    }

    fn run(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Run, ManeuverError> {
        let result = self.follow(model, interrupt)?;
        Ok(Run {
            measures: self.measured(model, &result),
            trace: Self::traced(result.curve.iter().flat_map(|c| &c.points)),
        })
    }
}
