//! Metrics of a disturbed circle: how far the car departs from the circle that it was on.

use axletree_scalar::lone;
use axletree_simulation::channels as ch;
use axletree_simulation::channels::Channel;
use axletree_simulation::metrics::{History, list as m};
use axletree_simulation::road::RoadLine;

use super::steady_turn::{AFTER, BEFORE, EVALUATION, SteadyTurn};
use crate::drive_maneuver::Recorded;
use crate::measured_by::MeasuredBy;

/// Slip below which a wheel counts as locked: half of the car's speed is gone from its rim (slip
/// over rolling speed) `[-]`.
const LOCKED: f64 = -1.0;

/// Channels that the metrics need.
pub(super) const CHANNELS: &[&Channel] = &[
    &ch::STEERING_WHEEL_ANGLE,
    &ch::YAW_RATE,
    &ch::LATERAL_ACCELERATION,
    &ch::SIDESLIP,
    &ch::SPEED,
    &ch::X,
    &ch::Y,
    &ch::YAW_ANGLE,
    &ch::SLIP_X_FRONT_LEFT,
    &ch::SLIP_X_FRONT_RIGHT,
    &ch::SLIP_X_REAR_LEFT,
    &ch::SLIP_X_REAR_RIGHT,
];

/// The metrics of both maneuvers.
pub(super) const METRICS: &[MeasuredBy<Recorded<SteadyTurn>>] = &[
    MeasuredBy(&m::MEAN_DECELERATION, |r| {
        (r.at(&ch::SPEED, 0.0) - r.at(&ch::SPEED, EVALUATION)) / EVALUATION
    }),
    MeasuredBy(&m::YAW_RATE_RATIO, |r| {
        r.at(&ch::YAW_RATE, EVALUATION) * r.found.radius / r.at(&ch::SPEED, EVALUATION)
    }),
    MeasuredBy(&m::YAW_RATE_PEAK_RATIO, |r| {
        let before = r.before(&ch::YAW_RATE);
        1.0 + r.largest_change(&ch::YAW_RATE, r.side()) / before.abs()
    }),
    MeasuredBy(&m::LATERAL_ACCELERATION_RATIO, |r| {
        let speed = r.at(&ch::SPEED, EVALUATION);
        r.at(&ch::LATERAL_ACCELERATION, EVALUATION) * r.found.radius / (speed * speed)
    }),
    // Outward for a rear end that steps out.
    MeasuredBy(&m::SIDESLIP_CHANGE, |r| {
        -r.side() * (r.at(&ch::SIDESLIP, EVALUATION) - r.before(&ch::SIDESLIP))
    }),
    MeasuredBy(&m::SIDESLIP_CHANGE_LARGEST, |r| {
        r.largest_change(&ch::SIDESLIP, -r.side())
    }),
    MeasuredBy(&m::YAW_DEVIATION, Recorded::yaw_deviation),
    MeasuredBy(&m::INWARD_DEVIATION, |r| r.inward_deviation(EVALUATION)),
    MeasuredBy(&m::INWARD_DEVIATION_END, |r| r.inward_deviation(AFTER)),
    MeasuredBy(&m::FRONT_LOCK_TIME, |r| {
        r.lock_time([&ch::SLIP_X_FRONT_LEFT, &ch::SLIP_X_FRONT_RIGHT])
    }),
    MeasuredBy(&m::REAR_LOCK_TIME, |r| {
        r.lock_time([&ch::SLIP_X_REAR_LEFT, &ch::SLIP_X_REAR_RIGHT])
    }),
];

impl Recorded<SteadyTurn> {
    /// A channel at a time; not a number after the last sample.
    fn at(&self, channel: &Channel, time: f64) -> f64 {
        let times = &self.trace.time;
        if time > times[times.len() - 1] + 1e-9 {
            f64::NAN
        } else {
            History::new(times, self.column(channel)).at(time)
        }
    }

    /// A channel on the steady circle.
    fn before(&self, channel: &Channel) -> f64 {
        self.at(channel, -BEFORE)
    }

    /// Side of the circle: 1 to the left, -1 to the right.
    fn side(&self) -> f64 {
        self.found.radius.signum()
    }

    /// Number of the first sample after the pedal's move.
    fn first(&self) -> usize {
        self.trace.time.partition_point(|t| *t < 0.0)
    }

    /// Largest departure of a channel from its steady value, in the sense of a sign.
    fn largest_change(&self, channel: &Channel, sign: f64) -> f64 {
        let steady = self.before(channel);
        self.column(channel)[self.first()..]
            .iter()
            .fold(0.0, |a: f64, v| a.max(sign * (v - steady)))
    }

    /// Distance of O from the circle as it was entered, inward positive `[m]`.
    fn inward_deviation(&self, time: f64) -> f64 {
        let (x, y) = (self.at(&ch::X, time), self.at(&ch::Y, time));
        let (x0, y0) = (self.before(&ch::X), self.before(&ch::Y));
        let (dx, dy) = (x - x0, y - y0);
        // The car's heading lies off its path by the sideslip.
        let (sin, cos) = lone::sin_cos(self.before(&ch::SIDESLIP));
        let entered = [cos * dx + sin * dy, cos * dy - sin * dx];
        self.side() * RoadLine::curved(1.0 / self.found.radius, 0.0).left_of(entered)
    }

    /// Time for which wheels are locked, summed over them `[s]`.
    fn lock_time(&self, wheels: [&Channel; 2]) -> f64 {
        let time = &self.trace.time;
        let [a, b] = wheels.map(|channel| self.column(channel));
        (self.first() + 1..time.len())
            .map(|i| {
                let count = [a[i], b[i]].iter().filter(|s| **s < LOCKED).count();
                count as f64 * (time[i] - time[i - 1])
            })
            .sum()
    }

    /// Change of heading beyond that of a car that stays on the circle at the same speed `[rad]`.
    fn yaw_deviation(&self) -> f64 {
        let first = self.first();
        let travelled: f64 = self.trace.time[first..]
            .windows(2)
            .zip(self.column(&ch::SPEED)[first..].windows(2))
            .filter(|(t, _)| t[1] <= EVALUATION + 1e-9)
            .map(|(t, v)| 0.5 * (t[1] - t[0]) * (v[0] + v[1]))
            .sum();
        let turned = self.at(&ch::YAW_ANGLE, EVALUATION) - self.at(&ch::YAW_ANGLE, 0.0);
        self.side() * (turned - travelled / self.found.radius)
    }
}
