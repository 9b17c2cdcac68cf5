//! The track of a corner exit: an arc to the left or right and the straight behind it.

use axletree_scalar::Real;

/// Center line of the track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ExitTrack {
    /// Radius of the arc `[m]`.
    pub radius: f64,
    /// Angle of the arc `[rad]`.
    pub turn: f64,
    /// Length of the straight behind it `[m]`.
    pub straight: f64,
    /// 1 for an arc to the left, -1 to the right.
    pub side: f64,
}

impl ExitTrack {
    /// Length of the arc `[m]`.
    pub fn arc(&self) -> f64 {
        self.radius * self.turn
    }

    /// Whole length `[m]`.
    pub fn length(&self) -> f64 {
        self.arc() + self.straight
    }

    /// Station along the center line `[m]` and distance from it
    /// `[m, toward the arc's inside positive]` of a point; the arc starts at the origin along x.
    #[inline(always)]
    pub fn place(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let toward = self.radius - self.side * y;
        let angle = Real::atan2(x, toward);
        if angle < self.turn {
            return [self.radius * angle, self.radius - Real::hypot(x, toward)];
        }
        // Along and across the straight, from the end of the arc.
        let (sin, cos) = Real::sin_cos(self.turn);
        let (dx, dy) = (
            x - self.radius * sin,
            self.side * y - self.radius * (1.0 - cos),
        );
        [self.arc() + cos * dx + sin * dy, cos * dy - sin * dx]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stations and distances on the arc, at its end and on the straight, to either side.
    #[test]
    fn law_places() {
        for side in [1.0, -1.0] {
            let track = ExitTrack {
                radius: 25.0,
                turn: 1.2,
                straight: 30.0,
                side,
            };
            let (sin, cos) = Real::sin_cos(1.2_f64);
            let near = |p: [f64; 2], want: [f64; 2]| {
                let got = track.place([p[0], side * p[1]]);
                for k in 0..2 {
                    assert!((got[k] - want[k]).abs() < 1e-12, "{got:?} {want:?}");
                }
            };
            near([0.0, 0.0], [0.0, 0.0]);
            near([0.0, 1.0], [0.0, 1.0]);
            let end = [25.0 * sin, 25.0 * (1.0 - cos)];
            near(end, [30.0, 0.0]);
            // Ten meters on and two to the outside, which is to the right of the direction of
            // travel.
            near(
                [
                    end[0] + 10.0 * cos + 2.0 * sin,
                    end[1] + 10.0 * sin - 2.0 * cos,
                ],
                [40.0, -2.0],
            );
        }
    }
}
