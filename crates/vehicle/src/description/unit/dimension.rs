//! Dimensions of units.

use std::fmt;

/// Exponents of length, mass, time and angle.
///
/// Angle counts as a dimension, although the radian is 1, so that `deg/m` and `1/m` differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dimension(pub [i8; 4]);

impl Dimension {
    /// A pure number.
    pub const NONE: Dimension = Dimension([0; 4]);

    /// The product of two, or with `sign` -1 the quotient; nothing where an exponent is too large.
    #[must_use]
    pub fn times(self, other: Dimension, sign: i8) -> Option<Dimension> {
        let mut product = self;
        for (exponent, by) in product.0.iter_mut().zip(other.0) {
            *exponent = exponent.checked_add(by.checked_mul(sign)?)?;
        }
        Some(product)
    }

    /// The power of one; nothing where an exponent is too large.
    #[must_use]
    pub fn power(self, exponent: i8) -> Option<Dimension> {
        let mut power = self;
        for own in &mut power.0 {
            *own = own.checked_mul(exponent)?;
        }
        Some(power)
    }
}

/// Dimensions that have a name: length, mass, time, angle; name; SI unit.
const NAMES: &[([i8; 4], &str, &str)] = &[
    ([0, 0, 0, 0], "a pure number", ""),
    ([1, 0, 0, 0], "a length", "m"),
    ([2, 0, 0, 0], "an area", "m^2"),
    ([3, 0, 0, 0], "a volume", "m^3"),
    ([0, 1, 0, 0], "a mass", "kg"),
    ([0, 0, 1, 0], "a time", "s"),
    ([0, 0, 0, 1], "an angle", "rad"),
    ([1, 0, -1, 0], "a speed", "m/s"),
    ([1, 0, -2, 0], "an acceleration", "m/s^2"),
    ([0, 0, -1, 0], "a frequency", "1/s"),
    ([0, 0, -1, 1], "an angular speed", "rad/s"),
    ([1, 1, -2, 0], "a force", "N"),
    ([2, 1, -2, 0], "a torque or an energy", "N*m"),
    ([2, 1, -3, 0], "a power", "W"),
    ([-1, 1, -2, 0], "a pressure", "Pa"),
    ([-3, 1, 0, 0], "a density", "kg/m^3"),
    ([2, 1, 0, 0], "a moment of inertia", "kg*m^2"),
    ([0, 1, -2, 0], "a stiffness (force per length)", "N/m"),
    ([0, 1, -1, 0], "a damping (force per speed)", "N*s/m"),
    ([1, 1, -2, -1], "a force per angle", "N/rad"),
    (
        [2, 1, -2, -1],
        "an angular stiffness (torque per angle)",
        "N*m/rad",
    ),
    ([2, 1, -1, -1], "an angular damping", "N*m*s/rad"),
    ([-1, 0, 0, 1], "an angle per length", "rad/m"),
    ([-2, 0, 0, 1], "an angle per length squared", "rad/m^2"),
    ([-1, 0, 0, 0], "a number per length", "1/m"),
    ([0, 0, 0, -1], "a number per angle", "1/rad"),
    ([0, 0, 0, -2], "a number per angle squared", "1/rad^2"),
    ([1, 0, 0, -2], "a length per angle squared", "m/rad^2"),
    ([-1, -1, 2, 1], "an angle per force", "rad/N"),
    ([-2, -1, 2, 1], "an angle per torque", "rad/(N*m)"),
    ([0, -1, 2, 0], "a compliance (length per force)", "m/N"),
];

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some((_, name, _)) = self.named() {
            return f.write_str(name);
        }
        f.write_str(&self.in_base_units())
    }
}

impl Dimension {
    fn named(self) -> Option<&'static ([i8; 4], &'static str, &'static str)> {
        NAMES.iter().find(|(exponents, _, _)| *exponents == self.0)
    }

    /// The SI unit, empty for a pure number.
    pub fn si_unit(self) -> String {
        self.named()
            .map_or_else(|| self.in_base_units(), |(_, _, unit)| (*unit).to_owned())
    }

    fn in_base_units(self) -> String {
        let mut text = String::new();
        for (symbol, exponent) in ["m", "kg", "s", "rad"].iter().zip(self.0) {
            if exponent == 0 {
                continue;
            }
            if !text.is_empty() {
                text.push('*');
            }
            text.push_str(symbol);
            if exponent != 1 {
                text.push('^');
                text.push_str(&exponent.to_string());
            }
        }
        text
    }
}
