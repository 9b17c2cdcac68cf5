//! Corner exit under power: out of a steady corner in the least time, the throttle opened once and wholly.
//!
//! The point at which the throttle opens and the steering along the way are unknowns of one
//! optimization; the car must stay on the track and its sideslip below a guard. No driver's gains
//! enter, so that cars are compared and not the stability of a driver with them. On a surface that holds
//! much less than the engine gives, one wide-open throttle spins the wheels all the way and is not the
//! fastest way out; what the tires hold there is told by [`axletree_maneuver::acceleration_envelope`].
//!
//! - [`way`]: the track.
//! - [`exit`]: one drive.

pub mod exit;
pub mod way;

use axletree_scalar::elementary;
use axletree_vehicle::Model;
use axletree_vehicle::linearize;
use nalgebra::DVector;
use serde::{Deserialize, Serialize};

use exit::{Corner, Design, Exit, Trail};
use way::WayOut;

use crate::double_lane_change::search::smoothing;
use axletree_maneuver::initial_state as begin;
use axletree_maneuver::maneuver::{Maneuver, Run};
use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::spline::UniformSpline;
use axletree_numerics::sqp::{Climb, Found, Place, Problem, Seen, Settings};
use axletree_simulation::channels::Channel;
use axletree_simulation::driver::hands::HandLimits;
use axletree_simulation::driver::lateral::LateralCar;
use axletree_simulation::error::{ManeuverError, within};
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::outcome::{Ending, Outcome};
use axletree_simulation::trace::{Recorder, Trace};
use axletree_simulation::{FIXED_STEP, channels as ch};

const NAME: &str = "corner_exit";

/// Scales: throttle's station [m], steering coefficients [rad].
const SCALES: [f64; 2] = [3.0, 0.3];
/// Objective: metric seconds are turned into meters at about this speed [m/s].
const PACE: f64 = 15.0;
/// Worth of a meter of track against a meter of lead [-].
const WORTH: f64 = 60.0;
/// Weight on the squares of the steering's second differences [m per squared scale].
const SMOOTH: f64 = 2e-3;
/// Gain below which a step is not worth taking [m].
const LITTLE: f64 = 2e-3;
/// Meters of track that a sideslip short of its guard by a share of itself counts for.
const GUARD_WORTH: f64 = 1.0;
/// Track that may be missing at the end [m].
const SLACK: f64 = 5e-3;
/// Slip of a driven wheel from which on it spins [-].
const SPINS: f64 = 0.2;

/// Where the throttle opens at first, before the end of the way [m].
const LATE: f64 = 2.0;

/// Settings of the corner exit. Common practice, no standard.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct CornerExit {
    /// Radius of the corner [m].
    pub radius: f64,
    /// Steady lateral acceleration at the start, positive to the left [m/s^2].
    pub lateral_acceleration: f64,
    /// How far the corner still turns from the start [rad].
    pub turn: f64,
    /// Length of the straight behind it over which time and speed are taken [m].
    pub straight: f64,
    /// How far the car's center of mass may be from the middle of the track [m].
    pub half_width: f64,
    /// Largest sideslip angle [rad].
    pub sideslip_guard: f64,
    /// Distance over which the throttle goes from steady to wide open [m].
    pub opening: f64,
    /// Gear, counted from 1; none: the lowest in which the engine turns at no more than three quarters
    /// of its highest speed.
    pub gear: Option<usize>,
    /// What the hands can do.
    pub hands: HandLimits,
    /// Number of coefficients of the steering.
    pub coefficients: usize,
    /// Friction of the surface relative to the tires' reference [-].
    pub friction: f64,
    /// Longest step of the integration [s].
    pub step: f64,
}

