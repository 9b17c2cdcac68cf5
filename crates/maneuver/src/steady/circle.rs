//! Steady-state circle after ISO 4138: constant radius or constant speed.
//!
//! The equilibria of the car are followed from gentle cornering to the limit; nothing is driven in
//! time. The standard's slow tests (lateral acceleration rising by less than about 0.1 m/s^2 per
//! second, recalled) approximate the same.

use axletree_numerics::interrupt::Interrupt;
use axletree_scalar::Real;
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::{Ending, Gap, ManeuverError, Outcome, within};
use axletree_vehicle::Model;
use axletree_vehicle::trim::{self, Condition};
use serde::{Deserialize, Serialize};

use super::continuation::{EquilibriumCurve, HeldQuantity};
use super::limit::{LimitWalk, LimitedBy, SteadyCurve};
use super::points::{SteadyPoint, traced};
use crate::checks;
use crate::maneuver::{Maneuver, Run};
use crate::measured_by::{MeasuredBy, measures, metrics};

const NAME: &str = "circle";
/// Number of equilibria in the evaluation range, for the lines of the gradients.
const FIT_POINTS: usize = 7;
/// Centripetal acceleration at the start of the curve `[m/s^2]`.
const START_ACCELERATION: f64 = 0.3;

/// Quantity held while the lateral acceleration grows.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CircleMethod {
    /// The radius of the path `[m]`.
    ConstantRadius(f64),
    /// The speed `[m/s]`.
    ConstantSpeed(f64),
}

/// Steady-state circle after ISO 4138: gradients of steer, roll, sideslip and steering torque, and
/// the limit.
///
/// ```
/// use axletree_maneuver::{Circle, Maneuver};
/// use axletree_numerics::Interrupt;
/// use axletree_vehicle::bundled;
///
/// let car = bundled("bramble-solid").expect("a bundled car")?.assemble()?;
/// let measures = Circle::default().measure(&car, Interrupt::never())?;
/// assert!(measures.get("understeer_gradient").is_some_and(f64::is_finite));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Circle {
    /// Quantity that is held. Default: a radius of 100 m, the one that the standard prefers
    /// (recalled).
    pub method: CircleMethod,
    /// Lateral accelerations between which gradients are evaluated `[m/s^2]`. Default: 1 to 4,
    /// above the noise of a test and within the range in which street cars are nearly linear.
    pub range: [f64; 2],
    /// Circle to the left, else to the right.
    pub to_left: bool,
    /// Largest steering-wheel angle `[rad]`. Default: one and a half turns, common practice.
    pub steering_lock: f64,
    /// Friction of the surface relative to the tires' reference `[-]`.
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
    pub curve: Option<SteadyCurve>,
    /// Equilibria evenly spread over the evaluation range; empty where the car does not reach its
    /// end.
    pub fit: Vec<SteadyPoint>,
}

impl Circle {
    fn held(&self) -> HeldQuantity {
        match self.method {
            CircleMethod::ConstantRadius(r) => HeldQuantity::Radius(r),
            CircleMethod::ConstantSpeed(v) => HeldQuantity::Speed(v),
        }
    }

    /// Follows the curve of a car.
    ///
    /// # Errors
    /// [`ManeuverError`] for settings that fail their check.
    pub fn follow(
        &self,
        model: &Model,
        interrupt: Interrupt<'_>,
    ) -> Result<CircleResult, ManeuverError> {
        self.check()?;
        Ok(self.followed(model, interrupt))
    }

    /// Speed at the gentle start of the curve `[m/s]`.
    fn start_speed(&self) -> f64 {
        match self.method {
            CircleMethod::ConstantRadius(r) => (START_ACCELERATION * r).sqrt(),
            CircleMethod::ConstantSpeed(v) => v,
        }
    }

