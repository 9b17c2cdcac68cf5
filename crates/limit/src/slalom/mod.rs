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

use axletree_maneuver::{Maneuver, Run};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::ManeuverError;
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_vehicle::Model;

use settings::NAME;

impl Maneuver for Slalom {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        vec![
            &m::TOP_SPEED,
            &m::CONE_CLEARANCE,
            &m::SPEED_PER_CLEARANCE,
            &m::STEERING_WHEEL_ANGLE_LARGEST,
            &m::STEERING_RATE_LARGEST,
            &m::STEERING_TORQUE_LARGEST,
            &m::STEERING_EFFORT,
            &m::SIDESLIP_LARGEST,
            &m::LATERAL_ACCELERATION_LARGEST,
            &m::ROLL_ANGLE_LARGEST,
            &m::WHEEL_LOAD_LEAST,
            &m::SPEED_LEAST,
            &m::PATH_AMPLITUDE,
        ]
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
        let measures = self.measures(&top);
        let trace = top.run.map_or(top.orbit_trace, |run| run.trace);
        Run { measures, trace }
    }
}

impl Slalom {
    /// Metrics of a result.
    pub fn measures(&self, top: &TopSpeed) -> Measures {
        let mut measures = Measures::empty(NAME, top.ending, self.metrics());
        measures.set(&m::TOP_SPEED, top.speed);
        let Some(orbit) = &top.orbit else {
            return measures;
        };
        let [left, right] = orbit.margins;
        for (metric, value) in [
            (&m::CONE_CLEARANCE, left.min(right)),
            (
                &m::SPEED_PER_CLEARANCE,
                orbit.multipliers[0] + orbit.multipliers[1],
            ),
            (&m::STEERING_WHEEL_ANGLE_LARGEST, orbit.steering_wheel_angle),
            (&m::STEERING_RATE_LARGEST, orbit.hand_rate),
            (&m::STEERING_TORQUE_LARGEST, orbit.steering_wheel_torque),
            (&m::STEERING_EFFORT, orbit.steering_effort),
            (&m::SIDESLIP_LARGEST, orbit.sideslip),
            (&m::LATERAL_ACCELERATION_LARGEST, orbit.lateral_acceleration),
            (&m::ROLL_ANGLE_LARGEST, orbit.roll),
            (&m::WHEEL_LOAD_LEAST, orbit.least_load),
            (&m::SPEED_LEAST, orbit.least_speed),
            (&m::PATH_AMPLITUDE, orbit.path_amplitude),
        ] {
            measures.set(metric, value);
        }
        measures
    }
}
