//! The acceleration envelope: the largest steady acceleration of the car in every direction, at a speed.
//!
//! For every direction from straight ahead (driving) through the side (cornering) to straight back
//! (braking), equilibria are followed by arc length with the magnitude of the acceleration as parameter,
//! from none to the fold where there is no more. In equilibrium the speed grows or falls as asked while
//! sideslip and attitude stay. Driving comes from the driven wheels through the differential, braking
//! from all wheels by the brakes' balance.

use axletree_scalar::Real;
use std::f64::consts::{FRAC_PI_2, PI};

use axletree_vehicle::Model;
use serde::{Deserialize, Serialize};

use crate::circle::continuation::Curve;
use crate::circle::limit::Walk;
use crate::circle::{Circle, CirclePoint, Held, LimitedBy};
use crate::initial_state as begin;
use crate::maneuver::{Maneuver, Run};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels as ch;
use axletree_simulation::error::{ManeuverError, within};
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::outcome::{Ending, Outcome};
use axletree_simulation::trace::Trace;

const NAME: &str = "acceleration_envelope";

/// Settings of the acceleration envelope. Common practice (the g-g diagram: Rice 1970; Milliken and
/// Milliken, *Race Car Vehicle Dynamics*, 1995, ch. 9; from memory).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct AccelerationEnvelope {
    /// Speed [m/s].
    pub speed: f64,
    /// Number of directions from straight ahead to straight back, both included; odd, so that the side is
    /// one of them.
    pub directions: usize,
    /// Corner to the left, else to the right.
    pub to_left: bool,
    /// Let the engine's power limit driving; without it the tires alone do.
    pub power_limited: bool,
    /// Share of the largest lateral acceleration at which the exit acceleration is read [-].
    pub exit_share: f64,
    /// Largest steering-wheel angle [rad]. Default: one and a half turns, common practice.
    pub steering_lock: f64,
    /// Friction of the surface relative to the tires' reference [-].
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

/// The end of one direction.
#[derive(Clone, Debug)]
pub struct Edge {
    /// Direction of the acceleration from that of the velocity, toward the corner's side [rad].
    pub direction: f64,
    /// Its magnitude [m/s^2].
    pub magnitude: f64,
    /// What ended it.
    pub limited_by: LimitedBy,
    /// The wheel that slides most over what its slip of largest force would be (order of
    /// `axletree_vehicle::model::WHEELS`).
    pub limiting_wheel: usize,
    /// The equilibrium there.
    pub point: CirclePoint,
}

impl Edge {
    /// Part along the way: the rate of the speed [m/s^2].
    pub fn along(&self) -> f64 {
        self.magnitude * Real::cos(self.direction)
    }

    /// Part across the way: the centripetal acceleration, toward the corner's side positive [m/s^2].
    pub fn across(&self) -> f64 {
        self.magnitude * Real::sin(self.direction)
    }
}

impl AccelerationEnvelope {
    /// The directions [rad].
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

    /// Follows one direction [rad] to its edge.
    pub fn edge(
        &self,
        model: &Model,
        direction: f64,
        interrupt: Interrupt<'_>,
    ) -> Result<Edge, Outcome> {
        let straight = begin::straight(model, self.speed, self.friction)?;
        let mut free = model.clone();
        if !self.power_limited {
            let line = &mut free.numbers.chassis.driveline;
            line.peak_power = 1e9;
            line.peak_torque = 1e9;
        }
        let held = Held::Direction(self.speed, direction);
        let curve = Curve::new(&free, held, self.to_left, self.friction);
        let start = curve.place(&straight, 0.0);
        let walk = Walk {
            model: &free,
            curve,
            steering_lock: self.steering_lock,
        };
        let followed = walk.follow(start, interrupt);
        let stuck = Outcome::NotConverged {
            passes: followed.points.len(),
            residual: direction,
        };
        match followed.limited_by {
            LimitedBy::Interrupted => return Err(Outcome::Interrupted),
            LimitedBy::Lost if followed.points.len() < 3 => return Err(stuck),
            _ => {}
        }
        let point = followed.points.into_iter().next_back().ok_or(stuck)?;
        // The horizontal acceleration of O, whatever axes it is seen in.
        let seen = &point.observation;
        let magnitude = Real::hypot(seen.longitudinal_acceleration, seen.lateral_acceleration);
        let slip = |w: usize| point.evaluation.tire_forces[w].normalized_slip;
        let limiting_wheel = (0..4)
            .max_by(|&a, &b| slip(a).total_cmp(&slip(b)))
            .unwrap_or(0);
        Ok(Edge {
            direction,
            magnitude,
            limited_by: followed.limited_by,
            limiting_wheel,
            point,
        })
    }

