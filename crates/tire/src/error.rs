//! Errors of tires and of fits.

use thiserror::Error;

use crate::shown::Shown;

/// A fault of a tire's description.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum TireFault {
    /// An input outside its range, or not a number.
    #[error(
        "{field} = {} is out of range (allowed: {} to {})",
        Shown(*.value, .unit), Shown(*.low, ""), Shown(*.high, .unit)
    )]
    Range {
        /// Key of the input.
        field: &'static str,
        /// Value given.
        value: f64,
        /// Unit of the numbers; empty for a pure number.
        unit: &'static str,
        /// Least value allowed.
        low: f64,
        /// Largest value allowed.
        high: f64,
    },
    /// A coefficient of pressure that leaves too little of a stiffness or load at a pressure.
    #[error(
        "{field} = {coefficient} leaves a factor of {factor:.4} at {} (allowed: at least {least}); \
         check the pressure, or choose a smaller coefficient",
        Shown(*.pressure / 1e3, "kPa")
    )]
    Pressure {
        /// Key of the coefficient.
        field: &'static str,
        /// The coefficient. `[-]`
        coefficient: f64,
        /// The pressure. `[Pa]`
        pressure: f64,
        /// The factor that results. `[-]`
        factor: f64,
        /// The least factor allowed. `[-]`
        least: f64,
    },
}

/// An error of a tire or of a fit.
#[derive(Clone, Debug, PartialEq, Error)]
#[non_exhaustive]
pub enum TireError {
    /// The description has faults.
    #[error("{}: {}", count(.0), join(.0))]
    Spec(Vec<TireFault>),
    /// A field of a measured row is not a number or is out of range.
    #[error(
        "row {row}: {field} = {} is out of range (allowed: {} to {}); \
         angles are in radians, slip is a ratio, loads are in newtons, pressures in pascals",
        Shown(*.value, .unit), Shown(*.low, ""), Shown(*.high, .unit)
    )]
    Row {
        /// Place of the row, from zero.
        row: usize,
        /// Field of the row.
        field: &'static str,
        /// Value given.
        value: f64,
        /// Least value allowed.
        low: f64,
        /// Largest value allowed.
        high: f64,
        /// Unit of the numbers; empty for a pure number.
        unit: &'static str,
    },
    /// The caller asked to stop.
    #[error("interrupted")]
    Interrupted,
    /// The rows hold fewer measured values than a fit of the inputs they determine needs.
    #[error(
        "{values} measured values are too few to fit {inputs} input(s): at least {needed} are needed, \
         and at least three rows with slip in a direction before any input of that direction is fitted"
    )]
    TooFewValues {
        /// Measured values in the rows.
        values: usize,
        /// Values needed.
        needed: usize,
        /// Inputs to fit.
        inputs: usize,
    },
}

fn count(faults: &[TireFault]) -> String {
    match faults.len() {
        1 => "1 tire input is out of range".to_owned(),
        n => format!("{n} tire inputs are out of range"),
    }
}

fn join(faults: &[TireFault]) -> String {
    let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
    lines.join("; ")
}
