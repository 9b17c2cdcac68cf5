//! Steer of a solid axle by its roll at rest.

use crate::description::data::Description;
use crate::description::declare::keys;

/// Yaw of a solid axle by its roll at rest, a polynomial without constant term `[rad/rad^k]`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct RollSteer(pub [f64; 3]);

impl RollSteer {
    /// Of an axle given by coefficients; none where it is given by its links.
    pub fn given(car: &Description) -> Self {
        // The entry's default is zero, also in a car without an axle.
        RollSteer([car.value(keys::GEOMETRY_ROLL_STEER), 0.0, 0.0])
    }

    /// Yaw at a roll `[rad]`.
    pub fn at(self, roll: f64) -> f64 {
        let [a, b, c] = self.0;
        roll * (a + roll * (b + roll * c))
    }
}