    /// Follows every direction; those that could not be followed are left out, and the first reason is
    /// told beside the rest.
    pub fn follow(
        &self,
        model: &Model,
        interrupt: Interrupt<'_>,
    ) -> Result<(Vec<Edge>, Option<Outcome>), ManeuverError> {
        self.check()?;
        let directions = self.directions();
        let mut edges = Vec::new();
        let mut fault = None;
        for (i, &direction) in directions.iter().enumerate() {
            interrupt.tell(i as f64 / directions.len() as f64);
            match self.edge(model, direction, interrupt.quiet()) {
                Ok(edge) => edges.push(edge),
                Err(outcome) => {
                    fault = fault.or(Some(outcome));
                    if outcome == Outcome::Interrupted {
                        break;
                    }
                }
            }
        }
        Ok((edges, fault))
    }

    fn measured(&self, edges: &[Edge], fault: Option<Outcome>) -> Measures {
        let ending = Ending {
            outcome: fault.unwrap_or(Outcome::Completed),
            time: 0.0,
        };
        let mut measures = Measures::empty(NAME, ending, self.metrics());
        let toward = |direction: f64| {
            edges
                .iter()
                .find(|e| (e.direction - direction).abs() < 1e-9)
                .map_or(f64::NAN, |e| e.magnitude)
        };
        let side = toward(FRAC_PI_2);
        measures.set(&m::DRIVING_LIMIT, toward(0.0));
        measures.set(&m::CORNERING_LIMIT, side);
        measures.set(&m::BRAKING_LIMIT, toward(PI));
        // Where the edge passes a share of the largest lateral acceleration.
        let level = self.exit_share * side;
        let crossing = |edges: &mut dyn Iterator<Item = &Edge>| {
            let mut before: Option<&Edge> = None;
            for edge in edges {
                if let Some(b) = before
                    && (b.across() - level) * (edge.across() - level) <= 0.0
                {
                    let share = (level - b.across()) / (edge.across() - b.across());
                    return b.along() + share * (edge.along() - b.along());
                }
                before = Some(edge);
            }
            f64::NAN
        };
        let ahead = |e: &&Edge| e.direction <= FRAC_PI_2 + 1e-9;
        measures.set(
            &m::EXIT_ACCELERATION,
            crossing(&mut edges.iter().filter(ahead)),
        );
        let behind = |e: &&Edge| e.direction >= FRAC_PI_2 - 1e-9;
        measures.set(
            &m::ENTRY_DECELERATION,
            -crossing(&mut edges.iter().filter(behind)),
        );
        if fault.is_none() {
            let area: f64 = edges
                .windows(2)
                .map(|pair| {
                    let turn = pair[1].direction - pair[0].direction;
                    0.5 * pair[0].magnitude * pair[1].magnitude * Real::sin(turn)
                })
                .sum();
            measures.set(&m::ENVELOPE_AREA, area);
        }
        measures
    }

    /// Every channel at every edge, with direction and magnitude; the time column counts the directions.
    fn traced(edges: &[Edge]) -> Trace {
        let mut trace = Circle::traced(edges.iter().map(|e| &e.point));
        let column = |read: fn(&Edge) -> f64| edges.iter().map(read).collect();
        trace.add(&ch::ACCELERATION_DIRECTION, column(|e| e.direction));
        trace.add(&ch::ACCELERATION_ALONG, column(Edge::along));
        trace.add(&ch::ACCELERATION_ACROSS, column(Edge::across));
        trace.add(&ch::LIMITING_WHEEL, column(|e| e.limiting_wheel as f64));
        trace
    }
}

impl Maneuver for AccelerationEnvelope {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        vec![
            &m::DRIVING_LIMIT,
            &m::CORNERING_LIMIT,
            &m::BRAKING_LIMIT,
            &m::EXIT_ACCELERATION,
            &m::ENTRY_DECELERATION,
            &m::ENVELOPE_AREA,
        ]
    }

    fn check(&self) -> Result<(), ManeuverError> {
        within(NAME, "speed", self.speed, (2.0, 100.0), "m/s")?;
        let directions = self.directions as f64;
        within(NAME, "directions", directions, (3.0, 721.0), "-")?;
        within(NAME, "exit_share", self.exit_share, (0.05, 0.99), "-")?;
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
        let (edges, fault) = self.follow(model, interrupt)?;
        Ok(self.measured(&edges, fault))
    }

    fn run(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Run, ManeuverError> {
        let (edges, fault) = self.follow(model, interrupt)?;
        Ok(Run {
            measures: self.measured(&edges, fault),
            trace: Self::traced(&edges),
        })
    }
}
