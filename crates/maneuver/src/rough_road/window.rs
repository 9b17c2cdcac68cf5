//! Means over a window of the records of a shaken car.

use axletree_scalar::Real;
use axletree_simulation::channels as ch;
use axletree_simulation::channels::Channel;
use axletree_simulation::trace::Trace;

use super::steady_corner::SteadyCorner;

/// Channels that the metrics need.
pub(super) const CHANNELS: &[&Channel] = &[
    &ch::YAW_RATE,
    &ch::LATERAL_ACCELERATION,
    &ch::SIDESLIP,
    &ch::SPEED,
    &ch::X,
    &ch::Y,
    LOADS[0],
    LOADS[1],
    LOADS[2],
    LOADS[3],
    FORCES[0],
    FORCES[1],
    FORCES[2],
    FORCES[3],
    SLIPS[0],
    SLIPS[1],
    SLIPS[2],
    SLIPS[3],
];

/// Channels of the wheel loads.
const LOADS: [&Channel; 4] = [
    &ch::LOAD_FRONT_LEFT,
    &ch::LOAD_FRONT_RIGHT,
    &ch::LOAD_REAR_LEFT,
    &ch::LOAD_REAR_RIGHT,
];
/// Channels of the wheels' lateral forces.
const FORCES: [&Channel; 4] = [
    &ch::FORCE_Y_FRONT_LEFT,
    &ch::FORCE_Y_FRONT_RIGHT,
    &ch::FORCE_Y_REAR_LEFT,
    &ch::FORCE_Y_REAR_RIGHT,
];
/// Channels of the wheels' slip angles.
const SLIPS: [&Channel; 4] = [
    &ch::SLIP_ANGLE_FRONT_LEFT,
    &ch::SLIP_ANGLE_FRONT_RIGHT,
    &ch::SLIP_ANGLE_REAR_LEFT,
    &ch::SLIP_ANGLE_REAR_RIGHT,
];

/// The samples from one time to another, each with its share of the time.
pub(super) struct TraceWindow<'a> {
    trace: &'a Trace,
    /// Number and time of each sample `[s]`.
    weights: Vec<(usize, f64)>,
}

impl<'a> TraceWindow<'a> {
    /// The samples between two times `[s]`, by the trapezoidal rule.
    pub fn new(trace: &'a Trace, from: f64, to: f64) -> Self {
        let t = &trace.time;
        let inside: Vec<usize> = (0..t.len())
            .filter(|&i| t[i] >= from - 1e-9 && t[i] <= to + 1e-9)
            .collect();
        let weights = inside
            .iter()
            .enumerate()
            .map(|(k, &i)| {
                let before = if k > 0 { t[i] - t[inside[k - 1]] } else { 0.0 };
                let after = inside.get(k + 1).map_or(0.0, |&j| t[j] - t[i]);
                (i, 0.5 * (before + after))
            })
            .collect();
        TraceWindow { trace, weights }
    }

    /// Length of the window `[s]`.
    pub fn length(&self) -> f64 {
        self.weights.iter().map(|w| w.1).sum()
    }

    /// Mean over time of a quantity of the samples.
    pub fn mean(&self, read: impl Fn(usize) -> f64) -> f64 {
        self.weights.iter().map(|&(i, w)| w * read(i)).sum::<f64>() / self.length()
    }

    /// Largest of a quantity of the samples.
    pub fn largest(&self, read: impl Fn(usize) -> f64) -> f64 {
        self.weights
            .iter()
            .map(|&(i, _)| read(i))
            .fold(f64::NAN, f64::max)
    }

    /// Value of a channel at a sample.
    pub fn at(&self, channel: &Channel, sample: usize) -> f64 {
        self.trace
            .get(channel.name())
            .map_or(f64::NAN, |c| c[sample])
    }

    /// Load of a wheel at a sample `[N]`.
    pub fn load(&self, wheel: usize, sample: usize) -> f64 {
        self.at(LOADS[wheel], sample)
    }

    /// Lateral force of an end (0 is the front) at a sample `[N]`.
    pub fn force(&self, end: usize, sample: usize) -> f64 {
        let [a, b] = [0, 1].map(|i| self.at(FORCES[2 * end + i], sample));
        a + b
    }

    /// Mean slip angle of an end's wheels at a sample `[rad]`.
    pub fn slip(&self, end: usize, sample: usize) -> f64 {
        let [a, b] = [0, 1].map(|i| self.at(SLIPS[2 * end + i], sample));
        0.5 * (a + b)
    }

    /// Shares of the window in which the left and the right wheel of an end are off the road `[-]`.
    pub fn shares_off_road(&self, end: usize) -> [f64; 2] {
        [0, 1].map(|k| self.mean(|i| f64::from(self.load(2 * end + k, i) <= 0.0)))
    }

    /// Root mean square of the departures of an end's wheel loads from their means, over the mean
    /// load of its wheels in equilibrium `[-]`.
    pub fn load_variation(&self, corner: &SteadyCorner, end: usize) -> f64 {
        let [a, b] = [0, 1].map(|k| {
            let mean = self.mean(|i| self.load(2 * end + k, i));
            self.mean(|i| Real::sq(self.load(2 * end + k, i) - mean))
        });
        let [left, right] = [0, 1].map(|k| corner.load(2 * end + k));
        (0.5 * (a + b)).sqrt() / (0.5 * (left + right))
    }
}
