//! A path on the ground: a smooth curve through points, with the length along it as parameter.
//!
//! x(s) and y(s) are natural cubic splines over the summed chords s between the points (second
//! derivative zero at both ends; de Boor, *A Practical Guide to Splines*, 1978, ch. IV). Heading
//! and curvature follow from their derivatives,
//!
//! ```text
//! heading = atan2(y', x'),   curvature = (x' y'' - y' x'')/(x'^2 + y'^2)^(3/2)
//! ```
//!
//! The station is the length along the chords, which is shorter than the curve by a term of second
//! order in the distance of the points. Points may lie at uneven distances and the curve passes
//! through them: a [`UniformSpline`](axletree_numerics::spline::UniformSpline), which has even
//! intervals and passes near its coefficients, has neither property.

use crate::error::ManeuverError;
use axletree_scalar::{elementary, lone};

/// Newton steps towards the foot of the normal, at most.
const MOST_STEPS: usize = 20;
/// Longest of these steps `[m]`.
const LONGEST_STEP: f64 = 5.0;
/// Step that counts as none `[m]`.
const STATION_TOLERANCE: f64 = 1e-10;

/// A smooth curve on the ground; beyond its ends it goes on straight.
///
/// ```
/// use axletree_simulation::Path;
///
/// let path = Path::through(&[[0.0, 0.0], [10.0, 0.0], [20.0, 0.0]])?;
/// assert_eq!(path.length(), 20.0);
/// let (station, left) = path.nearest([12.0, 1.5], 10.0);
/// assert!((station - 12.0).abs() < 1e-9 && (left - 1.5).abs() < 1e-9);
/// # Ok::<(), axletree_simulation::ManeuverError>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    station: Vec<f64>,
    x: Spline,
    y: Spline,
}

/// A point of a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathPoint {
    /// Position `[m, earth]`.
    pub position: [f64; 2],
    /// Direction of the path `[rad, earth, to the left positive]`.
    pub heading: f64,
    /// Curvature `[1/m, to the left positive]`.
    pub curvature: f64,
}

impl Path {
    /// The path through at least three points (x, y), each at least 1 mm from the one before `[m,
    /// earth]`.
    ///
    /// # Errors
    /// [`ManeuverError::Path`] with the first point that is missing, not finite or too near.
    pub fn through(points: &[[f64; 2]]) -> Result<Self, ManeuverError> {
        const LEAST: usize = 3;
        let mut station = vec![0.0];
        for (i, pair) in points.windows(2).enumerate() {
            let chord = lone::hypot(pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]);
            // Written so that NaN is refused too.
            if chord.is_nan() || chord < 1e-3 || chord.is_infinite() {
                return Err(ManeuverError::Path {
                    least: LEAST,
                    index: i + 1,
                });
            }
            station.push(station[i] + chord);
        }
        if points.len() < LEAST {
            return Err(ManeuverError::Path {
                least: LEAST,
                index: points.len(),
            });
        }
        let column = |k: usize| points.iter().map(|p| p[k]).collect::<Vec<f64>>();
        Ok(Path {
            x: Spline::natural(&station, column(0)),
            y: Spline::natural(&station, column(1)),
            station,
        })
    }

    /// The path along the graph of y over x, through points at equal intervals of x `[m, earth]`.
    ///
    /// # Errors
    /// As [`Self::through`].
    pub fn graph(
        from: f64,
        to: f64,
        intervals: usize,
        y: impl Fn(f64) -> f64,
    ) -> Result<Self, ManeuverError> {
        let points: Vec<[f64; 2]> = (0..=intervals)
            .map(|i| {
                let x = from + (to - from) * i as f64 / intervals as f64;
                [x, y(x)]
            })
            .collect();
        Self::through(&points)
    }

    /// Length `[m]`.
    pub fn length(&self) -> f64 {
        self.station[self.station.len() - 1]
    }

    /// The point at a station `[m]`.
    pub fn at(&self, station: f64) -> PathPoint {
        let inside = station.clamp(0.0, self.length());
        let i =
            (self.station.partition_point(|&s| s <= inside)).clamp(1, self.station.len() - 1) - 1;
        let [x, dx, ddx] = self.x.at(&self.station, i, inside);
        let [y, dy, ddy] = self.y.at(&self.station, i, inside);
        let speed = lone::hypot(dx, dy);
        let over = station - inside;
        PathPoint {
            position: [x + over * dx / speed, y + over * dy / speed],
            heading: lone::atan2(dy, dx),
            curvature: if over == 0.0 {
                (dx * ddy - dy * ddx) / elementary::powi(speed, 3)
            } else {
                0.0
            },
        }
    }

    /// Station of the foot of the normal through a position, sought from a station near it, and the
    /// distance from the path, to the left positive `[m]`.
    pub fn nearest(&self, position: [f64; 2], near: f64) -> (f64, f64) {
        let mut s = near;
        for _ in 0..MOST_STEPS {
            let p = self.at(s);
            let (sin, cos) = lone::sin_cos(p.heading);
            let d = [position[0] - p.position[0], position[1] - p.position[1]];
            let (along, left) = (cos * d[0] + sin * d[1], cos * d[1] - sin * d[0]);
            // Newton's step on the foot of the normal, held where the center of curvature is near.
            let step = along / (1.0 - p.curvature * left).max(0.2);
            s += step.clamp(-LONGEST_STEP, LONGEST_STEP);
            if step.abs() < STATION_TOLERANCE {
                break;
            }
        }
        let p = self.at(s);
        let (sin, cos) = lone::sin_cos(p.heading);
        let d = [position[0] - p.position[0], position[1] - p.position[1]];
        (s, cos * d[1] - sin * d[0])
    }
}

