//! The rectangle that stands for the car, in level heading axes at O.

use axletree_vehicle::Geometry;

/// Rectangular outline of a car.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Outline {
    /// Half of the width `[m]`.
    pub half_width: f64,
    /// Foremost point, forward of O `[m]`.
    pub nose: f64,
    /// Rearmost point, behind O `[m]`.
    pub tail: f64,
}

impl Outline {
    /// Outline of a car.
    pub fn of(geometry: &Geometry) -> Self {
        Outline {
            half_width: 0.5 * geometry.width,
            nose: geometry.nose,
            tail: geometry.tail,
        }
    }
}
