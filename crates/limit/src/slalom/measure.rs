//! The slalom as a maneuver: its metrics.

use axletree_vehicle::Model;

use super::result::TopSpeed;
use super::settings::{NAME, Slalom};
use axletree_maneuver::maneuver::{Maneuver, Run};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::error::ManeuverError;
use axletree_simulation::metrics::{Measures, Metric, list as m};

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

    fn measure(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Measures, ManeuverError> {
        self.check()?;
        Ok(self.measures(&self.solve(model, None, false, interrupt)))
    }

    fn run(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Run, ManeuverError> {
        let top = self.top_speed(model, interrupt)?;
        let measures = self.measures(&top);
        let trace = top.run.map_or(top.orbit, |run| run.trace);
        Ok(Run { measures, trace })
    }
}

impl Slalom {
    /// The metrics of a result.
    pub fn measures(&self, top: &TopSpeed) -> Measures {
        let mut measures = Measures::empty(NAME, top.ending, self.metrics());
        measures.set(&m::TOP_SPEED, top.speed);
        let Some(r) = &top.rhythm else {
            return measures;
        };
        for (metric, value) in [
            (&m::CONE_CLEARANCE, r.margins[0].min(r.margins[1])),
            (&m::SPEED_PER_CLEARANCE, r.multipliers[0] + r.multipliers[1]),
            (&m::STEERING_WHEEL_ANGLE_LARGEST, r.steering_wheel_angle),
            (&m::STEERING_RATE_LARGEST, r.hand_rate),
            (&m::STEERING_TORQUE_LARGEST, r.steering_wheel_torque),
            (&m::STEERING_EFFORT, r.steering_effort),
            (&m::SIDESLIP_LARGEST, r.sideslip),
            (&m::LATERAL_ACCELERATION_LARGEST, r.lateral_acceleration),
            (&m::ROLL_ANGLE_LARGEST, r.roll),
            (&m::WHEEL_LOAD_LEAST, r.least_load),
            (&m::SPEED_LEAST, r.least_speed),
            (&m::PATH_AMPLITUDE, r.path_amplitude),
        ] {
            measures.set(metric, value);
        }
        measures
    }
}
