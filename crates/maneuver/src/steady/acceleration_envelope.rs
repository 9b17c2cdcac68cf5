//! The acceleration envelope: the largest steady acceleration of the car in every direction, at a
//! speed.
//!
//! For every direction from straight ahead (driving) through the side (cornering) to straight back
//! (braking), equilibria are followed by arc length with the magnitude of the acceleration as
//! parameter, from zero to the fold. In equilibrium the speed grows or falls as given while
//! sideslip and attitude are constant. Drive force comes from the driven wheels through the
//! differential, braking force from all wheels by the balance of the brakes.

use std::f64::consts::{FRAC_PI_2, PI};

use axletree_numerics::interrupt::Interrupt;
use axletree_scalar::lone;
use axletree_simulation::channels as ch;
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::{Ending, Gap, ManeuverError, Outcome, Trace, within};
use axletree_vehicle::Model;
use serde::{Deserialize, Serialize};

use super::continuation::{EquilibriumCurve, HeldQuantity};
use super::limit::{LimitWalk, LimitedBy};
use super::points::{self, SteadyPoint};
use crate::maneuver::{Maneuver, Run};
use crate::measured_by::{MeasuredBy, measures, metrics};
use crate::{checks, initial_state};

const NAME: &str = "acceleration_envelope";

/// The largest steady acceleration of a car in every direction, at a speed. Common practice (the
/// g-g diagram: Rice 1970; Milliken and Milliken, *Race Car Vehicle Dynamics*, 1995, ch. 9; from
/// memory).
///
/// ```
/// use axletree_maneuver::{AccelerationEnvelope, Maneuver};
/// use axletree_numerics::Interrupt;
/// use axletree_vehicle::bundled;
///
/// let car = bundled("bramble-solid").expect("a bundled car")?.assemble()?;
/// let envelope = AccelerationEnvelope {
///     directions: 3,
///     ..AccelerationEnvelope::default()
/// };
/// let measures = envelope.measure(&car, Interrupt::never())?;
/// assert!(measures.get("braking_limit").is_some_and(|limit| limit > 5.0));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct AccelerationEnvelope {
    /// Speed `[m/s]`.
    pub speed: f64,
    /// Number of directions from straight ahead to straight back, both included; odd, so that the
    /// side is one of them.
    pub directions: usize,
    /// Corner to the left, else to the right.
    pub to_left: bool,
    /// Limit driving by the engine's power too; else by the tires alone.
    pub power_limited: bool,
    /// Share of the largest lateral acceleration at which the exit acceleration is read `[-]`.
    pub exit_share: f64,
    /// Largest steering-wheel angle `[rad]`. Default: one and a half turns, common practice.
    pub steering_lock: f64,
    /// Friction of the surface relative to the tires' reference `[-]`.
    pub friction: f64,
}

impl Default for AccelerationEnvelope {
    fn default() -> Self {
        AccelerationEnvelope {
            // A corner of a coned course in second gear; common practice, no source.
            speed: 15.0,
            directions: 25,
            to_left: true,
            power_limited: false,
            exit_share: 0.7,
            steering_lock: 540f64.to_radians(),
            friction: 1.0,
        }
    }
}

/// The largest acceleration in one direction.
#[derive(Clone, Debug)]
pub struct EnvelopeEdge {
    /// Direction of the acceleration, from that of the velocity to the corner's side `[rad]`.
    pub direction: f64,
    /// Its magnitude `[m/s^2]`.
    pub magnitude: f64,
    /// Cause of the limit.
    pub limited_by: LimitedBy,
    /// Wheel with the largest slip over its slip of largest force, in the order of
    /// [`axletree_vehicle::model::WHEELS`].
    pub limiting_wheel: usize,
    /// The equilibrium there.
    pub point: SteadyPoint,
}

impl EnvelopeEdge {
    /// Part along the way: the rate of the speed `[m/s^2]`.
    pub fn along(&self) -> f64 {
        self.magnitude * lone::cos(self.direction)
    }

    /// Part across the way: the centripetal acceleration, toward the corner's side positive
    /// `[m/s^2]`.
    pub fn across(&self) -> f64 {
        self.magnitude * lone::sin(self.direction)
    }
}

