//! Wheel hop: shaking of a driveline while it drives.
//!
//! The torque T of the half shafts is split into its mean over a time s of a quarter of a second
//! and the departure from it,
//!
//! ```text
//! m(t) = 1/s int_(t-s/2)^(t+s/2) T dt,   intensity = rms(T - m) / mean(m)
//! ```
//!
//! A car that hops shakes with 5 to 15 Hz (common practice, no source); slower changes are the
//! driver's.

/// Time of the moving mean `[s]`.
const SMOOTHING_TIME: f64 = 0.25;
/// Intensity below which no frequency is reported `[-]`.
const LEAST_INTENSITY: f64 = 0.05;

/// Intensity and frequency of a shaking quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Hop {
    /// Root mean square of the departures over the mean `[-]`.
    pub intensity: f64,
    /// Frequency of the rising crossings `[Hz]`; not a number below the least intensity.
    pub frequency: f64,
}

/// The shaking of sampled values between two times `[s]`; the samples may be uneven.
pub(super) fn hop(time: &[f64], value: &[f64], from: f64, to: f64) -> Hop {
    let none = Hop {
        intensity: f64::NAN,
        frequency: f64::NAN,
    };
    let (first, last) = (from + 0.5 * SMOOTHING_TIME, to - 0.5 * SMOOTHING_TIME);
    // Integral of the value from the first sample on.
    let mut sums = vec![0.0];
    for i in 1..time.len() {
        let area = 0.5 * (time[i] - time[i - 1]) * (value[i] + value[i - 1]);
        sums.push(sums[i - 1] + area);
    }
    let integral = |t: f64| {
        let i = time.partition_point(|s| *s <= t).clamp(1, time.len() - 1);
        let share = (t - time[i - 1]) / (time[i] - time[i - 1]);
        sums[i - 1] + share * (sums[i] - sums[i - 1])
    };
    if time.len() < 4 || last - first < SMOOTHING_TIME {
        return none;
    }
    let departures: Vec<(f64, f64, f64)> = (0..time.len())
        .filter(|&i| time[i] >= first && time[i] <= last)
        .map(|i| {
            let t = time[i];
            let mean = (integral(t + 0.5 * SMOOTHING_TIME) - integral(t - 0.5 * SMOOTHING_TIME))
                / SMOOTHING_TIME;
            (t, value[i] - mean, mean)
        })
        .collect();
    if departures.len() < 4 {
        return none;
    }
    let (mut square, mut mean) = (0.0, 0.0);
    let mut crossings = Vec::new();
    for pair in departures.windows(2) {
        let ((t0, a, m), (t1, b, _)) = (pair[0], pair[1]);
        square += (t1 - t0) * a * a;
        mean += (t1 - t0) * m;
        if a < 0.0 && b >= 0.0 {
            crossings.push(t0 + (t1 - t0) * a / (a - b));
        }
    }
    let span = departures[departures.len() - 1].0 - departures[0].0;
    let intensity = (square / span).sqrt() / (mean / span).abs();
    let frequency = match crossings.as_slice() {
        [first, .., last] if intensity > LEAST_INTENSITY => {
            (crossings.len() - 1) as f64 / (last - first)
        }
        _ => f64::NAN,
    };
    Hop {
        intensity,
        frequency,
    }
}

#[cfg(test)]
#[expect(
    clippy::disallowed_methods,
    reason = "the wave of a test: its bits need not be those of every platform"
)]
mod tests {
    use super::*;

    /// A ramp with a wave on it: the wave's own amplitude over the mean, and its frequency. A ramp
    /// alone does not shake.
    #[test]
    fn law_a_wave_on_a_ramp() {
        let time: Vec<f64> = (0..2000).map(|i| 1e-3 * f64::from(i)).collect();
        let ramp = |t: f64| 100.0 + 20.0 * t;
        let wave = |t: f64| 30.0 * (std::f64::consts::TAU * 12.0 * t).sin();
        let with: Vec<f64> = time.iter().map(|&t| ramp(t) + wave(t)).collect();
        let without: Vec<f64> = time.iter().map(|&t| ramp(t)).collect();
        // Three waves a quarter second: the moving mean sees none of it.
        let h = hop(&time, &with, 0.0, 1.9);
        assert!((h.frequency - 12.0).abs() < 0.05, "{h:?}");
        assert!(
            (h.intensity - 30.0 / 2f64.sqrt() / 119.0).abs() < 5e-3,
            "{h:?}"
        );
        let h = hop(&time, &without, 0.0, 1.9);
        assert!(h.intensity < 1e-6 && h.frequency.is_nan(), "{h:?}");
    }
}
