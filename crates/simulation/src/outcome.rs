//! How a run ended.
//!
//! Every run ends with a named outcome and the time, and keeps what it computed until then. A run
//! that leaves what the model can describe is stopped there.

use std::fmt;

use axletree_numerics::sqp::Stopped;

/// Why a run ended.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Outcome {
    /// It ran to its end.
    Completed,
    /// The car spun: its sideslip went beyond what driving forward means.
    Spun {
        /// Sideslip angle [rad, left positive].
        sideslip: f64,
    },
    /// The body rolled beyond what the model describes.
    RolledOver {
        /// Roll angle [rad, right side down positive].
        roll: f64,
    },
    /// Both wheels of one side left the road.
    TwoWheelLift {
        /// Whether it was the left side.
        left: bool,
    },
    /// The car came almost to rest.
    Stopped {
        /// Speed left [m/s].
        speed: f64,
    },
    /// A number stopped being finite.
    NotFinite {
        /// The first channel in which it was seen.
        channel: &'static str,
    },
    /// No steady state exists, or none was found, for what was asked.
    NoSteadyState {
        /// Speed asked for [m/s].
        speed: f64,
        /// Lateral acceleration asked for [m/s^2].
        lateral_acceleration: f64,
    },
    /// The driveline cannot deliver what the maneuver asks for.
    NotEnoughPower {
        /// Speed [m/s].
        speed: f64,
        /// Drive torque at the wheels together that is missing [N m].
        missing_torque: f64,
    },
    /// In the gear asked for the engine would stall or turn too fast, or there is no such gear.
    WrongGear {
        /// Gear, counted from 1.
        gear: usize,
        /// Engine speed in it; not a number where there is no such gear [rad/s].
        engine_speed: f64,
    },
    /// The car left the path it was to follow.
    LeftPath {
        /// Distance from the path [m, left positive].
        deviation: f64,
    },
    /// A cone was hit or passed on the wrong side.
    ConeHit {
        /// Number of the cone, from one.
        number: usize,
        /// Clearance to it, negative [m].
        clearance: f64,
    },
    /// A search ended before it converged.
    NotConverged {
        /// Passes made.
        passes: usize,
        /// What remained, in the search's own measure.
        residual: f64,
    },
    /// The car could not be built from its description.
    NotBuilt,
    /// The caller asked to stop.
    Interrupted,
}

impl Outcome {
    /// Short stable name for tables and comparisons.
    pub fn name(&self) -> &'static str {
        match self {
            Outcome::Completed => "completed",
            Outcome::Spun { .. } => "spun",
            Outcome::RolledOver { .. } => "rolled_over",
            Outcome::TwoWheelLift { .. } => "two_wheel_lift",
            Outcome::Stopped { .. } => "stopped",
            Outcome::NotFinite { .. } => "not_finite",
            Outcome::NoSteadyState { .. } => "no_steady_state",
            Outcome::NotEnoughPower { .. } => "not_enough_power",
            Outcome::WrongGear { .. } => "wrong_gear",
            Outcome::LeftPath { .. } => "left_path",
            Outcome::ConeHit { .. } => "cone_hit",
            Outcome::NotConverged { .. } => "not_converged",
            Outcome::NotBuilt => "not_built",
            Outcome::Interrupted => "interrupted",
        }
    }

    /// Whether the run ran to its end.
    pub fn is_completed(&self) -> bool {
        *self == Outcome::Completed
    }
}

impl From<Stopped> for Outcome {
    fn from(stopped: Stopped) -> Self {
        match stopped {
            Stopped::Interrupted => Outcome::Interrupted,
            Stopped::NotConverged { passes, residual } => {
                Outcome::NotConverged { passes, residual }
            }
        }
    }
}

impl fmt::Display for Outcome {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Outcome::Completed => write!(f, "completed"),
            Outcome::Spun { sideslip } => {
                write!(f, "spun: sideslip {:.1} deg", sideslip.to_degrees())
            }
            Outcome::RolledOver { roll } => {
                write!(f, "rolled over: roll {:.1} deg", roll.to_degrees())
            }
            Outcome::TwoWheelLift { left } => write!(
                f,
                "two-wheel lift: both {} wheels left the road",
                if left { "left" } else { "right" }
            ),
            Outcome::Stopped { speed } => write!(f, "stopped: {speed:.2} m/s left"),
            Outcome::NotFinite { channel } => write!(f, "not finite: {channel}"),
            Outcome::NoSteadyState {
                speed,
                lateral_acceleration,
            } => write!(
                f,
                "no steady state at {speed:.2} m/s with {lateral_acceleration:.2} m/s^2"
            ),
            Outcome::NotEnoughPower {
                speed,
                missing_torque,
            } => write!(
                f,
                "not enough power at {speed:.2} m/s: {missing_torque:.0} N m are missing at the wheels"
            ),
            Outcome::WrongGear { gear, engine_speed } => write!(
                f,
                "gear {gear} does not suit: the engine would turn at {:.0} rpm",
                engine_speed * 30.0 / std::f64::consts::PI
            ),
            Outcome::LeftPath { deviation } => write!(f, "left the path by {deviation:.2} m"),
            Outcome::ConeHit { number, clearance } => {
                write!(f, "cone {number} hit: clearance {:.0} mm", clearance * 1e3)
            }
            Outcome::NotConverged { residual, .. } if residual.is_nan() => {
                write!(f, "not converged: from no start the car got through")
            }
            Outcome::NotConverged { passes, residual } => write!(
                f,
                "not converged after {passes} passes: {residual:.3e} remained"
            ),
            Outcome::NotBuilt => write!(f, "the car could not be built from its description"),
            Outcome::Interrupted => write!(f, "interrupted"),
        }
    }
}

/// An outcome and when it came.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ending {
    /// Why the run ended.
    pub outcome: Outcome,
    /// When [s]; zero where no time passes.
    pub time: f64,
}

impl Ending {
    /// Ran to its end.
    pub fn completed(time: f64) -> Self {
        Ending {
            outcome: Outcome::Completed,
            time,
        }
    }
}

impl fmt::Display for Ending {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} (at {:.3} s)", self.outcome, self.time)
    }
}
