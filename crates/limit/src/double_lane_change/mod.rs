//! Double lane change after ISO 3888-1 and -2: the highest entry speed, the steering found for each car.
//!
//! Entry speed, place of entry and the steering along the course are unknowns of one optimization
//! whose constraints are the clearances of the cones. No driver's gains enter, so that cars are
//! compared and not the stability of a driver with them.
//!
//! - [`course`]: lanes and cones.
//! - [`attempt`]: one drive with given steering.
//! - [`search`]: the fastest way through.

pub mod attempt;
pub mod course;
pub mod search;

use axletree_vehicle::Model;
use axletree_vehicle::linearize;
use serde::{Deserialize, Serialize};

use attempt::{Design, Ground};
pub use course::Course;
use search::{Found, Kept, search};

use axletree_maneuver::initial_state as begin;
use axletree_maneuver::maneuver::{Maneuver, Run};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::driver::hands::HandLimits;
use axletree_simulation::driver::lateral::LateralCar;
use axletree_simulation::error::{ManeuverError, within};
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::outcome::{Ending, Outcome};
use axletree_simulation::trace::{Recorder, Trace};
use axletree_simulation::{FIXED_STEP, channels as ch};

const NAME: &str = "double_lane_change";

/// Speed for which the gear is chosen at first [m/s]: about what cars reach.
const USUAL_SPEED: f64 = 20.0;

/// How many easier and easier speeds are tried.
const EASIER: usize = 3;

/// Settings of the double lane change.
///
/// The course's measures and the gear are the standard's (ISO 3888-2 and -1, from memory; see
/// [`course`] for what is not confirmed). The driver is our own: he finds the steering that the car
/// needs, within what hands can do.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct DoubleLaneChange {
    /// Which course.
    pub course: Course,
    /// Gear, counted from 1; none: the highest in which the engine turns at `least_engine_speed`.
    pub gear: Option<usize>,
    /// Engine speed for the choice of the gear [rad/s].
    pub least_engine_speed: f64,
    /// What the hands can do.
    pub hands: HandLimits,
    /// Number of coefficients of the steering.
    pub coefficients: usize,
    /// Clearance to be left at every cone [m].
    pub clearance_reserve: f64,
    /// Largest sideslip angle that the search allows [rad].
    pub sideslip_guard: f64,
    /// Speed that the search starts from [m/s].
    pub easy_speed: f64,
    /// Friction of the surface relative to the tires' reference [-].
    pub friction: f64,
    /// Longest step of the integration [s].
    pub step: f64,
}

impl Default for DoubleLaneChange {
    fn default() -> Self {
        DoubleLaneChange {
            course: Course::ObstacleAvoidance,
            gear: None,
            // 2000 rpm (from memory).
            least_engine_speed: 2000.0 * std::f64::consts::PI / 30.0,
            hands: HandLimits {
                // As in the slalom: fast hands (common practice, no source).
                rate: 900f64.to_radians(),
                ..HandLimits::default()
            },
            // A knot every five meters, a quarter of a second at the speeds of the obstacle avoidance.
            coefficients: 16,
            // The standard asks that no cone is moved.
            clearance_reserve: 0.0,
            // Keeps the search out of spins.
            sideslip_guard: 15f64.to_radians(),
            // Walking through: any sound car gets through at 36 km/h.
            easy_speed: 10.0,
            friction: 1.0,
            step: FIXED_STEP,
        }
    }
}

/// The fastest way through that was found.
#[derive(Clone, Debug)]
pub struct FastestWay {
    /// What the search found.
    pub found: Found,
    /// The drive recorded.
    pub trace: Trace,
}