impl AccelerationEnvelope {
    /// The directions `[rad]`.
    fn directions(&self) -> Vec<f64> {
        let last = (self.directions - 1) as f64;
        (0..self.directions)
            .map(|i| {
                if 2 * i == self.directions - 1 {
                    FRAC_PI_2
                } else {
                    PI * i as f64 / last
                }
            })
            .collect()
    }

    /// Follows one direction `[rad]` to its edge.
    ///
    /// # Errors
    /// The outcome of a car without straight running, or of a curve that could not be followed.
    pub fn edge(
        &self,
        model: &Model,
        direction: f64,
        interrupt: Interrupt<'_>,
    ) -> Result<EnvelopeEdge, Outcome> {
        let straight = initial_state::straight(model, self.speed, self.friction)?;
        let mut free = model.clone();
        if !self.power_limited {
            let line = &mut free.numbers.chassis.driveline;
            line.peak_power = 1e9;
            line.peak_torque = 1e9;
        }
        let (aside, forward) = lone::sin_cos(direction);
        let held = HeldQuantity::Direction(self.speed, [aside, forward]);
        let curve = EquilibriumCurve::new(&free, held, self.to_left, self.friction);
        let start = EquilibriumCurve::place(&straight, 0.0);
        let walk = LimitWalk {
            model: &free,
            curve,
            steering_lock: self.steering_lock,
        };
        let followed = walk.follow(start, interrupt);
        let reached = followed.points.last();
        let stuck = Outcome::NotConverged {
            passes: followed.points.len(),
            gap: Gap::LateralAcceleration(
                reached.map_or(0.0, |point| point.observation.lateral_acceleration),
            ),
        };
        match followed.limited_by {
            LimitedBy::Interrupted => return Err(Outcome::Interrupted),
            LimitedBy::Lost if followed.points.len() < 3 => return Err(stuck),
            _ => {}
        }
        let point = followed.points.into_iter().next_back().ok_or(stuck)?;
        // The horizontal acceleration of O.
        let seen = &point.observation;
        let magnitude = lone::hypot(seen.longitudinal_acceleration, seen.lateral_acceleration);
        let slip = |w: usize| point.evaluation.tire_forces[w].normalized_slip;
        let limiting_wheel = (0..4)
            .max_by(|&a, &b| slip(a).total_cmp(&slip(b)))
            .unwrap_or(0);
        Ok(EnvelopeEdge {
            direction,
            magnitude,
            limited_by: followed.limited_by,
            limiting_wheel,
            point,
        })
    }

    /// Follows every direction. A direction that could not be followed is left out; the outcome of
    /// the first one is returned beside the edges.
    ///
    /// # Errors
    /// [`ManeuverError`] for settings that fail their check.
    pub fn follow(
        &self,
        model: &Model,
        interrupt: Interrupt<'_>,
    ) -> Result<(Vec<EnvelopeEdge>, Option<Outcome>), ManeuverError> {
        self.check()?;
        Ok(self.followed(model, interrupt))
    }

    fn followed(
        &self,
        model: &Model,
        interrupt: Interrupt<'_>,
    ) -> (Vec<EnvelopeEdge>, Option<Outcome>) {
        let directions = self.directions();
        let mut edges = Vec::new();
        let mut fault = None;
        for (i, &direction) in directions.iter().enumerate() {
            interrupt.report(i as f64 / directions.len() as f64);
            match self.edge(model, direction, interrupt.without_progress()) {
                Ok(edge) => edges.push(edge),
                Err(outcome) => {
                    fault = fault.or(Some(outcome));
                    if outcome == Outcome::Interrupted {
                        break;
                    }
                }
            }
        }
        (edges, fault)
    }

    /// Follows every direction of a car and measures.
    fn measured(&self, model: &Model, interrupt: Interrupt<'_>) -> (Measures, Vec<EnvelopeEdge>) {
        let (edges, fault) = self.followed(model, interrupt);
        let ending = Ending {
            outcome: fault.unwrap_or(Outcome::Completed),
            time: 0.0,
        };
        let findings = EnvelopeFindings {
            edges,
            complete: fault.is_none(),
            exit_share: self.exit_share,
        };
        let measures = measures(METRICS, NAME, ending, Some(&findings));
        (measures, findings.edges)
    }
}

