//! Stations along a line on the ground.
//!
//! ```text
//! straight  s = x
//! arc       s = R a,   a the angle about the center at (0, R) from the start of the arc
//! ```
//!
//! s is the station, R the signed radius, positive to the left.

use axletree_scalar::{Real, lone};

/// A line from the origin along x: straight, or an arc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RoadLine {
    /// Straight along x.
    Straight,
    /// An arc that starts along x.
    Arc {
        /// Signed radius `[m, left positive]`.
        radius: f64,
        /// Station in the middle of the used part `[m]`; stations are unique for half a circle to
        /// either side of it.
        middle: f64,
    },
}

impl RoadLine {
    /// Station of a point `[m]` and its rate with the point's velocity `[m/s]`; a point off an arc
    /// has the station of the arc's point in the same direction from the center.
    #[inline(always)]
    pub fn station<T: Real>(&self, position: [T; 2], velocity: [T; 2]) -> [T; 2] {
        let [x, y] = position;
        match *self {
            RoadLine::Straight => [x, velocity[0]],
            RoadLine::Arc { radius, middle } => {
                let (size, side) = (radius.abs(), radius.signum());
                // From the center: along x, and toward the start of the arc.
                let (along, toward) = (x, T::c(size) - y.scale(side));
                let (along_rate, toward_rate) = (velocity[0], -velocity[1].scale(side));
                let (sin, cos) = Real::sin_cos(middle / size);
                let turned = [
                    along.scale(cos) - toward.scale(sin),
                    toward.scale(cos) + along.scale(sin),
                ];
                let square = along * along + toward * toward;
                let rate = (along_rate * toward - along * toward_rate) / square;
                let angle = turned[0].atan2(turned[1]);
                [angle.scale(size) + T::c(middle), rate.scale(size)]
            }
        }
    }

    /// The point at a station `[m, earth]`.
    pub fn point(&self, station: f64) -> [f64; 2] {
        match *self {
            RoadLine::Straight => [station, 0.0],
            RoadLine::Arc { radius, .. } => {
                let angle = station / radius;
                [radius * lone::sin(angle), radius * (1.0 - lone::cos(angle))]
            }
        }
    }

    /// Distance of a point from the line `[m, left positive]`.
    pub fn left_of(&self, [x, y]: [f64; 2]) -> f64 {
        match *self {
            RoadLine::Straight => y,
            RoadLine::Arc { radius, .. } => {
                let side = radius.signum();
                side * (radius.abs() - lone::hypot(x, radius.abs() - side * y))
            }
        }
    }

    /// The line of a curvature `[1/m, left positive]` from the origin, used up to a station `[m]`.
    pub fn curved(curvature: f64, end: f64) -> Self {
        if curvature == 0.0 {
            RoadLine::Straight
        } else {
            RoadLine::Arc {
                radius: 1.0 / curvature,
                middle: 0.5 * end,
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Points of an arc give their stations back, to either side and beyond half a circle; the rate
    /// is the slope.
    #[test]
    fn law_stations_of_an_arc() {
        for radius in [50.0, -50.0] {
            let line = RoadLine::Arc {
                radius,
                middle: 100.0,
            };
            for station in [-20.0, 0.0, 30.0, 170.0, 250.0] {
                let p = line.point(station);
                let h = 1e-4;
                let q = line.point(station + h);
                let velocity = [(q[0] - p[0]) / h, (q[1] - p[1]) / h];
                let [s, rate] = line.station(p, velocity);
                assert!((s - station).abs() < 1e-9, "{s} {station}");
                assert!((rate - 1.0).abs() < 1e-5, "{rate}");
                assert!(line.left_of(p).abs() < 1e-9);
            }
            // Toward the center is left of an arc to the left, and half way out stations shrink by
            // half.
            let inward = [0.0, 0.5 * radius];
            assert!((line.left_of(inward) - 0.5 * radius).abs() < 1e-12);
            let [_, rate] = line.station(inward, [1.0, 0.0]);
            assert!((rate - 2.0).abs() < 1e-12);
        }
    }
}
