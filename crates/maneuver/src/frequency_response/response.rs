//! Gains and phases over frequency.

use axletree_scalar::lone;
use axletree_simulation::WheelLifts;
use nalgebra::Complex;

/// Outputs of a response, in the order of [`SteeringResponse::values`].
pub const RESPONSES: [&str; 4] = ["yaw_rate", "lateral_acceleration", "roll", "sideslip"];

/// Gains and phases over frequency.
#[derive(Clone, Debug, PartialEq)]
pub struct SteeringResponse {
    /// Frequencies, rising `[Hz]`.
    pub frequencies: Vec<f64>,
    /// Each of [`RESPONSES`] per radian of the steering wheel, at every frequency.
    pub values: [Vec<Complex<f64>>; 4],
    /// Wheels that left the road in a swept sine; none in a linearization.
    pub lifts: WheelLifts,
}

impl SteeringResponse {
    /// Gains of one output.
    pub fn gains(&self, output: usize) -> Vec<f64> {
        self.values[output]
            .iter()
            .map(|v| lone::hypot(v.re, v.im))
            .collect()
    }

    /// Phases of one output without jumps `[rad]`: at the lowest frequency the one nearest to zero,
    /// or to half a turn for an output that falls as the steering wheel rises.
    pub fn phases(&self, output: usize) -> Vec<f64> {
        use std::f64::consts::TAU;
        let mut last = 0.0;
        self.values[output]
            .iter()
            .map(|v| {
                let phase = lone::atan2(v.im, v.re);
                last = phase + TAU * ((last - phase) / TAU).round();
                last
            })
            .collect()
    }

    /// A quantity at a frequency, interpolated on a logarithmic scale; not a number outside the
    /// response.
    pub(super) fn read(&self, quantity: &[f64], frequency: f64) -> f64 {
        let f = &self.frequencies;
        let i = f.partition_point(|x| *x <= frequency);
        if i == 0 || (i == f.len() && frequency > f[i - 1]) {
            return f64::NAN;
        }
        let i = i.min(f.len() - 1);
        let share = lone::ln(frequency / f[i - 1]) / lone::ln(f[i] / f[i - 1]);
        quantity[i - 1] + share * (quantity[i] - quantity[i - 1])
    }

    /// Frequency at which a gain first falls to a level `[Hz]`.
    pub(super) fn falls_to(&self, gains: &[f64], level: f64) -> f64 {
        let f = &self.frequencies;
        (1..f.len())
            .find(|&i| gains[i] < level && gains[i - 1] >= level)
            .map_or(f64::NAN, |i| {
                let share = (gains[i - 1] - level) / (gains[i - 1] - gains[i]);
                f[i - 1] * lone::pow(f[i] / f[i - 1], share)
            })
    }

    /// The largest gain and its frequency, by the parabola through the highest point and its
    /// neighbors; the first point and no frequency for a gain that only falls.
    pub(super) fn peak(&self, gains: &[f64]) -> (f64, f64) {
        let highest = (0..gains.len()).max_by(|&a, &b| gains[a].total_cmp(&gains[b]));
        let Some(i) = highest.filter(|&i| i > 0 && i + 1 < gains.len()) else {
            return (gains[highest.unwrap_or(0)], f64::NAN);
        };
        let (before, top, after) = (gains[i - 1], gains[i], gains[i + 1]);
        let bend = before + after - 2.0 * top;
        let shift = if bend < 0.0 {
            0.5 * (before - after) / bend
        } else {
            0.0
        };
        let ratio = self.frequencies[i + 1] / self.frequencies[i];
        (
            top - 0.25 * (before - after) * shift,
            self.frequencies[i] * lone::pow(ratio, shift),
        )
    }
}
