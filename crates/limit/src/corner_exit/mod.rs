//! Corner exit under power: out of a steady corner in the least time.
//!
//! - `settings`: settings and their ranges.
//! - `track`: the center line of the track.
//! - `trial`: the corner for one car: objective and constraints.
//! - `search`: the fastest exit.

mod search;
mod settings;
mod track;
mod trial;

pub use settings::CornerExit;

use axletree_maneuver::{Maneuver, MeasuredBy, Run, measures, metrics};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels::{self as ch, Channel};
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::{Gap, ManeuverError, Outcome, Recorder};
use axletree_vehicle::Model;

use search::FastestExit;
use settings::NAME;

/// Track that may be missing at the end `[m]`.
const TRACK_TOLERANCE: f64 = 5e-3;
/// Slip of a driven wheel from which it counts as spinning `[-]`.
const SPINNING_SLIP: f64 = 0.2;

/// Channels that the metrics need.
static CHANNELS: &[&Channel] = &[
    &ch::SPEED,
    &ch::STEERING_WHEEL_ANGLE,
    &ch::RIM_SPEED_REAR_LEFT,
    &ch::RIM_SPEED_REAR_RIGHT,
    &ch::LONGITUDINAL_ACCELERATION,
    &ch::SLIP_X_REAR_LEFT,
    &ch::SLIP_X_REAR_RIGHT,
];

/// Metrics and their values.
static METRICS: [MeasuredBy<FastestExit>; 9] = [
    MeasuredBy(&m::EXIT_TIME, |f| f.drive.time),
    MeasuredBy(&m::EXIT_SPEED, |f| f.drive.speed),
    MeasuredBy(&m::THROTTLE_STATION, |f| f.design.throttle - f.track.arc()),
    MeasuredBy(&m::INNER_WHEEL_SLIP, |f| largest(&rim_slips(f)[0])),
    MeasuredBy(&m::OUTER_WHEEL_SLIP, |f| largest(&rim_slips(f)[1])),
    MeasuredBy(&m::WHEEL_SPIN_TIME, spinning_time),
    MeasuredBy(&m::SIDESLIP_LARGEST, |f| f.drive.sideslip),
    MeasuredBy(&m::TRACK_USED, |f| {
        f.drive.inward.iter().map(|d| -d).fold(f64::NAN, f64::max)
    }),
    MeasuredBy(&m::ACCELERATION_LARGEST, |f| {
        largest(column(f, &ch::LONGITUDINAL_ACCELERATION))
    }),
];

/// Recorded values of a channel.
fn column<'f>(fastest: &'f FastestExit, channel: &Channel) -> &'f [f64] {
    fastest.trace.get(channel.name()).unwrap_or(&[])
}

fn largest(values: &[f64]) -> f64 {
    values.iter().copied().fold(f64::NAN, f64::max)
}

/// Slips of the inner and the outer rear wheel, rim speed over the speed of the car less one `[-]`.
fn rim_slips(fastest: &FastestExit) -> [Vec<f64>; 2] {
    let [left, right] = [&ch::RIM_SPEED_REAR_LEFT, &ch::RIM_SPEED_REAR_RIGHT];
    let sides = if fastest.track.side > 0.0 {
        [left, right]
    } else {
        [right, left]
    };
    sides.map(|rim| {
        let rims = column(fastest, rim).iter();
        let pairs = rims.zip(column(fastest, &ch::SPEED));
        pairs.map(|(r, v)| r / v - 1.0).collect()
    })
}

/// Time in which a rear wheel spins `[s]`.
fn spinning_time(fastest: &FastestExit) -> f64 {
    let [inner, outer] = rim_slips(fastest);
    let time = &fastest.trace.time;
    (1..time.len())
        .filter(|&i| inner[i].max(outer[i]) > SPINNING_SLIP)
        .map(|i| time[i] - time[i - 1])
        .fold(0.0, |sum, more| sum + more)
}

impl CornerExit {
    /// Searches and measures the fastest exit.
    fn perform(&self, model: &Model, recorder: Recorder, interrupt: Interrupt<'_>) -> Run {
        let fastest = match self.fastest(model, recorder, interrupt) {
            Ok(fastest) => fastest,
            Err(outcome) => return Run::could_not_start(NAME, outcome, self.metrics()),
        };
        let mut ending = fastest.drive.ending;
        if !fastest.settled || fastest.least < -TRACK_TOLERANCE {
            ending.outcome = Outcome::NotConverged {
                passes: fastest.steps,
                gap: Gap::Clearance(fastest.least),
            };
        }
        Run {
            measures: measures(&METRICS, NAME, ending, Some(&fastest)),
            trace: fastest.trace,
        }
    }
}

impl Maneuver for CornerExit {
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
