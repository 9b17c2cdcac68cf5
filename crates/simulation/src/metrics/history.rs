//! Interpolation, crossings and peaks of a sampled history.

use axletree_numerics::root::zero_between;
use axletree_scalar::Real;

/// A quantity sampled at rising times.
///
/// ```
/// use axletree_simulation::History;
///
/// let (time, value) = ([0.0, 1.0, 2.0, 3.0, 4.0], [0.0, 1.0, 4.0, 9.0, 16.0]);
/// let square = History::new(&time, &value);
/// assert!((square.at(2.5) - 6.25).abs() < 1e-12);
/// assert!((square.first_reach(2.25, 1.0, 0.0).unwrap() - 1.5).abs() < 1e-12);
/// ```
///
/// Between samples it is the cubic through the two samples on either side (Lagrange's formula), so
/// that crossings and peaks of a smooth quantity are found to fourth order of the spacing. A kink
/// of the quantity is best placed on a sample.
#[derive(Clone, Copy, Debug)]
pub struct History<'a> {
    time: &'a [f64],
    value: &'a [f64],
}

impl<'a> History<'a> {
    /// From columns of the same length, at least four samples, times rising.
    pub fn new(time: &'a [f64], value: &'a [f64]) -> Self {
        debug_assert!(time.len() == value.len() && time.len() >= 4);
        History { time, value }
    }

    /// Last time `[s]`.
    pub fn end(&self) -> f64 {
        self.time[self.time.len() - 1]
    }

    /// Index of the first of the four samples whose cubic holds in the interval after sample `i`.
    fn support(&self, i: usize) -> usize {
        i.saturating_sub(1).min(self.time.len() - 4)
    }

    /// The value at a time; outside the samples the first or last one.
    pub fn at(&self, t: f64) -> f64 {
        let n = self.time.len();
        if t <= self.time[0] {
            return self.value[0];
        }
        if t >= self.time[n - 1] {
            return self.value[n - 1];
        }
        let i = self.time.partition_point(|&s| s <= t) - 1;
        self.cubic(self.support(i), t)
    }

    fn cubic(&self, first: usize, t: f64) -> f64 {
        let (s, v) = (&self.time[first..first + 4], &self.value[first..first + 4]);
        let mut sum = 0.0;
        for j in 0..4 {
            let mut weight = v[j];
            for k in 0..4 {
                if k != j {
                    weight *= (t - s[k]) / (s[j] - s[k]);
                }
            }
            sum += weight;
        }
        sum
    }

    /// Slope of the same cubic.
    fn cubic_slope(&self, first: usize, t: f64) -> f64 {
        let (s, v) = (&self.time[first..first + 4], &self.value[first..first + 4]);
        let mut sum = 0.0;
        for j in 0..4 {
            let mut slope = 0.0;
            let mut below = 1.0;
            for k in (0..4).filter(|&k| k != j) {
                below *= s[j] - s[k];
                let mut product = 1.0;
                for l in (0..4).filter(|&l| l != j && l != k) {
                    product *= t - s[l];
                }
                slope += product;
            }
            sum += v[j] * slope / below;
        }
        sum
    }

    /// First time at or after `from` at which `sign * value` rises to `sign * level`.
    pub fn first_reach(&self, level: f64, sign: f64, from: f64) -> Option<f64> {
        let above = |x: f64| sign * (x - level);
        let mut last = (from, above(self.at(from)));
        if last.1 >= 0.0 {
            return Some(from);
        }
        let first = self.time.partition_point(|&s| s <= from);
        for i in first..self.time.len() {
            let here = (self.time[i], above(self.value[i]));
            if here.1 >= 0.0 {
                let support = self.support(i - 1);
                return Some(zero_between(last, here, &|t| above(self.cubic(support, t))));
            }
            last = here;
        }
        None
    }

    /// Time of the first sample with `sign * value` at or above `sign * level`.
    pub fn first_sample(&self, level: f64, sign: f64) -> Option<f64> {
        let i = self.value.iter().position(|v| sign * (v - level) >= 0.0)?;
        Some(self.time[i])
    }

    /// First local maximum of `sign * value` after `from` that lies above `sign * level`: its time
    /// and the value there. A quantity that still rises at the last sample has none.
    pub fn first_peak(&self, level: f64, sign: f64, from: f64) -> Option<(f64, f64)> {
        let first = self.time.partition_point(|&s| s <= from);
        for i in first..self.time.len().saturating_sub(1) {
            let (before, here, after) = (
                if i == 0 {
                    f64::NEG_INFINITY
                } else {
                    sign * self.value[i - 1]
                },
                sign * self.value[i],
                sign * self.value[i + 1],
            );
            if here >= before && here > after {
                let (t, v) = self.refine(i, sign, from);
                if sign * (v - level) > 0.0 {
                    return Some((t, v));
                }
            }
        }
        None
    }

