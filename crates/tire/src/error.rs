//! What can be wrong.

use thiserror::Error;

/// One input of a tire's description that cannot be.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum Fault {
    /// Outside its range, or not a number.
    #[error(
        "{field} is {value} {unit}; it must be {} {low} and at most {high} {unit}",
        if *.low_allowed { "at least" } else { "above" }
    )]
    Range {
        /// Path of the input.
        field: &'static str,
        /// What was given.
        value: f64,
        /// Unit of the numbers.
        unit: &'static str,
        /// Lower end.
        low: f64,
        /// Upper end, allowed.
        high: f64,
        /// Whether the lower end is allowed.
        low_allowed: bool,
    },
    /// A coefficient of pressure leaves too little at the pressure asked for.
    #[error(
        "{field} = {coefficient} leaves a factor of {factor:.4} at {pressure} Pa; at least {least} \
         is needed: is the pressure right, or the coefficient too large for it?"
    )]
    Pressure {
        /// Path of the coefficient.
        field: &'static str,
        /// The coefficient. [-]
        coefficient: f64,
        /// The pressure. [Pa]
        pressure: f64,
        /// The factor that results. [-]
        factor: f64,
        /// The least factor allowed. [-]
        least: f64,
    },
}

/// What can be wrong with a tire.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum TireError {
    /// The description.
    #[error("{} of the tire's inputs cannot be: {}", .0.len(), join(.0))]
    Spec(Vec<Fault>),
    /// A measured row is not a number, or cannot be a tire's.
    #[error(
        "row {row}: {field} is {value} {unit}; it must lie from {low} to {high} {unit} \
         (are angles in radians, slip as a ratio, loads in newtons?)"
    )]
    Row {
        /// Place of the row, from zero.
        row: usize,
        /// The row's field.
        field: &'static str,
        /// What was given.
        value: f64,
        /// Least value allowed.
        low: f64,
        /// Largest value allowed.
        high: f64,
        /// Unit of the numbers.
        unit: &'static str,
    },
    /// The rows hold too few measured values for the inputs that their variety would let us fit.
    #[error(
        "{values} measured values are too few to fit {inputs} inputs; at least {needed} are needed, \
         and three rows with slip in a direction before anything of that direction is fitted"
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

fn join(faults: &[Fault]) -> String {
    let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
    lines.join("; ")
}
