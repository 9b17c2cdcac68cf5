//! What a unit measures.

use std::fmt;

/// Exponents of length, mass, time and angle.
///
/// Angle counts as a dimension, although the radian is 1, so that `deg/m` and `1/m` are told apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dimension(pub [i8; 4]);

impl Dimension {
    /// A pure number.
    pub const NONE: Dimension = Dimension([0; 4]);

    /// The product of two.
    #[must_use]
    pub fn times(self, other: Dimension, sign: i8) -> Dimension {
        Dimension(std::array::from_fn(|i| {
            self.0[i].saturating_add(other.0[i].saturating_mul(sign))
        }))
    }

    /// The power of one.
    #[must_use]
    pub fn power(self, exponent: i8) -> Dimension {
        Dimension(self.0.map(|e| e.saturating_mul(exponent)))
    }
}

/// Dimensions that have a name: length, mass, time, angle; name.
const NAMES: &[([i8; 4], &str)] = &[
    ([0, 0, 0, 0], "a pure number"),
    ([1, 0, 0, 0], "a length"),
    ([2, 0, 0, 0], "an area"),
    ([3, 0, 0, 0], "a volume"),
    ([0, 1, 0, 0], "a mass"),
    ([0, 0, 1, 0], "a time"),
    ([0, 0, 0, 1], "an angle"),
    ([1, 0, -1, 0], "a speed"),
    ([1, 0, -2, 0], "an acceleration"),
    ([0, 0, -1, 0], "a frequency"),
    ([0, 0, -1, 1], "an angular speed"),
    ([1, 1, -2, 0], "a force"),
    ([2, 1, -2, 0], "a torque or an energy"),
    ([2, 1, -3, 0], "a power"),
    ([-1, 1, -2, 0], "a pressure"),
    ([-3, 1, 0, 0], "a density"),
    ([2, 1, 0, 0], "a moment of inertia"),
    ([0, 1, -2, 0], "a stiffness (force per length)"),
    ([-1, 1, -2, 0], "a pressure or a force per area"),
    ([0, 1, -1, 0], "a damping (force per speed)"),
    ([1, 1, -2, -1], "a force per angle"),
    ([2, 1, -2, -1], "an angular stiffness (torque per angle)"),
    ([2, 1, -1, -1], "an angular damping"),
    ([-1, 0, 0, 1], "an angle per length"),
    ([-2, 0, 0, 1], "an angle per length squared"),
    ([-1, 0, 0, 0], "a number per length"),
    ([0, 0, 0, -1], "a number per angle"),
    ([0, 0, 0, -2], "a number per angle squared"),
    ([1, 0, 0, -2], "a length per angle squared"),
    ([-1, -1, 2, 1], "an angle per force"),
    ([-2, -1, 2, 1], "an angle per torque"),
    ([0, -1, 2, 0], "a compliance (length per force)"),
];

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some((_, name)) = NAMES.iter().find(|(exponents, _)| *exponents == self.0) {
            return f.write_str(name);
        }
        let mut first = true;
        for (symbol, exponent) in ["m", "kg", "s", "rad"].iter().zip(self.0) {
            if exponent == 0 {
                continue;
            }
            if !first {
                f.write_str("*")?;
            }
            first = false;
            f.write_str(symbol)?;
            if exponent != 1 {
                write!(f, "^{exponent}")?;
            }
        }
        Ok(())
    }
}
