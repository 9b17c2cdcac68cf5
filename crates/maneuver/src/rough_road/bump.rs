//! A bump in a corner.

use axletree_vehicle::Model;
use serde::{Deserialize, Serialize};

use super::{CHANNELS, Corner, Window};
use crate::maneuver::{DriveManeuver, Run};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::error::{ManeuverError, within};
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::outcome::Ending;
use axletree_simulation::road::{Obstacle, Shape, Under};
use axletree_simulation::trace::{Recorder, Trace};
use axletree_simulation::{FIXED_STEP, channels as ch};

const NAME: &str = "bump_in_a_corner";

/// How far ahead of the front wheels the obstacle begins [m].
const AHEAD: f64 = 2.0;
/// How long forces are averaged from the front wheels' first touch on [s]: both ends are over the bump and
/// the wheels at rest again.
const SHAKEN: f64 = 0.5;
/// When the car's path is looked at, from the front wheels' first touch [s].
const LOOK: f64 = 1.0;
/// How long the run lasts from there [s].
const AFTER: f64 = 2.0;

/// Settings of the bump in a corner. Common practice, no standard.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct BumpInACorner {
    /// Radius of the corner [m].
    pub radius: f64,
    /// Steady lateral acceleration before, positive to the left [m/s^2].
    pub lateral_acceleration: f64,
    /// The obstacle: a bump, a kerb or a ramp.
    pub shape: Shape,
    /// Which wheels roll over it.
    pub under: Under,
    /// Friction of the surface relative to the tires' reference [-].
    pub friction: f64,
    /// Longest step of the integration [s].
    pub step: f64,
}

impl Default for BumpInACorner {
    fn default() -> Self {
        BumpInACorner {
            // A fast bend of a country road, driven briskly; common practice, no source.
            radius: 60.0,
            lateral_acceleration: 6.0,
            // As high as a worn joint, long enough that a tire follows it.
            shape: Shape::Bump {
                height: 0.03,
                length: 0.8,
            },
            // The outer wheels of a left turn: they carry the car.
            under: Under::Right,
            friction: 1.0,
            // A wheel is over the default bump for ten steps.
            step: 0.5 * FIXED_STEP,
        }
    }
}

impl BumpInACorner {
    /// When the front wheels first touch the obstacle [s].
    fn touch(corner: &Corner) -> f64 {
        AHEAD / corner.speed
    }

    fn measured(&self, corner: &Corner, trace: &Trace, ending: Ending) -> Measures {
        let mut measures = Measures::empty(NAME, ending, self.metrics());
        let touch = Self::touch(corner);
        let whole = Window::new(trace, touch, touch + AFTER);
        if !ending.outcome.is_completed() {
            return measures;
        }
        let side = corner.radius.signum();
        let shaken = Window::new(trace, touch, touch + SHAKEN);
        let look = trace.time.partition_point(|t| *t < touch + LOOK - 1e-9);
        measures.set(&m::OUTWARD_DEVIATION, corner.outward(trace, look));
        measures.set(
            &m::PATH_DEVIATION_LARGEST,
            whole.largest(|i| corner.outward(trace, i).abs()),
        );
        measures.set(
            &m::YAW_RATE_DEVIATION_LARGEST,
            whole.largest(|i| (whole.at(&ch::YAW_RATE, i) - corner.yaw_rate).abs()),
        );
        measures.set(
            &m::SIDESLIP_CHANGE_LARGEST,
            whole.largest(|i| -side * (whole.at(&ch::SIDESLIP, i) - corner.sideslip)),
        );
        let lost = |end: usize| 1.0 - shaken.mean(|i| shaken.force(end, i)) / corner.force(end);
        measures.set(&m::FRONT_GRIP_LOST, lost(0));
        measures.set(&m::REAR_GRIP_LOST, lost(1));
        measures.set(&m::FRONT_LOAD_VARIATION, corner.load_variation(&shaken, 0));
        measures.set(&m::REAR_LOAD_VARIATION, corner.load_variation(&shaken, 1));
        let off = |end: usize| {
            [0, 1]
                .map(|k| whole.mean(|i| f64::from(whole.load(2 * end + k, i) <= 0.0)))
                .iter()
                .sum::<f64>()
                * whole.length()
        };
        measures.set(&m::FRONT_TIME_OFF_ROAD, off(0));
        measures.set(&m::REAR_TIME_OFF_ROAD, off(1));
        // How much of what one wheel feels its neighbor feels while only the first is on the obstacle.
        let change = |wheel: usize| {
            let steady = corner.evaluation.contacts[wheel].load;
            shaken.largest(|i| (shaken.load(wheel, i) - steady).abs())
        };
        for (end, metric) in [
            (0, &m::FRONT_CROSS_DISTURBANCE),
            (1, &m::REAR_CROSS_DISTURBANCE),
        ] {
            let holds = [2 * end, 2 * end + 1].map(|w| self.under.holds(w));
            let [on, beside] = match holds {
                [true, false] => [2 * end, 2 * end + 1],
                [false, true] => [2 * end + 1, 2 * end],
                _ => continue,
            };
            measures.set(metric, change(beside) / change(on));
        }
        measures
    }
}