/// A natural cubic spline: values and second derivatives at the knots.
#[derive(Clone, Debug, PartialEq)]
struct Spline {
    value: Vec<f64>,
    bend: Vec<f64>,
}

impl Spline {
    /// The spline through values at the knots, from the tridiagonal equations of continuous slope.
    fn natural(knots: &[f64], value: Vec<f64>) -> Self {
        let n = knots.len();
        let mut bend = vec![0.0; n];
        let mut factor = vec![0.0; n];
        for i in 1..n - 1 {
            let (h0, h1) = (knots[i] - knots[i - 1], knots[i + 1] - knots[i]);
            let jump = (value[i + 1] - value[i]) / h1 - (value[i] - value[i - 1]) / h0;
            let pivot = 2.0 * (h0 + h1) - h0 * factor[i - 1];
            factor[i] = h1 / pivot;
            bend[i] = (6.0 * jump - h0 * bend[i - 1]) / pivot;
        }
        for i in (1..n - 1).rev() {
            bend[i] -= factor[i] * bend[i + 1];
        }
        Spline { value, bend }
    }

    /// Value, slope and second derivative in the interval after knot `i`.
    fn at(&self, knots: &[f64], i: usize, s: f64) -> [f64; 3] {
        let h = knots[i + 1] - knots[i];
        let (b, a) = ((s - knots[i]) / h, (knots[i + 1] - s) / h);
        let (v0, v1) = (self.value[i], self.value[i + 1]);
        let (m0, m1) = (self.bend[i], self.bend[i + 1]);
        [
            a * v0
                + b * v1
                + ((elementary::powi(a, 3) - a) * m0 + (elementary::powi(b, 3) - b) * m1) * h * h
                    / 6.0,
            (v1 - v0) / h + ((3.0 * b * b - 1.0) * m1 - (3.0 * a * a - 1.0) * m0) * h / 6.0,
            a * m0 + b * m1,
        ]
    }
}

#[cfg(test)]
#[expect(
    clippy::disallowed_methods,
    reason = "the platform's functions are what is compared with"
)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    #[test]
    #[expect(clippy::float_cmp, reason = "the same bits are meant")]
    fn val_circle_and_foot_of_the_normal() {
        let radius = 30.0;
        let points: Vec<[f64; 2]> = (0..=60)
            .map(|i| {
                let a = PI * f64::from(i) / 60.0;
                [radius * a.sin(), radius * (1.0 - a.cos())]
            })
            .collect();
        let path = Path::through(&points).unwrap();
        assert!((path.length() / (PI * radius) - 1.0).abs() < 2e-4);
        let p = path.at(0.5 * path.length());
        assert!((p.curvature * radius - 1.0).abs() < 1e-3, "{p:?}");
        assert!((p.heading - 0.5 * PI).abs() < 1e-6);
        // Two meters inside the circle, to its left.
        let (s, left) = path.nearest([28.0, 30.0], 40.0);
        assert!((left - 2.0).abs() < 1e-5 && (s - 0.5 * path.length()).abs() < 1e-5);
        // Beyond the end it goes on straight.
        let end = path.at(path.length() + 7.0);
        let last = path.at(path.length());
        assert!((end.position[0] - last.position[0] + 7.0).abs() < 0.02);
        assert_eq!(end.curvature, 0.0);
    }

    #[test]
    fn bad_points_are_refused() {
        assert!(Path::through(&[[0.0, 0.0], [1.0, 0.0]]).is_err());
        assert!(Path::through(&[[0.0, 0.0], [1.0, 0.0], [1.0, 0.0]]).is_err());
        assert!(Path::through(&[[0.0, 0.0], [f64::NAN, 0.0], [2.0, 0.0]]).is_err());
    }
}