    fn followed(&self, model: &Model, interrupt: Interrupt<'_>) -> CircleResult {
        let curve = EquilibriumCurve::new(model, self.held(), self.to_left, self.friction);
        let speed = self.start_speed();
        let sense = if self.to_left { 1.0 } else { -1.0 };
        let gentle = Condition {
            friction: self.friction,
            ..Condition::cornering(speed, sense * START_ACCELERATION)
        };
        let start = trim::solve(model, gentle)
            .ok()
            .map(|t| EquilibriumCurve::place(&t, START_ACCELERATION))
            .and_then(|place| curve.at(&place, START_ACCELERATION));
        let Some(start) = start else {
            return CircleResult {
                curve: None,
                fit: Vec::new(),
            };
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
            fit.push(SteadyPoint::of(model, curve.trim(&next)));
            place = next;
        }
        let walk = LimitWalk {
            model,
            curve,
            steering_lock: self.steering_lock,
        };
        let curve = Some(walk.follow(start, interrupt));
        CircleResult { curve, fit }
    }

    fn outcome(&self, result: &CircleResult) -> Outcome {
        let Some(curve) = &result.curve else {
            return Outcome::NoSteadyState {
                speed: self.start_speed(),
                lateral_acceleration: START_ACCELERATION,
            };
        };
        let last = &curve.points[curve.points.len() - 1];
        match curve.limited_by {
            LimitedBy::Interrupted => Outcome::Interrupted,
            LimitedBy::Lost => Outcome::NotConverged {
                passes: curve.points.len(),
                gap: Gap::LateralAcceleration(last.observation.lateral_acceleration),
            },
            // The curve ends as at the limit of grip; the cause has an outcome of its own.
            LimitedBy::Power => Outcome::NotEnoughPower {
                speed: last.observation.speed,
                missing_torque: None,
            },
            LimitedBy::TwoWheelLift => Outcome::TwoWheelLift { left: self.to_left },
            _ => Outcome::Completed,
        }
    }

    /// Follows a car's curve and measures it.
    fn measured(&self, model: &Model, interrupt: Interrupt<'_>) -> (Measures, CircleResult) {
        let result = self.followed(model, interrupt);
        let ending = Ending {
            outcome: self.outcome(&result),
            time: 0.0,
        };
        let findings = CircleFindings {
            steering_gain: model.numbers.chassis.steering.gain,
            ackermann: match self.method {
                CircleMethod::ConstantRadius(_) => 0.0,
                CircleMethod::ConstantSpeed(v) => model.geometry.wheelbase / (v * v),
            },
            result,
        };
        let measures = measures(METRICS, NAME, ending, Some(&findings));
        (measures, findings.result)
    }
}

/// Findings of a steady-state circle.
struct CircleFindings {
    /// Angle of the road wheels over that of the steering wheel `[-]`.
    steering_gain: f64,
    /// Ackermann gradient: slope of the geometric steer angle over the lateral acceleration
    /// `[rad*s^2/m]`.
    ackermann: f64,
    result: CircleResult,
}

