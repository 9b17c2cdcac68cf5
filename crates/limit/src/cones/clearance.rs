//! Clearance between the car's outline and a cone.
//!
//! The outline is a rectangle in level heading axes at O: half width b, nose n forward of O, tail m
//! behind it. A cone at (xb, yb) in these axes, which the car passes on the cone's left (`side` +1)
//! or right (`side` -1), is at the distances
//!
//! ```text
//! q  = -side yb - b              beside the car
//! dx = max(-m - xb, xb - n)      before or behind the car
//! g  = sqrt(dx^2 + q^2)          where both are positive: a corner is nearest
//! g  = max(dx, q)                elsewhere
//! clearance = g - radius
//! ```
//!
//! This is the rectangle extended without end on the side away from the cone: a car that passes on
//! the wrong side has a negative clearance that falls steadily with its error, instead of one that
//! turns positive again.
//!
//! The least clearance of a pass is found between the points of the integration grid too: from a
//! parabola through three points while the cone is beside the car, and from the straight segment's
//! closest approach to a corner elsewhere. The grid points alone err by millimeters, which roughens
//! the function that a search differentiates.
//!
//! The least is kept separately for the time while the cone is before O and while it is behind.
//! Where nose and tail come equally near, the least of both has a kink, and a search that follows
//! slopes is drawn to that point.

use axletree_scalar::Real;

use super::outline::Outline;

/// Margin beyond nose and tail within which a cone is followed `[m]`.
const FOLLOWED_MARGIN: f64 = 3.0;

/// Clearance of a pass in which the cone has not come near `[m]`: larger than any real one.
const UNSEEN: f64 = 1e3;

/// A cone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Cone {
    /// Position along the course `[m]`.
    pub x: f64,
    /// Position left of the course's axis `[m]`.
    pub y: f64,
    /// +1 where the car passes on the cone's left, -1 on its right `[-]`.
    pub side: f64,
    /// Radius of its base `[m]`.
    pub radius: f64,
}

/// Position of the cone relative to the outline.
#[derive(Clone, Copy, Debug)]
struct RelativePosition {
    /// Distance before or behind the car, dx `[m]`.
    ahead: f64,
    /// Distance beside the car, q `[m]`.
    beside: f64,
    /// Position forward of O, xb `[m]`; its sign tells the two ends of the car apart.
    along: f64,
}

/// Least clearance of one cone, followed through a pass.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ConePass {
    cone: Cone,
    outline: Outline,
    /// The last two positions.
    last: [Option<RelativePosition>; 2],
    /// Least distance so far, while the cone is before O and while it is behind `[m]`.
    least: [f64; 2],
}

impl ConePass {
    /// A pass of which nothing has been observed.
    pub fn new(cone: Cone, outline: Outline) -> Self {
        ConePass {
            cone,
            outline,
            last: [None; 2],
            least: [UNSEEN; 2],
        }
    }

    /// Whether a car with O at a position along the course `[m]` may be near the cone.
    pub fn is_near(&self, x: f64) -> bool {
        (x - self.cone.x).abs() < self.outline.nose.max(self.outline.tail) + FOLLOWED_MARGIN
    }

    /// Takes the next point of the grid: position of O `[m]`, sine and cosine of the heading.
    pub fn observe(&mut self, position: [f64; 2], (s, c): (f64, f64)) {
        let along = self.cone.x - position[0];
        let across = self.cone.y - position[1];
        let xb = c * along + s * across;
        let yb = c * across - s * along;
        let here = RelativePosition {
            ahead: (-xb - self.outline.tail).max(xb - self.outline.nose),
            beside: -yb * self.cone.side - self.outline.half_width,
            along: xb,
        };
        self.keep(here.along, distance(&here));
        if let [Some(before), Some(middle)] = self.last
            && let Some(least) = least_beside(&before, &middle, &here)
        {
            self.keep(middle.along, least);
        }
        if let Some(before) = self.last[1] {
            for corner in [self.outline.nose, -self.outline.tail] {
                if let Some(least) = least_past_corner(&before, &here, corner) {
                    self.keep(corner, least);
                }
            }
        }
        self.last = [self.last[1], Some(here)];
    }

    fn keep(&mut self, along: f64, distance: f64) {
        let part = &mut self.least[usize::from(along < 0.0)];
        *part = part.min(distance);
    }

    /// Least clearance while the cone is before O and while it is behind `[m]`.
    pub fn parts(&self) -> [f64; 2] {
        self.least.map(|least| least - self.cone.radius)
    }

