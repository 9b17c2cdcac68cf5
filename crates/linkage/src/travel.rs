//! Travel of a wheel or an axle, and displacement of the rack.

use std::fmt;

/// Position of a linkage in its travel.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Travel {
    /// Rise of the wheel or axle center `[m]`.
    pub heave: f64,
    /// Roll of an axle, left side up positive; zero for a corner `[rad]`.
    pub roll: f64,
    /// Displacement of the steering rack, left positive `[m]`.
    pub rack: f64,
}

impl Travel {
    /// The static position.
    pub const STATIC: Travel = Travel {
        heave: 0.0,
        roll: 0.0,
        rack: 0.0,
    };

    /// Heave alone `[m]`.
    pub const fn heave(heave: f64) -> Self {
        Travel {
            heave,
            ..Travel::STATIC
        }
    }

    /// Roll alone `[rad]`.
    pub const fn roll(roll: f64) -> Self {
        Travel {
            roll,
            ..Travel::STATIC
        }
    }
}

impl fmt::Display for Travel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "heave {:.1} mm, roll {:.2} deg, rack {:.1} mm",
            self.heave * 1e3,
            self.roll.to_degrees(),
            self.rack * 1e3
        )
    }
}
