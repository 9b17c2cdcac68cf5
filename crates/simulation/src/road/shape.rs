//! Heights of single obstacles along the road, twice continuously differentiable.
//!
//! ```text
//! bump  h 64 u^3 (1 - u)^3,   u = d/L
//! step  u^3 (10 - 15 u + 6 u^2), the slopes of kerb and ramp
//! ```
//!
//! d is the distance from the beginning, L the length and h the height.

use axletree_scalar::Real;
use serde::{Deserialize, Serialize};

/// The height of an obstacle from its beginning on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ObstacleShape {
    /// Up and down.
    Bump {
        /// Height in the middle, negative for a dip `[m]`.
        height: f64,
        /// Length `[m]`.
        length: f64,
    },
    /// Up, level, down.
    Kerb {
        /// Height of the level part `[m]`.
        height: f64,
        /// Length of the slope up, and of the one down `[m]`.
        slope: f64,
        /// Length of the level part `[m]`.
        length: f64,
    },
    /// Up to a new level.
    Ramp {
        /// Height of the new level, negative for a drop `[m]`.
        height: f64,
        /// Length of the slope `[m]`.
        length: f64,
    },
}

/// The smooth step from 0 to 1 over the unit interval, `u^3 (10 - 15 u + 6 u^2)`, and its slope;
/// constant outside, with two continuous derivatives.
///
/// ```
/// use axletree_simulation::road::smooth_step;
///
/// assert_eq!(smooth_step(0.5), [0.5, 1.875]);
/// assert_eq!(smooth_step(2.0), [1.0, 0.0]);
/// ```
#[inline(always)]
pub fn smooth_step<T: Real>(u: T) -> [T; 2] {
    let u = u.max(T::zero()).min(T::one());
    let v = T::one() - u;
    let value = u * u * u * (T::c(10.0) - u.scale(15.0) + (u * u).scale(6.0));
    [value, (u * u * v * v).scale(30.0)]
}

impl ObstacleShape {
    /// Height `[m]` and slope `[-]` at a distance from the beginning `[m]`.
    #[inline(always)]
    pub fn height_and_slope<T: Real>(&self, distance: T) -> [T; 2] {
        match *self {
            ObstacleShape::Bump { height, length } => {
                let u = distance.scale(1.0 / length).max(T::zero()).min(T::one());
                let v = T::one() - u;
                let uv = u * v;
                let slope = uv * uv * (v - u);
                [
                    (uv * uv * uv).scale(64.0 * height),
                    slope.scale(192.0 * height / length),
                ]
            }
            ObstacleShape::Kerb {
                height,
                slope,
                length,
            } => {
                let up = smooth_step(distance.scale(1.0 / slope));
                let down = smooth_step((distance - T::c(slope + length)).scale(1.0 / slope));
                [
                    (up[0] - down[0]).scale(height),
                    (up[1] - down[1]).scale(height / slope),
                ]
            }
            ObstacleShape::Ramp { height, length } => {
                let up = smooth_step(distance.scale(1.0 / length));
                [up[0].scale(height), up[1].scale(height / length)]
            }
        }
    }

    /// Distance from the beginning to the end of the last slope `[m]`.
    pub fn extent(&self) -> f64 {
        match *self {
            ObstacleShape::Bump { length, .. } | ObstacleShape::Ramp { length, .. } => length,
            ObstacleShape::Kerb { slope, length, .. } => 2.0 * slope + length,
        }
    }

    /// Height of the highest or deepest part `[m]`.
    pub fn height(&self) -> f64 {
        match *self {
            ObstacleShape::Bump { height, .. }
            | ObstacleShape::Ramp { height, .. }
            | ObstacleShape::Kerb { height, .. } => height,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Tops and ends are where they should be, the slope is the height's derivative, and value,
    /// slope and curvature have no jump anywhere.
    #[test]
    fn law_shapes_are_smooth() {
        let shapes = [
            ObstacleShape::Bump {
                height: 0.03,
                length: 0.6,
            },
            ObstacleShape::Kerb {
                height: 0.05,
                slope: 0.2,
                length: 0.5,
            },
            ObstacleShape::Ramp {
                height: -0.1,
                length: 2.0,
            },
        ];
        for shape in shapes {
            let middle = shape.height_and_slope(0.5 * shape.extent());
            let want = match shape {
                ObstacleShape::Ramp { height, .. } => 0.5 * height,
                _ => shape.height(),
            };
            assert!((middle[0] - want).abs() < 1e-15);
            let h = 1e-4;
            let mut last: Option<[f64; 2]> = None;
            let mut bend: Option<f64> = None;
            let mut largest_jump = 0.0f64;
            let mut largest_bend = 0.0f64;
            for i in -1000..30_000 {
                let d = f64::from(i) * h;
                let here = shape.height_and_slope(d);
                if let Some(before) = last {
                    // Trapezoidal rule: the slope belongs to the height.
                    let gained = 0.5 * h * (here[1] + before[1]);
                    assert!((here[0] - before[0] - gained).abs() < 1e-8, "{shape:?} {d}");
                    let now = (here[1] - before[1]) / h;
                    if let Some(b) = bend {
                        largest_jump = largest_jump.max((now - b).abs());
                    }
                    largest_bend = largest_bend.max(now.abs());
                    bend = Some(now);
                }
                last = Some(here);
            }
            assert!(largest_bend > 0.1 && largest_jump < 0.02 * largest_bend);
        }
    }
}
