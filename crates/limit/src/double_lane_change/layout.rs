//! The courses of ISO 3888: three lanes of cones, the middle one offset to the left.
//!
//! Lengths, widths and offsets are from memory; of the second part the total length of 61 m was
//! read in its scope. Not confirmed: that the lateral offset of 3.5 m (part 1) is measured between
//! the right edges of the first and the middle lane, that the last lane's right edge is in line
//! with the first one's, and that the last lane of part 2 is never narrower than 3 m.

use axletree_scalar::Real;
use axletree_vehicle::Geometry;
use serde::{Deserialize, Serialize};

use crate::cones::Cone;

/// Course of a double lane change.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LaneChangeCourse {
    /// ISO 3888-1, severe lane change: lanes of 15, 25 and 30 m with 30 and 25 m between them; the
    /// throttle is held.
    SevereLaneChange,
    /// ISO 3888-2, obstacle avoidance: lanes of 12, 11 and 12 m with 13.5 and 12.5 m between them;
    /// the throttle is released 2 m behind the entry.
    ObstacleAvoidance,
}

/// One lane of a course. Lateral positions are left of the first lane's center line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ConeLane {
    /// Beginning along the course `[m]`.
    pub from: f64,
    /// End along the course `[m]`.
    pub to: f64,
    /// Lateral position of the right edge `[m]`.
    pub right: f64,
    /// Lateral position of the left edge `[m]`.
    pub left: f64,
}

impl ConeLane {
    /// Width `[m]`.
    pub fn width(&self) -> f64 {
        self.left - self.right
    }

    /// Lateral position of the center line `[m]`.
    pub fn middle(&self) -> f64 {
        0.5 * (self.left + self.right)
    }
}

/// Largest distance between neighboring cones on an edge `[m]`; common practice, no source.
const CONE_SPACING: f64 = 3.0;

/// Radius of a cone's base `[m]`: half a meter high (the standard's least) and about as wide as
/// common ones.
const CONE_RADIUS: f64 = 0.15;

/// Length by which the center line's transitions reach into the lanes at either end `[m]`.
const TRANSITION_OVERLAP: f64 = 0.5;

/// Distance that the car's rear end is beyond the last cones at the end of the course `[m]`.
const RUN_OUT: f64 = 0.5;

impl LaneChangeCourse {
    /// Ends of the five sections along the course `[m]`.
    pub fn sections(self) -> [f64; 5] {
        match self {
            // The last lane is two sections of 15 m.
            LaneChangeCourse::SevereLaneChange => [15.0, 45.0, 70.0, 95.0, 125.0],
            LaneChangeCourse::ObstacleAvoidance => [12.0, 25.5, 36.5, 49.0, 61.0],
        }
    }

    /// Position of the car's nose at which the throttle is released `[m]`; none where it is held.
    pub fn release(self) -> Option<f64> {
        match self {
            LaneChangeCourse::SevereLaneChange => None,
            LaneChangeCourse::ObstacleAvoidance => Some(2.0),
        }
    }

    /// Three lanes for a car of a width `[m]`.
    pub fn lanes(self, width: f64) -> [ConeLane; 3] {
        let [a, b, c, d, e] = self.sections();
        let first = 1.1 * width + 0.25;
        let right = -0.5 * first;
        let (middle, middle_right, last) = match self {
            LaneChangeCourse::SevereLaneChange => {
                (1.2 * width + 0.25, right + 3.5, 1.3 * width + 0.25)
            }
            LaneChangeCourse::ObstacleAvoidance => (
                width + 1.0,
                right + first + 1.0,
                (1.3 * width + 0.25).max(3.0),
            ),
        };
        let lane = |from: f64, to: f64, right: f64, width: f64| ConeLane {
            from,
            to,
            right,
            left: right + width,
        };
        [
            lane(0.0, a, right, first),
            lane(b, c, middle_right, middle),
            lane(d, e, right, last),
        ]
    }

