//! Slalom: the highest speed that can be kept up in rhythm, the steering optimized for each car.
//!
//! The inside of a slalom repeats after two cones. The fastest rhythm is a periodic orbit of car
//! and driver: speed, steering and lateral offset are unknowns of one optimization whose
//! constraints are the clearances of the two cones. No driver gains are involved, so that cars are
//! compared and not the stability of a driver with them. The real course is then driven once with
//! the steering found and a light feedback; it shows whether the speed can be reached from a
//! straight approach and never changes it.
//!
//! - `settings`: settings and their ranges.
//! - `geometry`: what follows from the spacing of the cones.
//! - `result`: results.
//! - `period`: one period, its derivatives, its closure.
//! - `search`: the fastest orbit.
//! - `course`: the real course.
//! - `top_speed`: all of it in order.

mod course;
mod geometry;
mod period;
mod result;
mod search;
mod settings;
#[cfg(test)]
mod tests;
mod top_speed;

pub use period::HarmonicSteering;
pub use result::{CourseRun, OrbitSummary, SlalomDriver, SlalomLimit, TopSpeed};
pub use settings::Slalom;

use axletree_maneuver::{Maneuver, MeasuredBy, Run, measures, metrics};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::error::ManeuverError;
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_vehicle::Model;

use settings::NAME;

/// Metrics and their values.
static METRICS: [MeasuredBy<TopSpeed>; 13] = [
    MeasuredBy(&m::TOP_SPEED, |top| top.speed),
    MeasuredBy(&m::CONE_CLEARANCE, |top| {
        of_orbit(top, |o| o.margins[0].min(o.margins[1]))
    }),
    MeasuredBy(&m::SPEED_PER_CLEARANCE, |top| {
        of_orbit(top, |o| o.multipliers[0] + o.multipliers[1])
    }),
    MeasuredBy(&m::STEERING_WHEEL_ANGLE_LARGEST, |top| {
        of_orbit(top, |o| o.steering_wheel_angle)
    }),
    MeasuredBy(&m::STEERING_RATE_LARGEST, |top| {
        of_orbit(top, |o| o.hand_rate)
    }),
    MeasuredBy(&m::STEERING_TORQUE_LARGEST, |top| {
        of_orbit(top, |o| o.steering_wheel_torque)
    }),
    MeasuredBy(&m::STEERING_EFFORT, |top| {
        of_orbit(top, |o| o.steering_effort)
    }),
    MeasuredBy(&m::SIDESLIP_LARGEST, |top| of_orbit(top, |o| o.sideslip)),
    MeasuredBy(&m::LATERAL_ACCELERATION_LARGEST, |top| {
        of_orbit(top, |o| o.lateral_acceleration)
    }),
    MeasuredBy(&m::ROLL_ANGLE_LARGEST, |top| of_orbit(top, |o| o.roll)),
    MeasuredBy(&m::WHEEL_LOAD_LEAST, |top| of_orbit(top, |o| o.least_load)),
    MeasuredBy(&m::SPEED_LEAST, |top| of_orbit(top, |o| o.least_speed)),
    MeasuredBy(&m::PATH_AMPLITUDE, |top| {
        of_orbit(top, |o| o.path_amplitude)
    }),
];

/// Quantity of an orbit; NaN without one.
fn of_orbit(top: &TopSpeed, quantity: fn(&OrbitSummary) -> f64) -> f64 {
    top.orbit.as_ref().map_or(f64::NAN, quantity)
}

impl Maneuver for Slalom {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        metrics(&METRICS)
    }

    fn check(&self) -> Result<(), ManeuverError> {
        self.faults()
    }

    fn measure_all(&self, models: &[&Model], interrupt: Interrupt<'_>) -> Vec<Measures> {
        let measured = |model: &&Model| self.measures(&self.solve(model, None, false, interrupt));
        models.iter().map(measured).collect()
    }

    fn record(&self, model: &Model, interrupt: Interrupt<'_>) -> Run {
        let top = self.solve(model, None, true, interrupt);
        Run {
            measures: self.measures(&top),
            trace: top.run.map_or(top.orbit_trace, |run| run.trace),
        }
    }
}

impl Slalom {
    /// Metrics of a result.
    pub fn measures(&self, top: &TopSpeed) -> Measures {
        measures(&METRICS, NAME, top.ending, Some(top))
    }
}