/// What the measures need.
static CHANNELS: &[&ch::Channel] = &[
    &ch::STEERING_WHEEL_ANGLE,
    &ch::STEERING_WHEEL_RATE,
    &ch::LATERAL_ACCELERATION,
    &ch::ROLL_ANGLE,
    &ch::SIDESLIP,
    &ch::SPEED,
    &ch::LOAD_FRONT_LEFT,
    &ch::LOAD_FRONT_RIGHT,
    &ch::LOAD_REAR_LEFT,
    &ch::LOAD_REAR_RIGHT,
];

impl DoubleLaneChange {
    /// Where the search starts: along a smooth way through the lanes, from the car's own steady gain.
    fn guess(&self, model: &Model, ground: &Ground<'_>, speed: f64) -> Result<Design, Outcome> {
        let straight = begin::straight(model, speed, self.friction)?;
        let failed = Outcome::NotConverged {
            passes: 0,
            residual: f64::NAN,
        };
        let car = LateralCar::of(&linearize(model, &straight)).ok_or(failed)?;
        let [_, yaw_rate] = car.steady().ok_or(failed)?;
        // Hands and tires together lag by about twice the muscles' time.
        Ok(ground.first_guess(speed, speed / yaw_rate, 2.0 * self.hands.lag * speed))
    }

    /// The gear for an entry speed [m/s], counted from 1.
    fn gear_at(&self, model: &Model, speed: f64) -> Result<usize, Outcome> {
        if let Some(gear) = self.gear {
            return Ok(gear);
        }
        let straight = begin::straight(model, speed, self.friction)?;
        Ok(begin::highest_gear(
            model,
            &straight,
            self.least_engine_speed,
        ))
    }

    /// Finds the fastest way through in a gear, from an easy speed, or from easier ones.
    fn fastest_in(
        &self,
        model: &Model,
        ground: &Ground<'_>,
        interrupt: Interrupt<'_>,
    ) -> Result<Found, Outcome> {
        let kept = Kept {
            reserve: self.clearance_reserve,
            sideslip: self.sideslip_guard,
        };
        let mut speed = self.easy_speed * self.friction.min(1.0).sqrt();
        let mut first: Option<Outcome> = None;
        for _ in 0..EASIER {
            let found = self
                .guess(model, ground, speed)
                .and_then(|guess| search(ground, &guess, kept, interrupt));
            match found {
                // Too slow for the gear: what was met before is the reason.
                Err(Outcome::WrongGear { .. }) if first.is_some() => break,
                Err(outcome) if outcome != Outcome::Interrupted => {
                    first = first.or(Some(outcome));
                    speed *= 0.7;
                }
                found => return found,
            }
        }
        Err(first.unwrap_or(Outcome::Interrupted))
    }

    /// Finds the fastest way through; the recorder sees it.
    ///
    /// The gear suits the speed found. Where the speed of the higher gear asks for the lower one and that
    /// of the lower for the higher, it is the lower one.
    pub fn fastest(
        &self,
        model: &Model,
        recorder: Recorder,
        interrupt: Interrupt<'_>,
    ) -> Result<FastestWay, Outcome> {
        let mut gear = self.gear_at(model, USUAL_SPEED * self.friction.min(1.0).sqrt())?;
        let mut ground = Ground::new(model, self, gear);
        let mut found = self.fastest_in(model, &ground, interrupt)?;
        for _ in 0..model.gears.len() {
            let suits = self.gear_at(model, found.attempt.design.speed)?;
            if suits == gear {
                break;
            }
            let other = Ground::new(model, self, suits);
            let again = self.fastest_in(model, &other, interrupt)?;
            let stays = self.gear_at(model, again.attempt.design.speed)? == suits;
            if !stays && gear < suits {
                break;
            }
            (gear, ground, found) = (suits, other, again);
            if !stays && self.gear_at(model, found.attempt.design.speed)? > gear {
                break;
            }
        }
        let (.., trace) = ground.attempt(&found.attempt.design, recorder, interrupt)?;
        Ok(FastestWay { found, trace })
    }