    /// The maximum beside sample `i`, not before `from`.
    fn refine(&self, i: usize, sign: f64, from: f64) -> (f64, f64) {
        let mut best = (self.time[i], self.value[i]);
        for j in i.saturating_sub(1)..=i {
            let support = self.support(j);
            let (a, b) = (self.time[j].max(from), self.time[j + 1]);
            let (fa, fb) = (self.cubic_slope(support, a), self.cubic_slope(support, b));
            if sign * fa > 0.0 && sign * fb < 0.0 {
                let t = zero_between((a, fa), (b, fb), &|t| self.cubic_slope(support, t));
                let v = self.cubic(support, t);
                if sign * v > sign * best.1 {
                    best = (t, v);
                }
            }
        }
        best
    }

    /// Mean over time between two times, by the trapezoidal rule on the samples and the two ends.
    pub fn mean(&self, from: f64, to: f64) -> f64 {
        let points = self.window(from, to);
        let mut sum = 0.0;
        for pair in points.windows(2) {
            sum += 0.5 * (pair[1].0 - pair[0].0) * (pair[0].1 + pair[1].1);
        }
        sum / (to - from)
    }

    /// Slope of the line of least squares through the samples between two times [unit/s].
    pub fn trend(&self, from: f64, to: f64) -> f64 {
        let points = self.window(from, to);
        let n = points.len() as f64;
        let (mt, mv) = (
            points.iter().map(|p| p.0).sum::<f64>() / n,
            points.iter().map(|p| p.1).sum::<f64>() / n,
        );
        let above: f64 = points.iter().map(|p| (p.0 - mt) * (p.1 - mv)).sum();
        let below: f64 = points.iter().map(|p| Real::sq(p.0 - mt)).sum();
        above / below
    }

    fn window(&self, from: f64, to: f64) -> Vec<(f64, f64)> {
        let mut points = vec![(from, self.at(from))];
        for (t, v) in self.time.iter().zip(self.value) {
            if *t > from && *t < to {
                points.push((*t, *v));
            }
        }
        points.push((to, self.at(to)));
        points
    }
}

#[cfg(test)]
#[expect(
    clippy::disallowed_methods,
    reason = "the platform's functions are what is compared with"
)]
mod tests {
    use super::*;

    /// A damped oscillation sampled unevenly: crossings and peak against closed forms.
    #[test]
    fn crossings_and_peaks_between_samples() {
        let (decay, turn) = (2.0, 5.0);
        let f = |t: f64| 1.0 - (-decay * t).exp() * (turn * t).cos();
        let mut error = Vec::new();
        for n in [200, 400] {
            let time: Vec<f64> = (0..=n)
                .map(|i| {
                    let s = f64::from(i) / f64::from(n);
                    3.0 * (s + 0.02 * (9.0 * s).sin())
                })
                .collect();
            let value: Vec<f64> = time.iter().map(|&t| f(t)).collect();
            let h = History::new(&time, &value);
            // f = 1 where the cosine is zero.
            let reach = h.first_reach(1.0, 1.0, 0.0).unwrap();
            let exact = std::f64::consts::FRAC_PI_2 / turn;
            assert!((reach - exact).abs() < 1e-6);
            // f' = 0 where decay cos + turn sin = 0.
            let (t, v) = h.first_peak(1.0, 1.0, 0.0).unwrap();
            let exact = (std::f64::consts::PI - (decay / turn).atan()) / turn;
            assert!((v - f(exact)).abs() < 1e-6);
            error.push((t - exact).abs());
        }
        // Third order in the peak's time: halving the spacing gains a factor of about eight.
        assert!(error[0] < 1e-4 && error[1] < 0.25 * error[0], "{error:?}");
    }

    #[test]
    fn mean_and_trend_of_a_line() {
        let time = [0.0, 0.3, 0.5, 1.1, 2.0];
        let value = time.map(|t| 3.0 - 0.5 * t);
        let h = History::new(&time, &value);
        assert!((h.mean(0.4, 1.6) - 2.5).abs() < 1e-14);
        assert!((h.trend(0.4, 1.6) + 0.5).abs() < 1e-14);
        assert!((h.at(0.77) - 2.615).abs() < 1e-14);
        assert_eq!(h.first_reach(10.0, 1.0, 0.0), None);
        assert_eq!(h.first_peak(0.0, 1.0, 0.5), None);
    }
}