impl Default for CornerExit {
    fn default() -> Self {
        CornerExit {
            // A corner of a coned course in second gear, a quarter turn, and the length of a gap behind
            // it; common practice, no source.
            radius: 25.0,
            lateral_acceleration: 7.5,
            turn: 75f64.to_radians(),
            straight: 40.0,
            half_width: 1.5,
            sideslip_guard: 12f64.to_radians(),
            // A fifth of a second at the speed of the corner.
            opening: 3.0,
            gear: Some(2),
            hands: HandLimits::default(),
            coefficients: 12,
            friction: 1.0,
            step: FIXED_STEP,
        }
    }
}

/// The fastest way out that was found.
#[derive(Clone, Debug)]
pub struct FastestExit {
    /// What was decided.
    pub design: Design,
    /// The drive.
    pub exit: Exit,
    /// The drive recorded.
    pub trace: Trace,
    /// The search's end.
    pub found: Found<Option<Trail>>,
}

/// What the measures need.
static CHANNELS: &[&Channel] = &[
    &ch::SPEED,
    &ch::STEERING_WHEEL_ANGLE,
    &ch::RIM_SPEED_REAR_LEFT,
    &ch::RIM_SPEED_REAR_RIGHT,
    &ch::LONGITUDINAL_ACCELERATION,
    &ch::SLIP_X_REAR_LEFT,
    &ch::SLIP_X_REAR_RIGHT,
];

fn design(p: &DVector<f64>) -> Design {
    Design {
        throttle: p[0] * SCALES[0],
        steering: p.iter().skip(1).map(|x| x * SCALES[1]).collect(),
    }
}

/// The corner with its constraints.
struct Task<'c, 'a> {
    corner: &'c Corner<'a>,
    interrupt: Interrupt<'c>,
}

impl Task<'_, '_> {
    /// What a drive shows; none where it does not get through.
    fn seen<T>(&self, design: &Design, exit: &Exit, trail: T) -> Result<Option<Seen<T>>, Outcome> {
        let s = self.corner.settings;
        match exit.ending.outcome {
            Outcome::Interrupted => Err(Outcome::Interrupted),
            Outcome::Completed => {
                let mut g: Vec<f64> = exit
                    .inward
                    .iter()
                    .flat_map(|d| [s.half_width - d, s.half_width + d])
                    .collect();
                g.push(GUARD_WORTH * elementary::ln(s.sideslip_guard / exit.sideslip));
                // The throttle opens between the start and the end of the way.
                g.push(0.2 * design.throttle);
                g.push(0.2 * (self.corner.way.length() - design.throttle));
                Ok(Some(Seen {
                    objective: -PACE * exit.time,
                    constraints: DVector::from_vec(g),
                    trail,
                }))
            }
            _ => Ok(None),
        }
    }
}

impl Problem for Task<'_, '_> {
    type Trail = Option<Trail>;
    type Error = Outcome;

    fn look(&self, p: &DVector<f64>) -> Result<Option<Seen<Self::Trail>>, Outcome> {
        let design = design(p);
        let (exit, trail, _) = self.corner.exit(&design, Recorder::of(&[]), self.interrupt);
        self.seen(&design, &exit, trail)
    }

    fn look_around(
        &self,
        place: &Place<Self::Trail>,
        neighbors: &[DVector<f64>],
    ) -> Result<Vec<Option<Seen>>, Outcome> {
        let (base, trail) = (design(&place.p), place.seen.trail.as_ref());
        let designs: Vec<Design> = neighbors.iter().map(design).collect();
        let exits = self
            .corner
            .exits_near(&base, trail, &designs, self.interrupt);
        let pairs = designs.iter().zip(&exits);
        pairs.map(|(d, e)| self.seen(d, e, ())).collect()
    }
}

impl CornerExit {
    fn way(&self) -> WayOut {
        WayOut {
            radius: self.radius,
            turn: self.turn,
            straight: self.straight,
            side: self.lateral_acceleration.signum(),
        }
    }

