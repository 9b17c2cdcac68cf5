//! The courses of ISO 3888: three lanes of cones, the middle one set off to the left.
//!
//! Lengths, widths and offsets are from memory; of the second part the total length of 61 m was read in
//! its scope. Not confirmed: that the lateral offset of 3.5 m (part 1) is measured between the right
//! edges of the first and the middle lane, that the last lane's right edge is in line with the first
//! one's, and that the last lane of part 2 is never narrower than 3 m.

use axletree_scalar::Real;
use axletree_vehicle::Geometry;
use serde::{Deserialize, Serialize};

/// Which course.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Course {
    /// ISO 3888-1, the severe lane change: lanes of 15, 25 and 30 m with 30 and 25 m between them; the
    /// throttle is held.
    SevereLaneChange,
    /// ISO 3888-2, obstacle avoidance: lanes of 12, 11 and 12 m with 13.5 and 12.5 m between them; the
    /// throttle is released 2 m behind the entry.
    ObstacleAvoidance,
}

/// One lane: where it begins and ends along the course, and its edges [m].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lane {
    /// Beginning.
    pub from: f64,
    /// End.
    pub to: f64,
    /// Right edge, left of the first lane's middle.
    pub right: f64,
    /// Left edge.
    pub left: f64,
}

impl Lane {
    /// Width [m].
    pub fn width(&self) -> f64 {
        self.left - self.right
    }

    /// Its middle, left of the first lane's [m].
    pub fn middle(&self) -> f64 {
        0.5 * (self.left + self.right)
    }
}

/// A cone beside a lane: the point of its base that touches the lane's edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Marker {
    /// Along the course [m].
    pub x: f64,
    /// Left of the first lane's middle [m].
    pub y: f64,
    /// +1 on the right edge, which the car passes on its left, -1 on the left edge [-].
    pub side: f64,
}

/// Farthest distance of two cones on an edge [m]; common practice, no source.
const APART: f64 = 3.0;

impl Course {
    /// Ends of the five sections [m].
    pub fn sections(self) -> [f64; 5] {
        match self {
            // Its last lane is two sections of 15 m.
            Course::SevereLaneChange => [15.0, 45.0, 70.0, 95.0, 125.0],
            Course::ObstacleAvoidance => [12.0, 25.5, 36.5, 49.0, 61.0],
        }
    }

    /// Where the throttle is released, if it is, at the car's nose [m].
    pub fn release(self) -> Option<f64> {
        match self {
            Course::SevereLaneChange => None,
            Course::ObstacleAvoidance => Some(2.0),
        }
    }

    /// The three lanes for a car of a width [m].
    pub fn lanes(self, width: f64) -> [Lane; 3] {
        let [a, b, c, d, e] = self.sections();
        let first = 1.1 * width + 0.25;
        let right = -0.5 * first;
        let (middle, middle_right, last) = match self {
            Course::SevereLaneChange => (1.2 * width + 0.25, right + 3.5, 1.3 * width + 0.25),
            Course::ObstacleAvoidance => (
                width + 1.0,
                right + first + 1.0,
                (1.3 * width + 0.25).max(3.0),
            ),
        };
        let lane = |from: f64, to: f64, right: f64, width: f64| Lane {
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

    /// The cones, lane by lane along the course, right and left.
    pub fn markers(self, width: f64) -> Vec<Marker> {
        let mut all = Vec::new();
        for lane in self.lanes(width) {
            let length = lane.to - lane.from;
            let gaps = (length / APART - 1e-9).ceil() as usize;
            for i in 0..=gaps {
                let x = lane.from + length * i as f64 / gaps as f64;
                for (y, side) in [(lane.right, 1.0), (lane.left, -1.0)] {
                    all.push(Marker { x, y, side });
                }
            }
        }
        all
    }

    /// Where O must get to so that the whole car has left the course [m].
    pub fn end(self, geometry: &Geometry) -> f64 {
        self.sections()[4] + geometry.tail + 0.5
    }

    /// A smooth way through the middles of the lanes: offset [m] and, for small slopes, curvature [1/m] at a
    /// station.
    pub fn middle_way(self, width: f64, x: f64) -> [f64; 2] {
        let [first, middle, last] = self.lanes(width);
        let mut way = [first.middle(), 0.0];
        for (from, to) in [(&first, &middle), (&middle, &last)] {
            // Half a meter inside the lanes at either end.
            let (a, b) = (from.to - 0.5, to.from + 0.5);
            let u = ((x - a) / (b - a)).clamp(0.0, 1.0);
            let rise = to.middle() - from.middle();
            way[0] += rise * u * u * u * (10.0 + u * (6.0 * u - 15.0));
            way[1] += rise * 60.0 * u * (1.0 - u) * (1.0 - 2.0 * u) / Real::sq(b - a);
        }
        way
    }
}
