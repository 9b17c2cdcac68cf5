//! Criteria that a run of the sine with dwell must meet.
//!
//! From 49 CFR 571.126, S5.2, and ISO 19365 (from memory): the yaw rate 1.00 s after the end of
//! steering is at most 35 %, and 1.75 s after it at most 20 %, of the peak that follows the
//! reversal of the steering wheel; with at least five reference angles of amplitude, the lateral
//! displacement of the center of mass in the first 1.07 s is at least 1.83 m (cars up to 3500 kg).
//! The displacement is the lateral acceleration integrated twice.

use super::steering::DwellSine;
use axletree_simulation::metrics::History;

/// Times at which the yaw rate is checked, from the end of steering `[s]`.
pub const CHECK_TIMES: [f64; 2] = [1.0, 1.75];
/// Largest yaw rate then, over its second peak `[-]`.
const MOST_LEFT: [f64; 2] = [0.35, 0.20];
/// Time at which the lateral displacement is checked, from the beginning of steering `[s]`.
pub(super) const DISPLACEMENT_TIME: f64 = 1.07;
/// Least displacement then `[m]`.
const LEAST_DISPLACEMENT: f64 = 1.83;
/// Amplitude from which the displacement counts `[reference angles]`.
const RESPONSIVE_FROM: f64 = 5.0;

/// Quantities of one run that the criteria judge. What a run ended too early to show is not a
/// number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Assessment {
    /// Yaw rate after the reversal at its largest, in the sense of the first steering positive
    /// `[rad/s]`.
    pub second_peak: f64,
    /// Yaw rate at each of [`CHECK_TIMES`] over that peak `[-]`.
    pub yaw_rate_left: [f64; 2],
    /// Lateral displacement to the side of the first turn `[m]`.
    pub displacement: f64,
    /// Largest magnitude of the sideslip `[rad]`.
    pub sideslip: f64,
    /// Largest magnitude of the roll angle `[rad]`.
    pub roll_angle: f64,
}

impl Assessment {
    /// Reads a run from its time from the beginning of steering `[s]`, yaw rate `[rad/s]`, lateral
    /// acceleration `[m/s^2]`, sideslip `[rad]` and roll angle `[rad]`.
    pub fn of(
        sine: &DwellSine,
        time: &[f64],
        yaw_rate: &[f64],
        lateral_acceleration: &[f64],
        sideslip: &[f64],
        roll_angle: &[f64],
    ) -> Self {
        let side = sine.amplitude.signum();
        let last = time.last().copied().unwrap_or(f64::NEG_INFINITY);
        let enough = |t: f64| time.len() >= 4 && last >= t - 1e-9;
        let magnitude = |x: &[f64]| x.iter().fold(0.0, |a: f64, v| a.max(v.abs()));
        let second_peak = if enough(sine.end()) {
            // After the steering wheel has come back through the middle, until the yaw rate has
            // settled.
            let from = time.partition_point(|t| *t < 0.5 / sine.frequency);
            let until = time.partition_point(|t| *t <= sine.end());
            let samples = yaw_rate[from..until].iter().map(|r| side * r);
            let (i, lowest) = samples
                .enumerate()
                .fold((0, f64::INFINITY), |a, b| if b.1 < a.1 { b } else { a });
            History::new(time, yaw_rate)
                .first_peak(
                    side * lowest * (1.0 - 1e-9),
                    -side,
                    if from + i > 0 {
                        time[from + i - 1]
                    } else {
                        0.0
                    },
                )
                .map_or(lowest, |p| (side * p.1).min(lowest))
        } else {
            f64::NAN
        };
        let left = |t: f64| {
            if enough(sine.end() + t) {
                side * History::new(time, yaw_rate).at(sine.end() + t) / second_peak
            } else {
                f64::NAN
            }
        };
        Assessment {
            second_peak,
            yaw_rate_left: CHECK_TIMES.map(left),
            displacement: if enough(DISPLACEMENT_TIME) {
                side * displaced(time, lateral_acceleration)
            } else {
                f64::NAN
            },
            sideslip: magnitude(sideslip),
            roll_angle: magnitude(roll_angle),
        }
    }

    /// Whether every criterion is met; the displacement counts only where `responsive`.
    pub fn meets(&self, responsive: bool) -> bool {
        let settled = (0..2).all(|i| self.yaw_rate_left[i] <= MOST_LEFT[i]);
        settled && (!responsive || self.displacement >= LEAST_DISPLACEMENT)
    }
}

/// Whether the displacement counts for an amplitude with a reference angle, both `[rad]`.
pub(super) fn is_responsive(amplitude: f64, reference: f64) -> bool {
    amplitude >= RESPONSIVE_FROM * reference - 1e-9
}

/// An acceleration integrated twice from rest to [`DISPLACEMENT_TIME`], by the trapezoidal rule for
/// the velocity and its exact integral for the displacement.
fn displaced(time: &[f64], acceleration: &[f64]) -> f64 {
    let history = History::new(time, acceleration);
    let (mut v, mut y) = (0.0, 0.0);
    let (mut t0, mut a0) = (0.0, history.at(0.0));
    for &t in time.iter().filter(|t| **t > 0.0) {
        let t = t.min(DISPLACEMENT_TIME);
        let (h, a) = (t - t0, history.at(t));
        y += h * v + h * h * (2.0 * a0 + a) / 6.0;
        v += 0.5 * h * (a0 + a);
        (t0, a0) = (t, a);
        if t >= DISPLACEMENT_TIME {
            break;
        }
    }
    y
}
