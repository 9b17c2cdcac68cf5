//! The result of a fit.

use std::fmt;

use crate::shown::Shown;
use crate::spec::TireSpec;

/// A fitted input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FittedInput {
    /// Key of the input.
    pub name: &'static str,
    /// Fitted value. `[SI unit of the input]`
    pub value: f64,
    /// Standard error, from the scatter of the rows about the fitted tire. `[SI unit of the input]`
    ///
    /// Infinite at a limit, and where the rows do not determine the input apart from the others.
    /// Rows that the model cannot follow count as scatter too.
    pub standard_error: f64,
}

/// Residuals of a description: root mean square over the rows that measure a channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residuals {
    /// Longitudinal force. `[N]`
    pub fx: Option<f64>,
    /// Lateral force. `[N]`
    pub fy: Option<f64>,
    /// Aligning moment. `[N*m]`
    pub mz: Option<f64>,
}

/// A remark on an input: why it was kept, or a warning about its fitted value.
#[derive(Clone, Debug, PartialEq)]
pub enum FitNote {
    /// The rows do not determine the input; it keeps its value.
    Kept {
        /// Key of the input.
        name: &'static str,
        /// Value kept. `[SI unit of the input]`
        value: f64,
        /// Data that the rows lack.
        missing: MissingData,
    },
    /// The search ended at a limit of the input.
    AtLimit {
        /// Key of the input.
        name: &'static str,
        /// The limit. `[SI unit of the input]`
        value: f64,
    },
    /// The rows determine the input poorly: its standard error is at least half of its value.
    Weak {
        /// Key of the input.
        name: &'static str,
        /// Fitted value. `[SI unit of the input]`
        value: f64,
        /// Its standard error. `[SI unit of the input]`
        standard_error: f64,
    },
}

/// Data that rows lack to determine an input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MissingData {
    /// Rows that measure the channel of the input, with slip in its direction.
    FittedChannel {
        /// Number of such rows.
        rows: usize,
        /// Number needed.
        least: usize,
    },
    /// Different loads.
    Loads {
        /// Number of different loads.
        loads: usize,
        /// Number needed.
        least: usize,
    },
    /// Different pressures.
    Pressures {
        /// Number of different pressures.
        pressures: usize,
        /// Number needed.
        least: usize,
    },
    /// Inclination.
    Camber {
        /// Largest inclination of the rows. `[rad]`
        largest: f64,
        /// Inclination needed. `[rad]`
        least: f64,
    },
    /// Slip near or beyond the peak of the force curve.
    Slip {
        /// Largest slip of the rows, 1 at the peak. `[-]`
        reached: f64,
        /// Slip needed. `[-]`
        least: f64,
    },
}

impl fmt::Display for MissingData {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MissingData::FittedChannel { rows, least } => write!(
                f,
                "{rows} rows measure its channel with slip; {least} are needed"
            ),
            MissingData::Loads { loads, least } => {
                write!(f, "the rows hold {loads} load(s); {least} are needed")
            }
            MissingData::Pressures { pressures, least } => write!(
                f,
                "the rows hold {pressures} pressure(s); {least} are needed"
            ),
            MissingData::Camber { largest, least } => write!(
                f,
                "the largest inclination is {:.3} deg; {:.3} deg are needed",
                largest.to_degrees(),
                least.to_degrees()
            ),
            MissingData::Slip { reached, least } => write!(
                f,
                "the rows reach {reached:.2} times the slip of the largest force; {least:.2} is needed"
            ),
        }
    }
}

impl fmt::Display for FitNote {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FitNote::Kept {
                name,
                value,
                missing,
            } => write!(f, "{name} is kept at {}: {missing}", Shown(*value, "")),
            FitNote::AtLimit { name, value } => {
                write!(f, "{name} ended at its limit, {}", Shown(*value, ""))
            }
            FitNote::Weak {
                name,
                value,
                standard_error,
            } => write!(
                f,
                "{name} = {} is poorly determined by these rows (standard error {})",
                Shown(*value, ""),
                Shown(*standard_error, "")
            ),
        }
    }
}

/// A fitted tire, with how well the rows determine it.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The description: fitted inputs, and all others as at the start.
    pub spec: TireSpec,
    /// The fitted inputs.
    pub fitted: Vec<FittedInput>,
    /// Residuals of the fitted description.
    pub residuals: Residuals,
    /// Inputs kept and why, inputs at a limit, inputs poorly determined.
    pub notes: Vec<FitNote>,
    /// Whether every search met its stopping rule; else one used up its steps.
    pub converged: bool,
    /// Steps of all searches.
    pub iterations: usize,
}