impl DriveManeuver for BumpInACorner {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        vec![
            &m::OUTWARD_DEVIATION,
            &m::PATH_DEVIATION_LARGEST,
            &m::YAW_RATE_DEVIATION_LARGEST,
            &m::SIDESLIP_CHANGE_LARGEST,
            &m::FRONT_GRIP_LOST,
            &m::REAR_GRIP_LOST,
            &m::FRONT_LOAD_VARIATION,
            &m::REAR_LOAD_VARIATION,
            &m::FRONT_TIME_OFF_ROAD,
            &m::REAR_TIME_OFF_ROAD,
            &m::FRONT_CROSS_DISTURBANCE,
            &m::REAR_CROSS_DISTURBANCE,
        ]
    }

    fn check(&self) -> Result<(), ManeuverError> {
        within(NAME, "radius", self.radius, (5.0, 2000.0), "m")?;
        let level = self.lateral_acceleration.abs();
        within(
            NAME,
            "lateral_acceleration magnitude",
            level,
            (0.1, 30.0),
            "m/s^2",
        )?;
        within(NAME, "shape.height", self.shape.height(), (-0.2, 0.2), "m")?;
        let slope = self.shape.shortest_slope();
        within(NAME, "shape's slope, length", slope, (0.05, 100.0), "m")?;
        within(
            NAME,
            "shape, length",
            self.shape.extent(),
            (0.1, 100.0),
            "m",
        )?;
        within(NAME, "friction", self.friction, (0.01, 5.0), "-")?;
        within(NAME, "step", self.step, (1e-5, 0.02), "s")
    }

    fn recorder(&self) -> Recorder {
        Recorder::of(CHANNELS)
    }

    fn perform(
        &self,
        models: &[&Model],
        recorder: &dyn Fn() -> Recorder,
        interrupt: Interrupt<'_>,
    ) -> Vec<Result<Run, ManeuverError>> {
        super::perform(
            self,
            models,
            |model| Corner::find(model, self.radius, self.lateral_acceleration, self.friction),
            |model, corner| {
                let touch = Self::touch(corner);
                let station = model.geometry.front_axle + AHEAD;
                let road = Obstacle {
                    line: corner.line(station + corner.speed * AFTER),
                    station,
                    shape: self.shape,
                    under: self.under,
                };
                let breaks = [0.0, touch, touch + SHAKEN, touch + LOOK, touch + AFTER];
                corner.ready(model, road, &breaks, false, self.step, recorder())
            },
            |corner, trace, ending| self.measured(corner, trace, ending),
            interrupt,
        )
    }
}