    /// Steering that stays on the middle of a slow car: steady on the arc, straight behind it.
    fn first_guess(&self, corner: &Corner<'_>) -> Result<DVector<f64>, Outcome> {
        let speed = corner.trim.condition.speed;
        let failed = Outcome::NotConverged {
            passes: 0,
            residual: f64::NAN,
        };
        let straight = begin::straight(corner.model, speed, self.friction)?;
        let car = LateralCar::of(&linearize(corner.model, &straight)).ok_or(failed)?;
        let [_, yaw_rate] = car.steady().ok_or(failed)?;
        let gain = speed / yaw_rate;
        let way = &corner.way;
        let n = self.coefficients;
        let spacing = UniformSpline::spacing_over(n, way.length());
        let lead = 2.0 * self.hands.lag * speed;
        let mut p = DVector::zeros(n + 1);
        // The throttle opens at the very end: before it could spin the car on a slippery surface.
        p[0] = (way.length() - LATE) / SCALES[0];
        for i in 0..n {
            let station = spacing * (i as f64 - 1.0) + lead;
            // The hands begin to open over the last meters of the arc.
            let share = ((station - way.arc()) / 6.0 + 0.5).clamp(0.0, 1.0);
            let steady = corner.trim.inputs.steering_wheel * way.side;
            let linear = gain / self.radius;
            p[1 + i] = -share * steady.max(linear) / SCALES[1];
        }
        Ok(p)
    }

    /// The corner's start for a car.
    pub fn corner<'a>(&'a self, model: &'a Model) -> Result<Corner<'a>, Outcome> {
        let speed = (self.lateral_acceleration.abs() * self.radius).sqrt();
        let trim = begin::corner(model, speed, self.lateral_acceleration, self.friction)?;
        let sideslip = trim.observe(model).sideslip;
        Ok(Corner {
            model,
            way: self.way(),
            trim: begin::in_gear(model, &trim, self.gear)?,
            sideslip,
            settings: self,
        })
    }

    /// Finds the fastest way out; the recorder sees it.
    pub fn fastest(
        &self,
        model: &Model,
        recorder: Recorder,
        interrupt: Interrupt<'_>,
    ) -> Result<FastestExit, Outcome> {
        let corner = self.corner(model)?;
        let settings = Settings {
            worth: WORTH,
            smooth: smoothing(self.coefficients + 1, 1, SMOOTH),
            difference: 1e-3,
            little: LITTLE,
            most_steps: 60,
            // The throttle stays shut until the track is kept.
            held: vec![0],
        };
        let task = Task {
            corner: &corner,
            interrupt: interrupt.quiet(),
        };
        let mut climb = Climb::new(&task, &settings, interrupt.quiet());
        let inside = climb.inside(&self.first_guess(&corner)?, 0.2)?;
        if inside.least() < 0.0 {
            return Err(Outcome::LeftPath {
                deviation: self.half_width - inside.least(),
            });
        }
        let found = climb.highest(inside)?;
        let design = design(&found.place.p);
        let (exit, _, trace) = corner.exit(&design, recorder, interrupt.quiet());
        Ok(FastestExit {
            design,
            exit,
            trace,
            found,
        })
    }

