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

use axletree_maneuver::{Maneuver, MeasuredBy, Run, measures, metrics};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels as ch;
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::{Gap, ManeuverError, Outcome, Recorder};
use axletree_vehicle::Model;

use search::FastestLaneChange;
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

/// Metrics and their values.
static METRICS: [MeasuredBy<FastestLaneChange>; 10] = [
    MeasuredBy(&m::ENTRY_SPEED, |f| f.drive.design.speed),
    MeasuredBy(&m::EXIT_SPEED, |f| {
        column(f, &ch::SPEED).last().copied().unwrap_or(f64::NAN)
    }),
    MeasuredBy(&m::CONE_CLEARANCE, |f| f.drive.least_clearance()),
    MeasuredBy(&m::SPEED_PER_CLEARANCE, |f| f.price),
    MeasuredBy(&m::STEERING_WHEEL_ANGLE_LARGEST, |f| {
        largest(f, &ch::STEERING_WHEEL_ANGLE)
    }),
    MeasuredBy(&m::STEERING_RATE_LARGEST, |f| {
        largest(f, &ch::STEERING_WHEEL_RATE)
    }),
    MeasuredBy(&m::LATERAL_ACCELERATION_LARGEST, |f| {
        largest(f, &ch::LATERAL_ACCELERATION)
    }),
    MeasuredBy(&m::SIDESLIP_LARGEST, |f| f.drive.sideslip),
    MeasuredBy(&m::ROLL_ANGLE_LARGEST, |f| largest(f, &ch::ROLL_ANGLE)),
    MeasuredBy(&m::WHEEL_LOAD_LEAST, |f| {
        let loads = LOADS.into_iter().flat_map(|c| column(f, c));
        loads.copied().fold(f64::NAN, f64::min)
    }),
];

/// Recorded values of a channel.
fn column<'f>(fastest: &'f FastestLaneChange, channel: &ch::Channel) -> &'f [f64] {
    fastest.trace.get(channel.name()).unwrap_or(&[])
}

/// Largest magnitude of a channel.
fn largest(fastest: &FastestLaneChange, channel: &ch::Channel) -> f64 {
    let values = column(fastest, channel).iter();
    values.fold(0.0, |largest: f64, value| largest.max(value.abs()))
}

impl DoubleLaneChange {
    /// Searches and measures the fastest drive.
    fn perform(&self, model: &Model, recorder: Recorder, interrupt: Interrupt<'_>) -> Run {
        let fastest = match self.fastest(model, recorder, interrupt) {
            Ok(fastest) => fastest,
            Err(outcome) => return Run::could_not_start(NAME, outcome, self.metrics()),
        };
        let mut ending = fastest.drive.ending;
        if !fastest.settled {
            ending.outcome = Outcome::NotConverged {
                passes: fastest.steps,
                gap: Gap::Clearance(fastest.drive.least_clearance()),
            };
        }
        Run {
            measures: measures(&METRICS, NAME, ending, Some(&fastest)),
            trace: fastest.trace,
        }
    }
}

impl Maneuver for DoubleLaneChange {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        metrics(&METRICS)
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