/// Findings of an acceleration envelope.
struct EnvelopeFindings {
    edges: Vec<EnvelopeEdge>,
    /// Whether every direction was followed.
    complete: bool,
    /// Share of the largest lateral acceleration at which exit and entry are read `[-]`.
    exit_share: f64,
}

/// The metrics of an acceleration envelope.
const METRICS: &[MeasuredBy<EnvelopeFindings>] = &[
    MeasuredBy(&m::DRIVING_LIMIT, |f| f.toward(0.0)),
    MeasuredBy(&m::CORNERING_LIMIT, |f| f.toward(FRAC_PI_2)),
    MeasuredBy(&m::BRAKING_LIMIT, |f| f.toward(PI)),
    MeasuredBy(&m::EXIT_ACCELERATION, |f| {
        f.along_at_share(|edge| edge.direction <= FRAC_PI_2 + 1e-9)
    }),
    MeasuredBy(&m::ENTRY_DECELERATION, |f| {
        -f.along_at_share(|edge| edge.direction >= FRAC_PI_2 - 1e-9)
    }),
    MeasuredBy(&m::ENVELOPE_AREA, EnvelopeFindings::area),
];

impl EnvelopeFindings {
    /// Largest acceleration in a direction `[m/s^2]`.
    fn toward(&self, direction: f64) -> f64 {
        self.edges
            .iter()
            .find(|edge| (edge.direction - direction).abs() < 1e-9)
            .map_or(f64::NAN, |edge| edge.magnitude)
    }

    /// Acceleration along the path where the envelope's part in `holds` passes the share of the
    /// largest lateral acceleration `[m/s^2]`.
    fn along_at_share(&self, holds: impl Fn(&EnvelopeEdge) -> bool) -> f64 {
        let level = self.exit_share * self.toward(FRAC_PI_2);
        let part: Vec<&EnvelopeEdge> = self.edges.iter().filter(|edge| holds(edge)).collect();
        for pair in part.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            if (a.across() - level) * (b.across() - level) <= 0.0 {
                let share = (level - a.across()) / (b.across() - a.across());
                return a.along() + share * (b.along() - a.along());
            }
        }
        f64::NAN
    }

    /// Area of the envelope `[m^2/s^4]`.
    fn area(&self) -> f64 {
        if !self.complete {
            return f64::NAN;
        }
        self.edges
            .windows(2)
            .map(|pair| {
                let turn = pair[1].direction - pair[0].direction;
                0.5 * pair[0].magnitude * pair[1].magnitude * lone::sin(turn)
            })
            .sum()
    }
}

/// The channels of all edges, with direction and magnitude; the time column counts the directions.
fn traced(edges: &[EnvelopeEdge]) -> Trace {
    let mut trace = points::traced(edges.iter().map(|edge| &edge.point));
    let column = |read: fn(&EnvelopeEdge) -> f64| edges.iter().map(read).collect();
    trace.add(&ch::ACCELERATION_DIRECTION, column(|e| e.direction));
    trace.add(&ch::ACCELERATION_ALONG, column(EnvelopeEdge::along));
    trace.add(&ch::ACCELERATION_ACROSS, column(EnvelopeEdge::across));
    trace.add(&ch::LIMITING_WHEEL, column(|e| e.limiting_wheel as f64));
    trace
}

impl Maneuver for AccelerationEnvelope {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        metrics(METRICS)
    }

    fn check(&self) -> Result<(), ManeuverError> {
        checks::speed(NAME, self.speed)?;
        let directions = self.directions as f64;
        within(NAME, "directions", directions, (3.0, 721.0), "-")?;
        within(NAME, "exit_share", self.exit_share, (0.05, 0.99), "-")?;
        let lock = self.steering_lock;
        within(NAME, "steering_lock", lock, (0.1, 30.0), "rad")?;
        checks::friction(NAME, self.friction)
    }

    fn measure_all(&self, models: &[&Model], interrupt: Interrupt<'_>) -> Vec<Measures> {
        let measured = |model: &&Model| self.measured(model, interrupt).0;
        models.iter().map(measured).collect()
    }

    fn record(&self, model: &Model, interrupt: Interrupt<'_>) -> Run {
        let (measures, edges) = self.measured(model, interrupt);
        Run {
            measures,
            trace: traced(&edges),
        }
    }
}
