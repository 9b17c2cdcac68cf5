//! What the slalom returns.

use axletree_vehicle::model::layout::STATES;

use super::course::Driven;
use super::harmonics::Steering;
use axletree_simulation::outcome::Ending;
use axletree_simulation::trace::Trace;

/// What kept the car from going faster.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// The cones: any faster and the tires do not bring the car around them.
    Cone,
    /// The largest sideslip allowed.
    Sideslip,
    /// The hands' greatest rate.
    SteeringRate,
    /// The greatest steering-wheel angle.
    SteeringLock,
    /// A wheel left the road on the orbit.
    WheelLift,
    /// The driveline's power or torque.
    Power,
}

impl Limit {
    /// Short stable name.
    pub fn name(self) -> &'static str {
        match self {
            Limit::Cone => "cone",
            Limit::Sideslip => "sideslip",
            Limit::SteeringRate => "steering_rate",
            Limit::SteeringLock => "steering_lock",
            Limit::WheelLift => "wheel_lift",
            Limit::Power => "power",
        }
    }
}

/// The driver adapted to the car.
#[derive(Clone, Debug, PartialEq)]
pub struct Driver {
    /// Speed asked for [m/s].
    pub speed: f64,
    /// The learned steering.
    pub steering: Steering,
    /// Lateral position halfway before a cone that is passed on its left [m, left positive].
    pub offset: f64,
    /// Strength of the feedback kept on the course, rho: larger is lighter [m/rad].
    pub feedback: f64,
    /// Steering-wheel angle by departures of lateral position, lateral velocity, heading, yaw rate
    /// and hands from the orbit [rad per m, m/s, rad, rad/s, rad].
    pub gains: [f64; 5],
}

/// What was seen on the orbit.
#[derive(Clone, Debug, PartialEq)]
pub struct Rhythm {
    /// Clearance of the cone passed on its left and of the one passed on its right [m].
    pub margins: [f64; 2],
    /// Largest hand rate [rad/s].
    pub hand_rate: f64,
    /// Largest steering-wheel angle [rad].
    pub steering_wheel_angle: f64,
    /// Largest torque at the steering wheel [N m].
    pub steering_wheel_torque: f64,
    /// Root mean square of that torque over time: the steering effort [N m].
    pub steering_effort: f64,
    /// Largest sideslip [rad].
    pub sideslip: f64,
    /// Largest lateral acceleration [m/s^2].
    pub lateral_acceleration: f64,
    /// Largest roll angle [rad].
    pub roll: f64,
    /// Least wheel load [N].
    pub least_load: f64,
    /// Least forward speed [m/s].
    pub least_speed: f64,
    /// Largest lateral position less the smallest, halved [m].
    pub path_amplitude: f64,
    /// Speed lost per meter of clearance asked more at the two cones, and per unit of the sideslip and
    /// the power guard [1/s].
    pub multipliers: [f64; 4],
    /// State of the car halfway before the cone passed on its left: the orbit starts and ends here.
    pub start: [f64; STATES],
    /// Steering-wheel angle there [rad].
    pub hands: f64,
    /// Integral of the missing speed there [m].
    pub cruise: f64,
    /// Largest departure of the slow states over the period.
    pub open: f64,
}

/// The course driven after the search.
#[derive(Clone, Debug, PartialEq)]
pub struct CourseRun {
    /// How it went.
    pub ending: Ending,
    /// Clearance of each cone; not a number for cones that were not reached [m].
    pub margins: Vec<f64>,
    /// Largest error of the approach, over the size that matters [-].
    pub miss: f64,
    /// Every channel.
    pub trace: Trace,
}

impl CourseRun {
    /// Whether every cone was cleared.
    pub fn clean(&self) -> bool {
        self.ending.outcome.is_completed()
    }

    pub(super) fn of(driven: &Driven, miss: f64, trace: Trace) -> Self {
        CourseRun {
            ending: Ending {
                outcome: driven.outcome,
                time: driven.time,
            },
            margins: driven.margins.clone(),
            miss,
            trace,
        }
    }
}

/// The fastest rhythm of a car, or the best one at a given speed.
#[derive(Clone, Debug, PartialEq)]
pub struct TopSpeed {
    /// How the search ended: completed, or why there is no rhythm that keeps the clearance.
    pub ending: Ending,
    /// Speed that can be kept up in rhythm; the speed asked for where one was given; not a number
    /// where the search found none [m/s].
    pub speed: f64,
    /// What limited it.
    pub limited_by: Option<Limit>,
    /// The driver.
    pub driver: Option<Driver>,
    /// The orbit.
    pub rhythm: Option<Rhythm>,
    /// The orbit's channels over one period.
    pub orbit: Trace,
    /// The real course, driven with that steering; it never changes the speed.
    pub run: Option<CourseRun>,
    /// Periods driven in the search: its cost.
    pub periods: usize,
}

impl TopSpeed {
    pub(super) fn failed(ending: Ending, periods: usize) -> Self {
        TopSpeed {
            ending,
            speed: f64::NAN,
            limited_by: None,
            driver: None,
            rhythm: None,
            orbit: Trace::default(),
            run: None,
            periods,
        }
    }
}
