//! Lengths and frequencies that follow from the spacing of the cones.
//!
//! X is the position along the course: cone number i (from zero) stands at X = i S with the spacing
//! S, the car passes to the left of those of even number. A period is two cones long, from X = -S/2 to
//! 3S/2.

use std::f64::consts::PI;

use super::settings::Slalom;
use crate::cones::Cone;

/// Least number of steps from a cone to the middle between two.
const LEAST_STEPS: f64 = 4.0;

/// Geometry of a slalom.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct SlalomGeometry {
    /// Distance between neighboring cones, S `[m]`.
    pub spacing: f64,
    cone_radius: f64,
}

/// Integration grid of a period: cones and both ends lie on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PeriodGrid {
    /// Step along the course `[m]`.
    pub step: f64,
    /// Number of steps of a period.
    pub steps: usize,
}

impl SlalomGeometry {
    /// Geometry of a slalom.
    pub fn of(slalom: &Slalom) -> Self {
        SlalomGeometry {
            spacing: slalom.spacing,
            cone_radius: slalom.cone_radius,
        }
    }

    /// Cone of a number, from zero.
    pub fn cone(&self, number: usize) -> Cone {
        Cone {
            x: number as f64 * self.spacing,
            y: 0.0,
            side: if number.is_multiple_of(2) { 1.0 } else { -1.0 },
            radius: self.cone_radius,
        }
    }

    /// Lateral position of O at which a car of a width `[m]` grazes a cone, running straight `[m]`.
    pub fn grazing_offset(&self, width: f64) -> f64 {
        0.5 * width + self.cone_radius
    }

    /// Start of the period, -S/2 `[m]`.
    pub fn period_start(&self) -> f64 {
        -0.5 * self.spacing
    }

    /// Grid of a period with steps of at most a length `[m]`.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count: whole, small, not negative"
    )]
    pub fn grid(&self, longest_step: f64) -> PeriodGrid {
        let half = ((0.5 * self.spacing / longest_step) - 1e-9)
            .ceil()
            .max(LEAST_STEPS) as usize;
        PeriodGrid {
            step: 0.5 * self.spacing / half as f64,
            steps: 4 * half,
        }
    }

    /// Position of a half step of the grid in spacings, X/S `[-]`.
    pub fn place_of(&self, grid: PeriodGrid, half_step: usize) -> f64 {
        0.5 * (half_step as f64 * grid.step - self.spacing) / self.spacing
    }

    /// Position along the course, in a course whose approach is `approach` spacings long, of a half
    /// step of the grid `[m]`.
    pub fn course_position(&self, grid: PeriodGrid, approach: f64, half_step: usize) -> f64 {
        0.5 * grid.step * half_step as f64 - (approach + 0.5) * self.spacing
    }

    /// Angular frequency of the steering at a speed `[m/s]`, pi V/S `[rad/s]`.
    pub fn angular_frequency(&self, speed: f64) -> f64 {
        PI * speed / self.spacing
    }

    /// Speed `[m/s]` at which the sine path `y = A cos(pi X/S)` of an amplitude `[m]` takes a
    /// lateral acceleration `[m/s^2]` at its crests: `(S/pi) sqrt(a/A)`.
    pub fn sine_speed(&self, acceleration: f64, amplitude: f64) -> f64 {
        self.spacing / PI * (acceleration / amplitude).sqrt()
    }
}