    fn perform(
        &self,
        model: &Model,
        recorder: Recorder,
        interrupt: Interrupt<'_>,
    ) -> Result<Run, ManeuverError> {
        self.check()?;
        let way = match self.fastest(model, recorder, interrupt) {
            Ok(way) => way,
            Err(outcome) => return Ok(begin::not_begun(NAME, outcome, self.metrics())),
        };
        let found = &way.found;
        let mut ending: Ending = found.attempt.ending;
        if !found.settled {
            ending.outcome = Outcome::NotConverged {
                passes: found.steps,
                residual: found.attempt.least(),
            };
        }
        let mut measures = Measures::empty(NAME, ending, self.metrics());
        let trace = &way.trace;
        let column = |channel: &ch::Channel| trace.get(channel.name).unwrap_or(&[]);
        let largest =
            |channel: &ch::Channel| column(channel).iter().fold(0.0, |a: f64, v| a.max(v.abs()));
        measures.set(&m::ENTRY_SPEED, found.attempt.design.speed);
        measures.set(
            &m::EXIT_SPEED,
            column(&ch::SPEED).last().copied().unwrap_or(f64::NAN),
        );
        measures.set(&m::CONE_CLEARANCE, found.attempt.least());
        measures.set(&m::SPEED_PER_CLEARANCE, found.price);
        measures.set(
            &m::STEERING_WHEEL_ANGLE_LARGEST,
            largest(&ch::STEERING_WHEEL_ANGLE),
        );
        measures.set(&m::STEERING_RATE_LARGEST, largest(&ch::STEERING_WHEEL_RATE));
        measures.set(
            &m::LATERAL_ACCELERATION_LARGEST,
            largest(&ch::LATERAL_ACCELERATION),
        );
        measures.set(&m::SIDESLIP_LARGEST, found.attempt.sideslip);
        measures.set(&m::ROLL_ANGLE_LARGEST, largest(&ch::ROLL_ANGLE));
        let least = [
            &ch::LOAD_FRONT_LEFT,
            &ch::LOAD_FRONT_RIGHT,
            &ch::LOAD_REAR_LEFT,
            &ch::LOAD_REAR_RIGHT,
        ]
        .into_iter()
        .flat_map(|c| column(c).iter().copied())
        .fold(f64::NAN, f64::min);
        measures.set(&m::WHEEL_LOAD_LEAST, least);
        Ok(Run {
            measures,
            trace: way.trace,
        })
    }
}

impl Maneuver for DoubleLaneChange {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        vec![
            &m::ENTRY_SPEED,
            &m::EXIT_SPEED,
            &m::CONE_CLEARANCE,
            &m::SPEED_PER_CLEARANCE,
            &m::STEERING_WHEEL_ANGLE_LARGEST,
            &m::STEERING_RATE_LARGEST,
            &m::LATERAL_ACCELERATION_LARGEST,
            &m::SIDESLIP_LARGEST,
            &m::ROLL_ANGLE_LARGEST,
            &m::WHEEL_LOAD_LEAST,
        ]
    }

    fn check(&self) -> Result<(), ManeuverError> {
        within(
            NAME,
            "least_engine_speed",
            self.least_engine_speed,
            (10.0, 2000.0),
            "rad/s",
        )?;
        within(NAME, "hands.lag", self.hands.lag, (0.005, 2.0), "s")?;
        within(NAME, "hands.rate", self.hands.rate, (0.1, 100.0), "rad/s")?;
        within(
            NAME,
            "coefficients",
            self.coefficients as f64,
            (8.0, 40.0),
            "-",
        )?;
        within(
            NAME,
            "sideslip_guard",
            self.sideslip_guard,
            (0.02, 0.8),
            "rad",
        )?;
        within(
            NAME,
            "clearance_reserve",
            self.clearance_reserve,
            (0.0, 0.5),
            "m",
        )?;
        within(NAME, "easy_speed", self.easy_speed, (3.0, 40.0), "m/s")?;
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
