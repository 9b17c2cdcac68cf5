//! Clearance between the car's outline and a cone.
//!
//! The outline is a rectangle in level heading axes at O. A cone that the car passes on the cone's
//! left (`side` +1) stands at (xb, yb) in these axes; with `q = -side yb - width/2` the distance
//! beside the car and `dx = max(-tail - xb, xb - nose)` the distance before or behind it,
//!
//! ```text
//! g = sqrt(dx^2 + q^2)   where both are positive (a corner is nearest)
//! g = max(dx, q)         elsewhere
//! ```
//!
//! less the cone's radius. That is the rectangle extended without end on the side away from the
//! cone, so that a car which passes on the wrong side finds a clearance that is negative and grows
//! steadily worse, instead of one that turns positive again.
//!
//! The least clearance of a pass is read between the points of the grid: a parabola through three
//! points while the cone is beside the car, the nearest point of the straight piece to the corner
//! otherwise. Points alone would err by millimeters and roughen the search.
//!
//! It is kept apart for the cone before O and behind it: where nose and tail come equally near, the least
//! of both alone would have a kink, and a search that uses slopes finds just that place.

use axletree_scalar::Real;
use axletree_vehicle::Geometry;
use axletree_vehicle::model::layout::{ATTITUDE, POSITION};

use crate::slalom::plant::State;

/// A cone farther than this before or behind the car is not looked at [m].
const NEAR: f64 = 3.0;

/// The outline of the car [m].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outline {
    /// Half of the width [m].
    pub half_width: f64,
    /// The foremost point, forward of O [m].
    pub nose: f64,
    /// The rearmost point, behind O [m].
    pub tail: f64,
}

impl Outline {
    /// The outline of a car.
    pub fn of(geometry: &Geometry) -> Self {
        Outline {
            half_width: 0.5 * geometry.width,
            nose: geometry.nose,
            tail: geometry.tail,
        }
    }
}

/// A cone on the course's center line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cone {
    /// Position along the course [m].
    pub x: f64,
    /// +1 where the car passes on the cone's left, -1 on its right [-].
    pub side: f64,
    /// Radius of its base [m].
    pub radius: f64,
}

/// Where the cone stands against the outline: (dx, q) [m].
#[derive(Clone, Copy, Debug)]
struct Place {
    ahead: f64,
    beside: f64,
    /// Position along the car [m], which tells the two ends apart.
    along: f64,
}

/// Follows one cone through a pass and keeps the least clearance.
#[derive(Clone, Copy, Debug)]
pub struct Pass {
    cone: Cone,
    outline: Outline,
    /// The last two places.
    last: [Option<Place>; 2],
    /// Least distance so far while the cone is before O and while it is behind [m].
    least: [f64; 2],
}

impl Pass {
    /// Nothing seen yet.
    pub fn new(cone: Cone, outline: Outline) -> Self {
        Pass {
            cone,
            outline,
            last: [None; 2],
            least: [1e3; 2],
        }
    }

    /// Sees the next point of the grid; `shift` is added to the car's lateral position [m].
    pub fn see(&mut self, state: &State, shift: f64) {
        let place = [state[POSITION], state[POSITION + 1] + shift];
        self.see_at(place, Real::sin_cos(state[ATTITUDE]));
    }

    /// Whether a car at a place along the course [m] can be near the cone.
    pub fn is_near(&self, x: f64) -> bool {
        (x - self.cone.x).abs() < self.outline.nose.max(self.outline.tail) + NEAR
    }

    /// Sees the next point of the grid: the place of O [m, e], sine and cosine of the heading.
    pub fn see_at(&mut self, place: [f64; 2], (s, c): (f64, f64)) {
        let along = self.cone.x - place[0];
        let across = -place[1];
        let xb = c * along + s * across;
        let yb = c * across - s * along;
        let place = Place {
            ahead: (-xb - self.outline.tail).max(xb - self.outline.nose),
            beside: -yb * self.cone.side - self.outline.half_width,
            along: xb,
        };
        self.keep(place.along, distance(&place));
        if let [Some(before), Some(middle)] = self.last
            && let Some(seen) = beside(&before, &middle, &place)
        {
            self.keep(middle.along, seen);
        }
        if let Some(before) = self.last[1] {
            for corner in [self.outline.nose, -self.outline.tail] {
                if let Some(seen) = past(&before, &place, corner) {
                    self.keep(corner, seen);
                }
            }
        }
        self.last = [self.last[1], Some(place)];
    }

    fn keep(&mut self, along: f64, distance: f64) {
        let part = &mut self.least[usize::from(along < 0.0)];
        *part = part.min(distance);
    }

    /// Least clearance while the cone is before O and while it is behind [m].
    pub fn parts(&self) -> [f64; 2] {
        self.least.map(|least| least - self.cone.radius)
    }

    /// Least clearance of the pass [m].
    pub fn clearance(&self) -> f64 {
        let [before, behind] = self.parts();
        before.min(behind)
    }
}

/// Distance of one place from the outline [m].
fn distance(p: &Place) -> f64 {
    if p.ahead > 0.0 && p.beside > 0.0 {
        Real::hypot(p.ahead, p.beside)
    } else {
        p.ahead.max(p.beside)
    }
}

/// Least distance beside the car between three places, by the parabola through them.
fn beside(a: &Place, b: &Place, c: &Place) -> Option<f64> {
    let is_beside = |p: &Place| p.ahead < p.beside.min(0.0);
    let bend = a.beside + c.beside - 2.0 * b.beside;
    let slope = 0.5 * (c.beside - a.beside);
    // Within half a step of the middle point, so that neighbors do not overlap.
    let lowest = is_beside(a) && is_beside(b) && is_beside(c) && slope.abs() < 0.5 * bend;
    lowest.then(|| b.beside - 0.5 * slope * slope / bend)
}

/// Least distance from a corner of the straight piece between two places.
fn past(a: &Place, b: &Place, corner: f64) -> Option<f64> {
    let (x, y) = (a.along - corner, a.beside);
    let (dx, dy) = (b.along - a.along, b.beside - a.beside);
    let at = -(x * dx + y * dy) / (dx * dx + dy * dy).max(1e-12);
    let (px, py) = (x + at * dx, y + at * dy);
    // Only where the corner is what is nearest: beyond the end and beside the side.
    let nearest = at > 0.0 && at < 1.0 && px * corner.signum() > 0.0 && py > 0.0;
    nearest.then(|| Real::hypot(px, py))
}