    /// Cones, whose bases touch the lanes' edges: lane by lane along the course, right and left.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count: whole, small, not negative"
    )]
    pub(crate) fn cones(self, width: f64) -> Vec<Cone> {
        let mut all = Vec::new();
        for lane in self.lanes(width) {
            let length = lane.to - lane.from;
            let gaps = (length / CONE_SPACING - 1e-9).ceil() as usize;
            for i in 0..=gaps {
                let x = lane.from + length * i as f64 / gaps as f64;
                for (edge, side) in [(lane.right, 1.0), (lane.left, -1.0)] {
                    all.push(Cone {
                        x,
                        y: edge - side * CONE_RADIUS,
                        side,
                        radius: CONE_RADIUS,
                    });
                }
            }
        }
        all
    }

    /// Position of O at which the whole car has left the course `[m]`.
    pub(crate) fn end(self, geometry: &Geometry) -> f64 {
        self.sections()[4] + geometry.tail + RUN_OUT
    }

    /// Smooth center line through the lanes at a station: lateral position `[m]` and, for small
    /// slopes, curvature `[1/m]`.
    pub(crate) fn center_line(self, width: f64, x: f64) -> [f64; 2] {
        let [first, middle, last] = self.lanes(width);
        let mut line = [first.middle(), 0.0];
        for (from, to) in [(&first, &middle), (&middle, &last)] {
            let (a, b) = (from.to - TRANSITION_OVERLAP, to.from + TRANSITION_OVERLAP);
            let u = ((x - a) / (b - a)).clamp(0.0, 1.0);
            let rise = to.middle() - from.middle();
            line[0] += rise * u * u * u * (10.0 + u * (6.0 * u - 15.0));
            line[1] += rise * 60.0 * u * (1.0 - u) * (1.0 - 2.0 * u) / Real::sq(b - a);
        }
        line
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Cones stand at both ends of every lane on both edges, no farther apart than allowed, and
    /// their bases touch the edges from outside.
    #[test]
    #[expect(clippy::float_cmp, reason = "the same bits are meant")]
    fn law_cones_along_the_edges() {
        for course in [
            LaneChangeCourse::SevereLaneChange,
            LaneChangeCourse::ObstacleAvoidance,
        ] {
            let cones = course.cones(1.7);
            for lane in course.lanes(1.7) {
                for (edge, side) in [(lane.right, 1.0), (lane.left, -1.0)] {
                    let own: Vec<&Cone> = cones
                        .iter()
                        .filter(|c| c.side == side && (lane.from..=lane.to).contains(&c.x))
                        .collect();
                    assert_eq!(own.first().map(|c| c.x), Some(lane.from));
                    assert_eq!(own.last().map(|c| c.x), Some(lane.to));
                    for pair in own.windows(2) {
                        assert!(pair[1].x - pair[0].x < CONE_SPACING + 1e-9);
                    }
                    for cone in own {
                        assert!((cone.y + side * cone.radius - edge).abs() < 1e-12);
                    }
                }
            }
        }
    }

    /// The center line is the lanes' inside them, and its curvature is the second derivative of its
    /// lateral position. The control: it does bend.
    #[test]
    fn law_center_line() {
        let course = LaneChangeCourse::ObstacleAvoidance;
        for lane in course.lanes(1.7) {
            let [y, curvature] = course.center_line(1.7, 0.5 * (lane.from + lane.to));
            assert!((y - lane.middle()).abs() < 1e-12 && curvature == 0.0);
        }
        let y = |x: f64| course.center_line(1.7, x)[0];
        let (x, h) = (15.0, 1e-3);
        let second = (y(x + h) - 2.0 * y(x) + y(x - h)) / (h * h);
        let curvature = course.center_line(1.7, x)[1];
        assert!(
            (second - curvature).abs() < 1e-5 && curvature > 0.05,
            "{curvature}"
        );
    }
}
