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

use axletree_maneuver::{Maneuver, Run};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::ManeuverError;
use axletree_simulation::Outcome;
use axletree_simulation::channels::{self as ch, Channel};
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::{Recorder, Trace};
use axletree_vehicle::Model;

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

/// Slip of a wheel by its rim speed over the speed of the car `[-]`.
fn rim_slip(trace: &Trace, rim: &Channel) -> Vec<f64> {
    let [rims, speeds] = [rim, &ch::SPEED].map(|c| trace.get(c.name()).unwrap_or(&[]));
    rims.iter().zip(speeds).map(|(r, v)| r / v - 1.0).collect()
}

fn largest(values: &[f64]) -> f64 {
    values.iter().copied().fold(f64::NAN, f64::max)
}

impl CornerExit {
    /// Searches and measures the fastest exit.
    fn perform(&self, model: &Model, recorder: Recorder, interrupt: Interrupt<'_>) -> Run {
        let fastest = match self.fastest(model, recorder, interrupt) {
            Ok(fastest) => fastest,
            Err(outcome) => return Run::could_not_start(NAME, outcome, self.metrics()),
        };
        let (drive, trace) = (&fastest.drive, fastest.trace);
        let mut ending = drive.ending;
        if !fastest.settled || fastest.least < -TRACK_TOLERANCE {
            ending.outcome = Outcome::NotConverged {
                passes: fastest.steps,
                residual: fastest.least,
            };
        }
        let track = self.track();
        let [left, right] = [&ch::RIM_SPEED_REAR_LEFT, &ch::RIM_SPEED_REAR_RIGHT];
        let sides = if track.side > 0.0 {
            [left, right]
        } else {
            [right, left]
        };
        let [inner, outer] = sides.map(|rim| rim_slip(&trace, rim));
        let time = &trace.time;
        let spinning: f64 = (1..time.len())
            .filter(|&i| inner[i].max(outer[i]) > SPINNING_SLIP)
            .map(|i| time[i] - time[i - 1])
            .fold(0.0, |sum, more| sum + more);
        let outward = drive.inward.iter().map(|d| -d).fold(f64::NAN, f64::max);
        let acceleration = trace.get(ch::LONGITUDINAL_ACCELERATION.name());
        let mut measures = Measures::empty(NAME, ending, self.metrics());
        for (metric, value) in [
            (&m::EXIT_TIME, drive.time),
            (&m::EXIT_SPEED, drive.speed),
            (&m::THROTTLE_STATION, fastest.design.throttle - track.arc()),
            (&m::INNER_WHEEL_SLIP, largest(&inner)),
            (&m::OUTER_WHEEL_SLIP, largest(&outer)),
            (&m::WHEEL_SPIN_TIME, spinning),
            (&m::SIDESLIP_LARGEST, drive.sideslip),
            (&m::TRACK_USED, outward),
            (
                &m::ACCELERATION_LARGEST,
                largest(acceleration.unwrap_or(&[])),
            ),
        ] {
            measures.set(metric, value);
        }
        Run { measures, trace }
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
