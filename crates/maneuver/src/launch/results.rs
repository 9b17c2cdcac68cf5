//! Metrics of the launch.

use axletree_simulation::channels as ch;
use axletree_simulation::channels::Channel;
use axletree_simulation::metrics::{History, list as m};

use super::hop::{Hop, hop};
use crate::drive_maneuver::Recorded;
use crate::measured_by::MeasuredBy;

/// Time from which the driveline's shaking is measured: the clutch has taken up the load `[s]`.
const HOP_START: f64 = 0.3;
/// Speed from which slip is measured: a car that hardly moves has any `[m/s]`.
const SLIP_START_SPEED: f64 = 3.0;

/// Channels that the metrics need.
pub(super) const CHANNELS: &[&Channel] = &[
    &ch::X,
    &ch::YAW_ANGLE,
    &ch::SPEED,
    &ch::LONGITUDINAL_ACCELERATION,
    &ch::RIM_SPEED_REAR_LEFT,
    &ch::RIM_SPEED_REAR_RIGHT,
    &ch::SHAFT_TORQUE_LEFT,
    &ch::SHAFT_TORQUE_RIGHT,
    &ch::LOAD_REAR_LEFT,
    &ch::LOAD_REAR_RIGHT,
];

/// Findings of a launch beside its records.
pub(crate) struct LaunchFindings {
    /// Distance of the launch `[m]`.
    pub distance: f64,
    /// Whether the car covered it.
    pub completed: bool,
    /// Time at which the first gear ended `[s]`.
    pub first_gear: f64,
}

/// The metrics of a launch.
pub(super) const METRICS: &[MeasuredBy<Recorded<LaunchFindings>>] = &[
    MeasuredBy(&m::DISTANCE_TIME, Recorded::distance_time),
    MeasuredBy(&m::SPEED_AT_DISTANCE, Recorded::speed_at_distance),
    MeasuredBy(&m::ACCELERATION_MEAN, |r| {
        let time = r.distance_time();
        2.0 * r.found.distance / (time * time)
    }),
    MeasuredBy(&m::ACCELERATION_LARGEST, |r| {
        let pull = r.column(&ch::LONGITUDINAL_ACCELERATION);
        pull.iter().copied().fold(f64::NAN, f64::max)
    }),
    MeasuredBy(&m::WHEEL_SLIP_LARGEST, Recorded::largest_slip),
    MeasuredBy(&m::HEADING_LARGEST, |r| r.largest_magnitude(&ch::YAW_ANGLE)),
    MeasuredBy(&m::HOP_INTENSITY, |r| r.torque_hop().intensity),
    MeasuredBy(&m::HOP_FREQUENCY, |r| r.torque_hop().frequency),
    MeasuredBy(&m::HOP_LOAD, |r| {
        r.hop_of_sum([&ch::LOAD_REAR_LEFT, &ch::LOAD_REAR_RIGHT])
            .intensity
    }),
];

impl Recorded<LaunchFindings> {
    /// Time over the distance `[s]`; not a number for a car that did not cover it.
    fn distance_time(&self) -> f64 {
        let time = &self.trace.time;
        if !self.found.completed || time.len() < 4 {
            return f64::NAN;
        }
        History::new(time, self.column(&ch::X))
            .first_reach(self.found.distance, 1.0, 0.0)
            .unwrap_or(f64::NAN)
    }

    /// Speed where the distance is covered `[m/s]`.
    fn speed_at_distance(&self) -> f64 {
        let time = self.distance_time();
        if time.is_nan() {
            return f64::NAN;
        }
        History::new(&self.trace.time, self.column(&ch::SPEED)).at(time)
    }

    /// Largest slip of a driven wheel `[-]`.
    fn largest_slip(&self) -> f64 {
        self.column(&ch::RIM_SPEED_REAR_LEFT)
            .iter()
            .zip(self.column(&ch::RIM_SPEED_REAR_RIGHT))
            .zip(self.column(&ch::SPEED))
            .filter(|(_, v)| **v > SLIP_START_SPEED)
            .map(|((a, b), v)| a.max(*b) / v - 1.0)
            .fold(f64::NAN, f64::max)
    }

    /// Shaking of the half shafts' torque.
    fn torque_hop(&self) -> Hop {
        self.hop_of_sum([&ch::SHAFT_TORQUE_LEFT, &ch::SHAFT_TORQUE_RIGHT])
    }

    /// Shaking of the sum of two channels in the first gear.
    fn hop_of_sum(&self, [a, b]: [&Channel; 2]) -> Hop {
        let pairs = self.column(a).iter().zip(self.column(b));
        let sum: Vec<f64> = pairs.map(|(a, b)| a + b).collect();
        hop(&self.trace.time, &sum, HOP_START, self.found.first_gear)
    }
}