    fn perform(
        &self,
        model: &Model,
        recorder: Recorder,
        interrupt: Interrupt<'_>,
    ) -> Result<Run, ManeuverError> {
        self.check()?;
        let fastest = match self.fastest(model, recorder, interrupt) {
            Ok(fastest) => fastest,
            Err(outcome) => return Ok(begin::not_begun(NAME, outcome, self.metrics())),
        };
        let FastestExit {
            design,
            exit,
            trace,
            found,
        } = fastest;
        let mut ending: Ending = exit.ending;
        if !found.settled || found.place.least() < -SLACK {
            ending.outcome = Outcome::NotConverged {
                passes: found.steps,
                residual: found.place.least(),
            };
        }
        let mut measures = Measures::empty(NAME, ending, self.metrics());
        let way = self.way();
        let column = |channel: &Channel| trace.get(channel.name).unwrap_or(&[]);
        let pair = [&ch::RIM_SPEED_REAR_LEFT, &ch::RIM_SPEED_REAR_RIGHT];
        let [inner, outer] = if way.side > 0.0 {
            pair
        } else {
            [pair[1], pair[0]]
        };
        let speed = column(&ch::SPEED);
        let slip = |rim: &Channel| -> Vec<f64> {
            let rims = column(rim).iter().zip(speed);
            rims.map(|(r, v)| r / v - 1.0).collect()
        };
        let [inner, outer] = [slip(inner), slip(outer)];
        let largest = |x: &[f64]| x.iter().copied().fold(f64::NAN, f64::max);
        measures.set(&m::EXIT_TIME, exit.time);
        measures.set(&m::EXIT_SPEED, exit.speed);
        measures.set(&m::THROTTLE_STATION, design.throttle - way.arc());
        measures.set(&m::INNER_WHEEL_SLIP, largest(&inner));
        measures.set(&m::OUTER_WHEEL_SLIP, largest(&outer));
        let time = &trace.time;
        let spinning: f64 = (1..time.len())
            .filter(|&i| inner[i].max(outer[i]) > SPINS)
            .map(|i| time[i] - time[i - 1])
            .fold(0.0, |sum, more| sum + more);
        measures.set(&m::WHEEL_SPIN_TIME, spinning);
        measures.set(&m::SIDESLIP_LARGEST, exit.sideslip);
        let outward = exit.inward.iter().map(|d| -d).fold(f64::NAN, f64::max);
        measures.set(&m::TRACK_USED, outward);
        measures.set(
            &m::ACCELERATION_LARGEST,
            largest(column(&ch::LONGITUDINAL_ACCELERATION)),
        );
        Ok(Run { measures, trace })
    }
}

impl Maneuver for CornerExit {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        vec![
            &m::EXIT_TIME,
            &m::EXIT_SPEED,
            &m::THROTTLE_STATION,
            &m::INNER_WHEEL_SLIP,
            &m::OUTER_WHEEL_SLIP,
            &m::WHEEL_SPIN_TIME,
            &m::SIDESLIP_LARGEST,
            &m::TRACK_USED,
            &m::ACCELERATION_LARGEST,
        ]
    }

    fn check(&self) -> Result<(), ManeuverError> {
        within(NAME, "radius", self.radius, (5.0, 500.0), "m")?;
        let level = self.lateral_acceleration.abs();
        within(
            NAME,
            "lateral_acceleration magnitude",
            level,
            (0.5, 30.0),
            "m/s^2",
        )?;
        within(NAME, "turn", self.turn, (0.1, 3.0), "rad")?;
        within(NAME, "straight", self.straight, (5.0, 500.0), "m")?;
        within(NAME, "half_width", self.half_width, (0.3, 10.0), "m")?;
        within(
            NAME,
            "sideslip_guard",
            self.sideslip_guard,
            (0.02, 0.8),
            "rad",
        )?;
        within(NAME, "opening", self.opening, (0.2, 100.0), "m")?;
        within(NAME, "hands.lag", self.hands.lag, (0.005, 2.0), "s")?;
        within(NAME, "hands.rate", self.hands.rate, (0.1, 100.0), "rad/s")?;
        let coefficients = self.coefficients as f64;
        within(NAME, "coefficients", coefficients, (6.0, 40.0), "-")?;
        within(NAME, "friction", self.friction, (0.02, 5.0), "-")?;
        within(NAME, "step", self.step, (1e-4, 0.02), "s")
    }

    fn measure(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Measures, ManeuverError> {
        let run = self.perform(model, Recorder::of(CHANNELS), interrupt)?;
        Ok(run.measures)
    }

    fn run(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Run, ManeuverError> {
        self.perform(model, Recorder::everything(), interrupt)
    }
}
