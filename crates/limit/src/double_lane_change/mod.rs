//! Double lane change after ISO 3888-1 and -2: the highest entry speed, the steering optimized for
//! each car.
//!
//! - `settings`: settings and their ranges.
//! - `layout`: lanes and cones.
//! - `trial`: the course for one car: objective and constraints.
//! - `first_guess`: the design that a search starts from.
//! - `search`: the highest speed.

mod first_guess;
mod layout;
mod search;
mod settings;
mod trial;

pub use layout::{ConeLane, LaneChangeCourse};
pub use settings::DoubleLaneChange;

use axletree_maneuver::{Maneuver, Run};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::ManeuverError;
use axletree_simulation::Outcome;
use axletree_simulation::Recorder;
use axletree_simulation::channels as ch;
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_vehicle::Model;

use settings::NAME;

/// Channels that the metrics need.
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

/// Channels of the four wheel loads.
static LOADS: [&ch::Channel; 4] = [
    &ch::LOAD_FRONT_LEFT,
    &ch::LOAD_FRONT_RIGHT,
    &ch::LOAD_REAR_LEFT,
    &ch::LOAD_REAR_RIGHT,
];

impl DoubleLaneChange {
    /// Searches and measures the fastest drive.
    fn perform(&self, model: &Model, recorder: Recorder, interrupt: Interrupt<'_>) -> Run {
        let (found, trace) = match self.fastest(model, recorder, interrupt) {
            Ok(fastest) => fastest,
            Err(outcome) => return Run::could_not_start(NAME, outcome, self.metrics()),
        };
        let drive = &found.drive;
        let mut ending = drive.ending;
        if !found.settled {
            ending.outcome = Outcome::NotConverged {
                passes: found.steps,
                residual: drive.least_clearance(),
            };
        }
        let column = |channel: &ch::Channel| trace.get(channel.name()).unwrap_or(&[]);
        let largest =
            |channel: &ch::Channel| column(channel).iter().fold(0.0, |a: f64, v| a.max(v.abs()));
        let exit_speed = column(&ch::SPEED).last().copied().unwrap_or(f64::NAN);
        let loads = LOADS.into_iter().flat_map(|c| column(c).iter().copied());
        let mut measures = Measures::empty(NAME, ending, self.metrics());
        for (metric, value) in [
            (&m::ENTRY_SPEED, drive.design.speed),
            (&m::EXIT_SPEED, exit_speed),
            (&m::CONE_CLEARANCE, drive.least_clearance()),
            (&m::SPEED_PER_CLEARANCE, found.price),
            (
                &m::STEERING_WHEEL_ANGLE_LARGEST,
                largest(&ch::STEERING_WHEEL_ANGLE),
            ),
            (&m::STEERING_RATE_LARGEST, largest(&ch::STEERING_WHEEL_RATE)),
            (
                &m::LATERAL_ACCELERATION_LARGEST,
                largest(&ch::LATERAL_ACCELERATION),
            ),
            (&m::SIDESLIP_LARGEST, drive.sideslip),
            (&m::ROLL_ANGLE_LARGEST, largest(&ch::ROLL_ANGLE)),
            (&m::WHEEL_LOAD_LEAST, loads.fold(f64::NAN, f64::min)),
        ] {
            measures.set(metric, value);
        }
        Run { measures, trace }
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
        self.faults()
    }

    fn measure_all(&self, models: &[&Model], interrupt: Interrupt<'_>) -> Vec<Measures> {
        let run = |model: &&Model| self.perform(model, Recorder::of(CHANNELS), interrupt);
        models.iter().map(|model| run(model).measures).collect()
    }

    fn record(&self, model: &Model, interrupt: Interrupt<'_>) -> Run {
        self.perform(model, Recorder::everything(), interrupt)
    }
}