    /// Least clearance of the pass `[m]`.
    pub fn clearance(&self) -> f64 {
        let [before, behind] = self.parts();
        before.min(behind)
    }
}

/// Distance of one position from the outline, g `[m]`.
fn distance(p: &RelativePosition) -> f64 {
    if p.ahead > 0.0 && p.beside > 0.0 {
        Real::hypot(p.ahead, p.beside)
    } else {
        p.ahead.max(p.beside)
    }
}

/// Least distance beside the car near the middle one of three positions, by the parabola through
/// them.
fn least_beside(a: &RelativePosition, b: &RelativePosition, c: &RelativePosition) -> Option<f64> {
    let is_beside = |p: &RelativePosition| p.ahead < p.beside.min(0.0);
    let bend = a.beside + c.beside - 2.0 * b.beside;
    let slope = 0.5 * (c.beside - a.beside);
    // Within half a step of the middle position, so that neighbors do not overlap.
    let lowest = is_beside(a) && is_beside(b) && is_beside(c) && slope.abs() < 0.5 * bend;
    lowest.then(|| b.beside - 0.5 * slope * slope / bend)
}

/// Least distance of a corner from the straight segment between two positions.
fn least_past_corner(a: &RelativePosition, b: &RelativePosition, corner: f64) -> Option<f64> {
    let (x, y) = (a.along - corner, a.beside);
    let (dx, dy) = (b.along - a.along, b.beside - a.beside);
    let at = -(x * dx + y * dy) / (dx * dx + dy * dy).max(1e-12);
    let (px, py) = (x + at * dx, y + at * dy);
    // Only where the corner is the nearest point: beyond the end and beside the side.
    let nearest = at > 0.0 && at < 1.0 && px * corner.signum() > 0.0 && py > 0.0;
    nearest.then(|| Real::hypot(px, py))
}

#[cfg(test)]
mod tests {
    use super::*;

    const OUTLINE: Outline = Outline {
        half_width: 0.9,
        nose: 2.0,
        tail: 2.4,
    };

    fn pass(x: f64, side: f64, radius: f64) -> ConePass {
        let cone = Cone {
            x,
            y: 0.0,
            side,
            radius,
        };
        ConePass::new(cone, OUTLINE)
    }

    /// A straight pass leaves the lateral distance less half the width and the cone's radius; on
    /// the wrong side the clearance is as much below zero (plane geometry).
    #[test]
    fn val_clearance_of_a_straight_pass() {
        for (y, side, want) in [
            (1.3, 1.0, 1.3 - 0.9 - 0.18),
            (-1.3, -1.0, 1.3 - 0.9 - 0.18),
            (-1.3, 1.0, -1.3 - 0.9 - 0.18),
        ] {
            let mut pass = pass(0.0, side, 0.18);
            for i in 0..=100 {
                pass.observe([-5.0 + 0.1 * f64::from(i), y], (0.0, 1.0));
            }
            assert!((pass.clearance() - want).abs() < 1e-12, "{y} {side}");
        }
    }

    /// A car that turns on the spot by the yaw angle psi: a cone at (x, 0) moves on a circle about
    /// O, so that its distances have a closed form, `x sin(psi)` from the axis beside the car and
    /// `x - |corner|` at the corner.
    #[test]
    fn val_clearance_of_a_turning_car() {
        let turned = |x: f64, from: f64, to: f64, n: u32| {
            let mut pass = pass(x, 1.0, 0.0);
            for i in 0..=n {
                let yaw: f64 = from + (to - from) * f64::from(i) / f64::from(n);
                pass.observe([0.0, 0.0], Real::sin_cos(yaw));
            }
            pass.clearance()
        };
        // Beside the car all the way: the least is at the smallest yaw angle.
        let want = 1.5 * Real::sin(1.0_f64) - 0.9;
        assert!((turned(1.5, 1.0, 1.8, 13) - want).abs() < 1e-12);
        // Past the front corner in steps of 0.094 rad, 0.28 m of the cone's way at its radius of 3
        // m. A chord of s = 0.28 m lies at most s^2/(8 r) = 3.3 mm inside the arc.
        let corner: f64 = Real::hypot(2.0_f64, 0.9);
        let least = turned(3.0, 0.05, 0.9, 9);
        assert!((least - (3.0 - corner)).abs() < 3.3e-3, "{least}");
    }
}
