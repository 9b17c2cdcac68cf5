//! Results of the slalom.

use axletree_simulation::{Ending, Trace};
use axletree_vehicle::model::layout::STATES;

use super::period::HarmonicSteering;

/// Limiting condition of the speed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SlalomLimit {
    /// The cones: the tires do not bring the car around them any faster.
    Cone,
    /// The largest sideslip allowed.
    Sideslip,
    /// The largest rate of the hands.
    SteeringRate,
    /// The largest steering-wheel angle.
    SteeringLock,
    /// A wheel left the road on the orbit.
    WheelLift,
    /// Power or torque of the driveline.
    Power,
}

impl SlalomLimit {
    /// Short stable name.
    pub fn name(self) -> &'static str {
        match self {
            SlalomLimit::Cone => "cone",
            SlalomLimit::Sideslip => "sideslip",
            SlalomLimit::SteeringRate => "steering_rate",
            SlalomLimit::SteeringLock => "steering_lock",
            SlalomLimit::WheelLift => "wheel_lift",
            SlalomLimit::Power => "power",
        }
    }
}

/// Driver adapted to the car.
#[derive(Clone, Debug, PartialEq)]
pub struct SlalomDriver {
    /// Speed held `[m/s]`.
    pub speed: f64,
    /// Learned steering.
    pub steering: HarmonicSteering,
    /// Lateral position halfway before a cone that is passed on its left `[m, left positive]`.
    pub offset: f64,
    /// Strength of the feedback on the course, rho `[m/rad]`: larger is lighter; NaN without a
    /// course.
    pub feedback: f64,
    /// Steering-wheel angle per departure of lateral position, lateral velocity, heading, yaw rate
    /// and hands from the orbit `[rad/m, rad*s/m, -, s, -]`.
    pub gains: [f64; 5],
}

/// Summary of the periodic orbit.
#[derive(Clone, Debug, PartialEq)]
pub struct OrbitSummary {
    /// Clearances of the cone passed on its left and of the one passed on its right `[m]`.
    pub margins: [f64; 2],
    /// Largest rate of the hands `[rad/s]`.
    pub hand_rate: f64,
    /// Largest steering-wheel angle `[rad]`.
    pub steering_wheel_angle: f64,
    /// Largest torque at the steering wheel `[N*m]`.
    pub steering_wheel_torque: f64,
    /// Steering effort: root mean square of that torque over time `[N*m]`.
    pub steering_effort: f64,
    /// Largest sideslip `[rad]`.
    pub sideslip: f64,
    /// Largest lateral acceleration `[m/s^2]`.
    pub lateral_acceleration: f64,
    /// Largest roll angle `[rad]`.
    pub roll: f64,
    /// Least wheel load `[N]`.
    pub least_load: f64,
    /// Least forward speed `[m/s]`.
    pub least_speed: f64,
    /// Half the distance between the leftmost and the rightmost point of the path `[m]`.
    pub path_amplitude: f64,
    /// Lagrange multipliers of the speed: loss per meter of extra clearance at the two cones, and per
    /// unit of the sideslip guard and of the power guard `[1/s]`.
    pub multipliers: [f64; 4],
    /// State of the car halfway before the cone passed on its left: the orbit starts and ends here.
    pub start: [f64; STATES],
    /// Steering-wheel angle there `[rad]`.
    pub hands: f64,
    /// Integral of the speed error there `[m]`.
    pub cruise: f64,
    /// Largest departure of the slow states over the period, each in its unit.
    pub open: f64,
}

/// Real course, driven after the search.
#[derive(Clone, Debug, PartialEq)]
pub struct CourseRun {
    /// Ending.
    pub ending: Ending,
    /// Clearance of each cone `[m]`; NaN for cones that were not reached.
    pub margins: Vec<f64>,
    /// Largest error at the end of the approach, each error over its tolerance `[-]`.
    pub miss: f64,
    /// Every channel.
    pub trace: Trace,
}

impl CourseRun {
    /// Whether every cone was cleared.
    pub fn clean(&self) -> bool {
        self.ending.outcome.is_completed()
    }
}

/// Fastest rhythm of a car, or the best one at a prescribed speed.
#[derive(Clone, Debug, PartialEq)]
pub struct TopSpeed {
    /// Ending of the search: completed, or the reason why no orbit keeps the clearance.
    pub ending: Ending,
    /// Speed that can be kept up in rhythm, or the prescribed one `[m/s]`; NaN where the search
    /// found none.
    pub speed: f64,
    /// Limiting condition of the speed.
    pub limited_by: Option<SlalomLimit>,
    /// Driver.
    pub driver: Option<SlalomDriver>,
    /// Periodic orbit.
    pub orbit: Option<OrbitSummary>,
    /// Channels over one period of the orbit.
    pub orbit_trace: Trace,
    /// Real course, driven with the steering found; it never changes the speed.
    pub run: Option<CourseRun>,
    /// Periods simulated by the search: its cost.
    pub periods: usize,
}

impl TopSpeed {
    /// Result of a search without an orbit.
    pub(super) fn failed(ending: Ending, periods: usize) -> Self {
        TopSpeed {
            ending,
            speed: f64::NAN,
            limited_by: None,
            driver: None,
            orbit: None,
            orbit_trace: Trace::default(),
            run: None,
            periods,
        }
    }
}
