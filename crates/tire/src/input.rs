//! The declaration of one input of a tire.

use crate::spec::TireSpec;

/// The unit in which an input is declared and written in a car file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InputUnit {
    /// Name as written in a car file; empty for a pure number.
    pub name: &'static str,
    /// Name of the SI unit; empty for a pure number.
    pub si: &'static str,
    /// Numerator of the factor to SI.
    pub numerator: f64,
    /// Denominator of the factor to SI.
    pub denominator: f64,
}

impl InputUnit {
    pub(crate) const fn new(
        name: &'static str,
        si: &'static str,
        numerator: f64,
        denominator: f64,
    ) -> Self {
        InputUnit {
            name,
            si,
            numerator,
            denominator,
        }
    }

    /// The SI value of a number of this unit.
    pub const fn to_si(&self, value: f64) -> f64 {
        value * self.numerator / self.denominator
    }
}

/// How the usual value of an input follows from the size of the tire.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scaling {
    /// The same for tires of every size.
    None,
    /// In proportion to the nominal load.
    Load,
    /// In proportion to the unloaded radius.
    Radius,
}

/// Nominal load of the reference tire, for which usual values are stated. `[N]`
pub const REFERENCE_LOAD: f64 = 4000.0;

/// Unloaded radius of the reference tire, for which usual values are stated. `[m]`
pub const REFERENCE_RADIUS: f64 = 0.3;

/// An input of a tire's description, declared once.
///
/// Checks, the fit, the car file and [`TireSpec::typical`] all read this declaration.
///
/// ```
/// use axletree_tire::{TireSpec, input};
///
/// let friction = input("lateral.friction");
/// let tire = TireSpec::typical(0.31, 4000.0);
/// assert_eq!((friction.get)(&tire), tire.lateral.friction);
/// assert_eq!(friction.range_si(), [0.1, 3.0]);
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Input {
    /// Dotted path in [`TireSpec`]: `lateral.friction`.
    pub key: &'static str,
    /// Dotted path of its entry below an end of a car file: `tire.lateral.friction`.
    pub entry: &'static str,
    /// Unit of the range and of the usual value.
    pub unit: InputUnit,
    /// Least and largest value allowed, in `unit`.
    pub range: [f64; 2],
    /// Usual value for a tire of [`REFERENCE_LOAD`] and [`REFERENCE_RADIUS`], in `unit`.
    pub usual: f64,
    /// The usual value as a car file writes it: `220 kPa`.
    pub usual_text: &'static str,
    /// Reason or source of the usual value.
    pub reason: &'static str,
    /// How the usual value follows from the size of the tire.
    pub scaling: Scaling,
    /// Whether a car file must state it: the usual value is no default there.
    pub required: bool,
    /// Whether a factor `1 + value dp` at a relative pressure change `dp` follows from it.
    pub pressure_factor: bool,
    /// Meaning.
    pub meaning: &'static str,
    /// Reads it, in SI units.
    pub get: fn(&TireSpec) -> f64,
    /// Writes it, in SI units.
    pub set: fn(&mut TireSpec, f64),
}

impl Input {
    /// The same, to be stated in every car file.
    pub(crate) const fn required(self) -> Self {
        Input {
            required: true,
            ..self
        }
    }

    /// The same with a usual value in proportion to the size of the tire.
    pub(crate) const fn scaled(self, scaling: Scaling) -> Self {
        Input { scaling, ..self }
    }

    /// The same as a coefficient of pressure.
    pub(crate) const fn of_pressure(self) -> Self {
        Input {
            pressure_factor: true,
            ..self
        }
    }

    /// Least and largest value allowed. `[SI]`
    pub const fn range_si(&self) -> [f64; 2] {
        [
            self.unit.to_si(self.range[0]),
            self.unit.to_si(self.range[1]),
        ]
    }

    /// The usual value for a tire of an unloaded radius `[m]` and a nominal load `[N]`, held to the
    /// allowed range. `[SI]`
    pub fn usual_si(&self, unloaded_radius: f64, nominal_load: f64) -> f64 {
        let [low, high] = self.range_si();
        let reference = self.unit.to_si(self.usual);
        match self.scaling {
            Scaling::None => reference,
            Scaling::Load => reference * nominal_load / REFERENCE_LOAD,
            Scaling::Radius => reference * unloaded_radius / REFERENCE_RADIUS,
        }
        .clamp(low, high)
    }
}
