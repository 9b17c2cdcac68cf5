//! The drives along a path and their metrics.

use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels::{self as ch, Channel};
use axletree_simulation::drive::{Validity, join_states, split_states};
use axletree_simulation::driver::speed_of;
use axletree_simulation::metrics::list as m;
use axletree_simulation::{Ending, ManeuverError, Outcome, Recorder, Trace};
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, STATES};

use super::driver::PathDriver;
use super::settings::{FollowPath, NAME};
use crate::drive_maneuver::{DriveManeuver, Performed, Recorded};
use crate::measured_by::MeasuredBy;
use crate::side_by_side::{self, DrivenCar, Integration, PreparedCar};

/// States of car and driver.
const JOINT: usize = STATES + 3;

/// Channels that the metrics need.
const CHANNELS: &[&Channel] = &[
    &ch::X,
    &ch::Y,
    &ch::STEERING_WHEEL_RATE,
    &ch::LATERAL_ACCELERATION,
];

/// The metrics of path following, over the ending of the drive.
const METRICS: &[MeasuredBy<Recorded<Ending>>] = &[
    MeasuredBy(&m::PATH_DEVIATION_LARGEST, |r| {
        r.largest_magnitude(&ch::PATH_DEVIATION)
    }),
    MeasuredBy(&m::PATH_DEVIATION_RMS, Recorded::deviation_rms),
    MeasuredBy(&m::LATERAL_ACCELERATION_LARGEST, |r| {
        r.largest_magnitude(&ch::LATERAL_ACCELERATION)
    }),
    MeasuredBy(&m::STEERING_RATE_LARGEST, |r| {
        r.largest_magnitude(&ch::STEERING_WHEEL_RATE)
    }),
    MeasuredBy(&m::PATH_TIME, |r| {
        if r.found.outcome.is_completed() {
            r.found.time
        } else {
            f64::NAN
        }
    }),
];

impl Recorded<Ending> {
    /// Root mean square of the distance from the path over the samples `[m]`.
    fn deviation_rms(&self) -> f64 {
        let rms = |deviation: &[f64]| {
            let square: f64 = deviation.iter().map(|d| d * d).sum();
            (square / deviation.len().max(1) as f64).sqrt()
        };
        self.trace
            .get(ch::PATH_DEVIATION.name())
            .map_or(f64::NAN, rms)
    }
}

impl FollowPath {
    /// The car and its driver at the start of the path.
    fn start<'m>(
        &'m self,
        model: &'m Model,
        recorder: Recorder,
    ) -> Result<PreparedCar<'m, PathDriver<'m>, JOINT>, Outcome> {
        let straight = self.straight(model)?;
        let driver = self.driver(model, &straight)?;
        let first = self.path.at(0.0);
        let mut car = straight.state;
        car[POSITION] = first.position[0];
        car[POSITION + 1] = first.position[1];
        car[ATTITUDE] = first.heading;
        Ok(PreparedCar {
            model,
            road: None,
            controls: driver,
            start: join_states(&car, &[straight.inputs.steering_wheel, 0.0, 0.0]),
            breaks: vec![0.0, self.longest()],
            integration: Integration {
                step: self.step,
                integrator: self.integrator,
            },
            sample_every: 2,
            recorder,
        })
    }

    /// Longest duration of a run `[s]`: twice the time that a car needs at the set speed.
    fn longest(&self) -> f64 {
        2.0 * self.path.length() / self.speed + 1.0
    }

    /// Ending and records of a driven car.
    fn performed(&self, driven: DrivenCar<PathDriver<'_>, JOINT>) -> Performed<Ending> {
        let mut ending = driven.drive.ending;
        if ending.outcome.is_completed() && ending.time >= self.longest() {
            ending.outcome = Outcome::Stopped {
                speed: speed_of(split_states::<3, JOINT>(&driven.drive.state).0),
            };
        }
        let mut trace = driven.recorder.finish();
        self.add_deviation(&mut trace);
        Performed {
            ending,
            trace,
            found: Some(ending),
        }
    }

    /// Adds the distance from the path to a trace that has x and y.
    fn add_deviation(&self, trace: &mut Trace) {
        let (Some(x), Some(y)) = (trace.get(ch::X.name()), trace.get(ch::Y.name())) else {
            return;
        };
        let mut station = 0.0;
        let deviation = x
            .iter()
            .zip(y)
            .map(|(x, y)| {
                let (foot, left) = self.path.nearest([*x, *y], station);
                station = foot;
                left
            })
            .collect();
        trace.add(&ch::PATH_DEVIATION, deviation);
    }
}

impl DriveManeuver for FollowPath {
    type Found = Ending;
    const NAME: &'static str = NAME;
    const CHANNELS: &'static [&'static Channel] = CHANNELS;
    const METRICS: &'static [MeasuredBy<Recorded<Ending>>] = METRICS;

    fn check(&self) -> Result<(), ManeuverError> {
        self.checked()
    }

    fn perform(
        &self,
        models: &[&Model],
        recorder: &dyn Fn() -> Recorder,
        interrupt: Interrupt<'_>,
    ) -> Vec<Performed<Ending>> {
        side_by_side::perform(
            models,
            |model| Ok(((), self.start(model, recorder())?)),
            |(), driven| self.performed(driven),
            Performed::could_not_start,
            &Validity::default(),
            interrupt,
        )
    }
}
