//! What a fit tells.

use std::fmt;

use crate::fit::least_squares::Ending;
use crate::spec::TireSpec;

/// One fitted input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fitted {
    /// Path of the input in the description.
    pub name: &'static str,
    /// Its fitted value. [unit of the input]
    pub value: f64,
    /// Its standard error, from the scatter of the rows about the fitted tire; infinite where the
    /// rows do not tell it apart from the others. Rows that the model cannot follow make scatter too. [unit of the input]
    pub standard_error: f64,
}

/// Distances from the rows: root mean square over the rows that measured the channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residuals {
    /// Longitudinal force. [N]
    pub fx: Option<f64>,
    /// Lateral force. [N]
    pub fy: Option<f64>,
    /// Aligning moment. [N m]
    pub mz: Option<f64>,
}

/// Why an input was kept, or a warning about one that was fitted.
#[derive(Clone, Debug, PartialEq)]
pub enum Note {
    /// The rows lack what the input needs.
    Kept {
        /// Path of the input.
        name: &'static str,
        /// The value kept. [unit of the input]
        value: f64,
        /// What the rows would need.
        needs: Need,
    },
    /// The search ran against the limit of the input.
    AtLimit {
        /// Path of the input.
        name: &'static str,
        /// The limit. [unit of the input]
        value: f64,
    },
    /// The rows hardly tell the input.
    Weak {
        /// Path of the input.
        name: &'static str,
        /// The fitted value. [unit of the input]
        value: f64,
        /// Its standard error. [unit of the input]
        standard_error: f64,
    },
}

/// What rows need to hold before an input can be fitted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Need {
    /// Rows of this channel with slip in its direction.
    Channel {
        /// How many there are.
        rows: usize,
        /// How many are needed.
        least: usize,
    },
    /// Loads that differ.
    Loads {
        /// How many there are.
        loads: usize,
        /// How many are needed.
        least: usize,
    },
    /// Pressures that differ.
    Pressures {
        /// How many there are.
        pressures: usize,
        /// How many are needed.
        least: usize,
    },
    /// Inclination.
    Camber {
        /// Largest inclination in the rows. [rad]
        largest: f64,
        /// How much is needed. [rad]
        least: f64,
    },
    /// Slip towards or beyond the peak of the curve.
    Slip {
        /// Largest slip in the rows, 1 at the peak. [-]
        reached: f64,
        /// How much is needed. [-]
        least: f64,
    },
}

impl fmt::Display for Need {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Need::Channel { rows, least } => {
                write!(
                    f,
                    "{rows} rows measure its channel with slip; {least} are needed"
                )
            }
            Need::Loads { loads, least } => {
                write!(f, "the rows hold {loads} load(s); {least} are needed")
            }
            Need::Pressures { pressures, least } => {
                write!(
                    f,
                    "the rows hold {pressures} pressure(s); {least} are needed"
                )
            }
            Need::Camber { largest, least } => write!(
                f,
                "the largest inclination is {:.3} deg; {:.3} deg are needed",
                largest.to_degrees(),
                least.to_degrees()
            ),
            Need::Slip { reached, least } => write!(
                f,
                "the rows reach {reached:.2} times the slip of the largest force; {least:.2} is needed"
            ),
        }
    }
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Note::Kept { name, value, needs } => write!(f, "{name} is kept at {value}: {needs}"),
            Note::AtLimit { name, value } => {
                write!(f, "{name} ran against its limit, {value}")
            }
            Note::Weak {
                name,
                value,
                standard_error,
            } => write!(
                f,
                "{name} = {value:.4} is hardly known from these rows (standard error {standard_error:.2})"
            ),
        }
    }
}

/// A fitted tire.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The description: fitted inputs, and the others as they were at the start.
    pub spec: TireSpec,
    /// What was fitted.
    pub fitted: Vec<Fitted>,
    /// How far the tire is from the rows.
    pub residuals: Residuals,
    /// What was kept and why, and what is hardly known.
    pub notes: Vec<Note>,
    /// How the search ended.
    pub ending: Ending,
    /// Steps of the search.
    pub iterations: usize,
}
