//! Named endings of runs.
//!
//! Every run ends with a named outcome and the time, and keeps what it computed until then. A run
//! that leaves the range in which the model is valid stops there.

use std::fmt;

use axletree_numerics::sqp::Stopped;

/// The reason for which a run ended.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Outcome {
    /// The run reached its end.
    Completed,
    /// The car spun: its sideslip angle passed the limit.
    Spun {
        /// Sideslip angle `[rad, left positive]`.
        sideslip: f64,
    },
    /// The body's roll angle passed the limit of the model.
    RolledOver {
        /// Roll angle `[rad, right side down positive]`.
        roll: f64,
    },
    /// Both wheels of one side left the road.
    TwoWheelLift {
        /// True for the left side, false for the right.
        left: bool,
    },
    /// The car came almost to rest.
    Stopped {
        /// Speed left `[m/s]`.
        speed: f64,
    },
    /// A state or its rate is not finite.
    NotFinite {
        /// First group of states in which it is.
        group: &'static str,
    },
    /// The adaptive integrator found no step short enough for its tolerance.
    StepTooSmall {
        /// Relative and absolute tolerance.
        tolerance: f64,
    },
    /// No steady state exists at the speed and lateral acceleration, or none was found.
    NoSteadyState {
        /// Speed asked for `[m/s]`.
        speed: f64,
        /// Lateral acceleration asked for `[m/s^2]`.
        lateral_acceleration: f64,
    },
    /// The driveline cannot deliver what the maneuver asks for.
    NotEnoughPower {
        /// Speed `[m/s]`.
        speed: f64,
        /// Drive torque that is missing, on all driven wheels together `[N*m]`; none where only the
        /// limit itself is known.
        missing_torque: Option<f64>,
    },
    /// The engine would stall or overspeed in the gear asked for, or there is no such gear.
    WrongGear {
        /// Gear, counted from 1.
        gear: usize,
        /// Engine speed in that gear `[rad/s]`; NaN where there is no such gear.
        engine_speed: f64,
    },
    /// Turning the steering wheel at the given rate takes longer than the time until the steady
    /// values.
    SteeringTooSlow {
        /// Time that the turning takes `[s]`.
        rise: f64,
        /// Time from the start of steering at which steady values begin `[s]`.
        settle: f64,
    },
    /// The car left the path that it follows.
    LeftPath {
        /// Distance from the path `[m, left positive]`.
        deviation: f64,
    },
    /// A cone was hit or passed on the wrong side.
    ConeHit {
        /// Number of the cone, counted from 1.
        number: usize,
        /// Clearance to it, negative `[m]`.
        clearance: f64,
    },
    /// A search ended before it converged.
    NotConverged {
        /// Passes made.
        passes: usize,
        /// Distance from the goal.
        gap: Gap,
    },
    /// The car could not be built from its description.
    NotBuilt,
    /// The caller asked to stop.
    Interrupted,
}

/// Distance of a search from its goal.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Gap {
    /// No trial start completed the course.
    NoStart,
    /// The car has no steady yaw response to steering from which a driver can be made.
    NoYawResponse,
    /// Speed that is missing to the speed asked for `[m/s]`.
    Speed(f64),
    /// Least clearance of the best drive `[m]`.
    Clearance(f64),
    /// Speed that the last pass still gained `[m/s]`.
    Gain(f64),
    /// Difference between the end of a period and its start, in units of the size that matters.
    Closure(f64),
    /// Lateral acceleration at which a curve of equilibria was lost `[m/s^2]`.
    LateralAcceleration(f64),
}

impl fmt::Display for Gap {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Gap::NoStart => write!(f, "no trial start completed the course"),
            Gap::NoYawResponse => write!(f, "the car has no steady yaw response to steering"),
            Gap::Speed(speed) => write!(f, "{speed:.2} m/s are missing to the speed asked for"),
            Gap::Clearance(clearance) => {
                write!(f, "the least clearance is {:.0} mm", 1e3 * clearance)
            }
            Gap::Gain(speed) => write!(f, "the last pass still gained {speed:.4} m/s"),
            Gap::Closure(gap) => write!(f, "the period is not closed, by {gap:.1e} of its size"),
            Gap::LateralAcceleration(reached) => {
                write!(f, "the equilibria were lost at {reached:.2} m/s^2")
            }
        }
    }
}

impl Outcome {
    /// Short name for tables and comparisons; it does not change between versions.
    pub fn name(&self) -> &'static str {
        match self {
            Outcome::Completed => "completed",
            Outcome::Spun { .. } => "spun",
            Outcome::RolledOver { .. } => "rolled_over",
            Outcome::TwoWheelLift { .. } => "two_wheel_lift",
            Outcome::Stopped { .. } => "stopped",
            Outcome::NotFinite { .. } => "not_finite",
            Outcome::StepTooSmall { .. } => "step_too_small",
            Outcome::NoSteadyState { .. } => "no_steady_state",
            Outcome::NotEnoughPower { .. } => "not_enough_power",
            Outcome::WrongGear { .. } => "wrong_gear",
            Outcome::SteeringTooSlow { .. } => "steering_too_slow",
            Outcome::LeftPath { .. } => "left_path",
            Outcome::ConeHit { .. } => "cone_hit",
            Outcome::NotConverged { .. } => "not_converged",
            Outcome::NotBuilt => "not_built",
            Outcome::Interrupted => "interrupted",
        }
    }

    /// Whether the run reached its end.
    pub fn is_completed(&self) -> bool {
        *self == Outcome::Completed
    }
}

impl From<Stopped> for Outcome {
    fn from(stopped: Stopped) -> Self {
        match stopped {
            Stopped::Interrupted => Outcome::Interrupted,
            Stopped::NoStart => Outcome::NotConverged {
                passes: 0,
                gap: Gap::NoStart,
            },
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
            Outcome::NotFinite { group } => write!(f, "not finite: {group}"),
            Outcome::StepTooSmall { tolerance } => write!(
                f,
                "step too small: the adaptive integrator cannot keep its tolerance of {tolerance:.0e}"
            ),
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
            } => {
                write!(f, "not enough power at {speed:.2} m/s")?;
                missing_torque.map_or(Ok(()), |torque| {
                    write!(f, ": {torque:.0} N*m are missing at the wheels")
                })
            }
            Outcome::WrongGear { gear, engine_speed } => write!(
                f,
                "gear {gear} is wrong: the engine would turn at {:.0} rpm",
                engine_speed * 30.0 / std::f64::consts::PI
            ),
            Outcome::SteeringTooSlow { rise, settle } => write!(
                f,
                "steering too slow: turning the steering wheel takes {rise:.2} s, steady values begin after {settle:.2} s"
            ),
            Outcome::LeftPath { deviation } => write!(f, "left the path by {deviation:.2} m"),
            Outcome::ConeHit { number, clearance } => {
                write!(f, "cone {number} hit: clearance {:.0} mm", clearance * 1e3)
            }
            Outcome::NotConverged { passes: 0, gap } => write!(f, "not converged: {gap}"),
            Outcome::NotConverged { passes, gap } => {
                write!(f, "not converged after {passes} passes: {gap}")
            }
            Outcome::NotBuilt => write!(f, "the car could not be built from its description"),
            Outcome::Interrupted => write!(f, "interrupted"),
        }
    }
}

/// An outcome and its time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ending {
    /// The outcome.
    pub outcome: Outcome,
    /// Time `[s]`; zero for a run without time.
    pub time: f64,
}

impl Ending {
    /// A run that reached its end at a time `[s]`.
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