/// The metrics of a steady-state circle.
const METRICS: &[MeasuredBy<CircleFindings>] = &[
    MeasuredBy(&m::UNDERSTEER_GRADIENT, |f| {
        f.steering_gain * f.steer_gradient() - f.ackermann
    }),
    MeasuredBy(
        &m::STEERING_WHEEL_ANGLE_GRADIENT,
        CircleFindings::steer_gradient,
    ),
    MeasuredBy(&m::ROLL_ANGLE_GRADIENT, |f| {
        f.gradient(|p| p.observation.roll)
    }),
    MeasuredBy(&m::SIDESLIP_GRADIENT, |f| {
        f.gradient(|p| p.observation.sideslip)
    }),
    MeasuredBy(&m::STEERING_TORQUE_GRADIENT, |f| {
        f.gradient(|p| p.observation.steering_wheel_torque)
    }),
    MeasuredBy(&m::LATERAL_ACCELERATION_LIMIT, |f| {
        f.at_limit(|p| p.observation.lateral_acceleration.abs())
    }),
    MeasuredBy(&m::SPEED_AT_LIMIT, |f| f.at_limit(|p| p.observation.speed)),
    MeasuredBy(&m::STEERING_WHEEL_ANGLE_AT_LIMIT, |f| {
        f.at_limit(|p| p.trim.inputs.steering_wheel)
    }),
    MeasuredBy(&m::SIDESLIP_AT_LIMIT, |f| {
        f.at_limit(|p| p.observation.sideslip)
    }),
    MeasuredBy(&m::ROLL_ANGLE_AT_LIMIT, |f| {
        f.at_limit(|p| p.observation.roll)
    }),
    MeasuredBy(&m::FRONT_UTILIZATION_AT_LIMIT, |f| {
        f.at_limit(|p| p.utilization(0))
    }),
    MeasuredBy(&m::REAR_UTILIZATION_AT_LIMIT, |f| {
        f.at_limit(|p| p.utilization(1))
    }),
    MeasuredBy(&m::LIMIT_BALANCE, |f| {
        f.at_limit(|p| p.utilization(0) - p.utilization(1))
    }),
    MeasuredBy(
        &m::WHEEL_LIFT_LATERAL_ACCELERATION,
        CircleFindings::wheel_lift,
    ),
];

impl CircleFindings {
    /// Slope of a quantity over lateral acceleration, by least squares through the evaluation
    /// range.
    fn gradient(&self, read: impl Fn(&SteadyPoint) -> f64) -> f64 {
        let fit = &self.result.fit;
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

    /// Slope of the steering-wheel angle over lateral acceleration `[rad*s^2/m]`.
    fn steer_gradient(&self) -> f64 {
        self.gradient(|p| p.trim.inputs.steering_wheel)
    }

    /// A quantity at the end of the curve.
    fn at_limit(&self, read: impl Fn(&SteadyPoint) -> f64) -> f64 {
        let last = self.result.curve.as_ref().and_then(|c| c.points.last());
        last.map_or(f64::NAN, read)
    }

    /// Lateral acceleration at which the first wheel leaves the road `[m/s^2]`.
    fn wheel_lift(&self) -> f64 {
        let lift = self.result.curve.as_ref();
        let lift = lift.and_then(|curve| curve.wheel_lift.as_ref());
        lift.map_or(f64::NAN, |(_, point)| {
            point.observation.lateral_acceleration.abs()
        })
    }
}

impl Maneuver for Circle {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        metrics(METRICS)
    }

    fn check(&self) -> Result<(), ManeuverError> {
        match self.method {
            CircleMethod::ConstantRadius(r) => within(NAME, "radius", r, (5.0, 2000.0), "m")?,
            CircleMethod::ConstantSpeed(v) => checks::speed(NAME, v)?,
        }
        let [low, high] = self.range;
        within(NAME, "range (low end)", low, (0.05, 20.0), "m/s^2")?;
        within(NAME, "range (high end)", high, (0.05, 20.0), "m/s^2")?;
        let ends = [("range (low end)", low), ("range (high end)", high)];
        checks::below(NAME, ends[0], ends[1], "m/s^2")?;
        let lock = self.steering_lock;
        within(NAME, "steering_lock", lock, (0.1, 30.0), "rad")?;
        checks::friction(NAME, self.friction)
    }

    fn measure_all(&self, models: &[&Model], interrupt: Interrupt<'_>) -> Vec<Measures> {
        let measured = |model: &&Model| self.measured(model, interrupt).0;
        models.iter().map(measured).collect()
    }

    fn record(&self, model: &Model, interrupt: Interrupt<'_>) -> Run {
        let (measures, result) = self.measured(model, interrupt);
        Run {
            measures,
            trace: traced(result.curve.iter().flat_map(|curve| &curve.points)),
        }
    }
}
