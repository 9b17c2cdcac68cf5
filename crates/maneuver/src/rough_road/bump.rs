//! A bump in a corner.

use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels::Channel;
use axletree_simulation::drive::Integrator;
use axletree_simulation::metrics::list as m;
use axletree_simulation::road::{Obstacle, ObstacleShape, ObstacleWheels};
use axletree_simulation::{FIXED_STEP, ManeuverError, Recorder, channels as ch, within};
use axletree_vehicle::Model;
use serde::{Deserialize, Serialize};

use super::drive::{self, CornerDrive};
use super::steady_corner::SteadyCorner;
use super::window::{CHANNELS, TraceWindow};
use crate::checks;
use crate::drive_maneuver::{DriveManeuver, Performed, Recorded};
use crate::measured_by::MeasuredBy;
use crate::side_by_side::Integration;

/// Distance from the front wheels to the obstacle at the start `[m]`.
const AHEAD: f64 = 2.0;
/// Time over which forces are averaged, from the front wheels' first touch `[s]`: both ends are
/// over the bump and the wheels at rest again.
const SHAKEN: f64 = 0.5;
/// Time at which the car's path is evaluated, from the front wheels' first touch `[s]`.
const EVALUATION: f64 = 1.0;
/// Duration of the run from there `[s]`.
const AFTER: f64 = 2.0;

/// An obstacle in a steady corner, steering wheel and throttle held. Common practice, no standard.
///
/// ```
/// use axletree_maneuver::{BumpInACorner, Maneuver};
/// use axletree_numerics::Interrupt;
/// use axletree_vehicle::bundled;
///
/// let car = bundled("bramble-solid").expect("a bundled car")?.assemble()?;
/// let measures = BumpInACorner::default().measure(&car, Interrupt::never())?;
/// assert!(measures.ending.outcome.is_completed());
/// assert!(measures.get("outward_deviation").is_some_and(|d| d > 0.0));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct BumpInACorner {
    /// Radius of the corner `[m]`.
    pub radius: f64,
    /// Steady lateral acceleration before, left positive `[m/s^2]`.
    pub lateral_acceleration: f64,
    /// The obstacle: a bump, a kerb or a ramp.
    pub shape: ObstacleShape,
    /// Wheels that roll over it.
    pub under: ObstacleWheels,
    /// Friction of the surface relative to the tires' reference `[-]`.
    pub friction: f64,
    /// Longest step of the integration `[s]`.
    pub step: f64,
    /// Integrator; the points of the time grid are the same for both.
    pub integrator: Integrator,
}

impl Default for BumpInACorner {
    fn default() -> Self {
        BumpInACorner {
            // A fast bend of a country road, driven briskly; common practice, no source.
            radius: 60.0,
            lateral_acceleration: 6.0,
            // As high as a worn joint, long enough that a tire follows it.
            shape: ObstacleShape::Bump {
                height: 0.03,
                length: 0.8,
            },
            // The outer wheels of a left turn: they carry the car.
            under: ObstacleWheels::Right,
            friction: 1.0,
            // A wheel is over the default bump for ten steps.
            step: 0.5 * FIXED_STEP,
            integrator: Integrator::Fixed,
        }
    }
}

/// Time at which the front wheels first touch the obstacle `[s]`.
fn touch(corner: &SteadyCorner) -> f64 {
    AHEAD / corner.speed
}

/// Findings of a drive over an obstacle.
pub(crate) struct BumpFindings {
    corner: SteadyCorner,
    under: ObstacleWheels,
}

impl Recorded<BumpFindings> {
    fn corner(&self) -> &SteadyCorner {
        &self.found.corner
    }

    /// The run from the first touch on.
    fn whole(&self) -> TraceWindow<'_> {
        let touch = touch(self.corner());
        TraceWindow::new(&self.trace, touch, touch + AFTER)
    }

    /// The time in which the obstacle shakes the car.
    fn shaken(&self) -> TraceWindow<'_> {
        let touch = touch(self.corner());
        TraceWindow::new(&self.trace, touch, touch + SHAKEN)
    }

    fn outward_deviation(&self) -> f64 {
        let time = touch(self.corner()) + EVALUATION - 1e-9;
        let sample = self.trace.time.partition_point(|t| *t < time);
        self.corner().outward(&self.trace, sample)
    }

    /// Share of an end's lateral force that is lost.
    fn grip_lost(&self, end: usize) -> f64 {
        let shaken = self.shaken();
        1.0 - shaken.mean(|i| shaken.force(end, i)) / self.corner().force(end)
    }

    /// Time off the road, summed over an end's wheels `[s]`.
    fn time_off_road(&self, end: usize) -> f64 {
        let whole = self.whole();
        whole.shares_off_road(end).iter().sum::<f64>() * whole.length()
    }

    /// Largest change of load of the wheel beside the obstacle over that of the wheel on it; not a
    /// number where both wheels of the end, or none, roll over the obstacle.
    fn cross_disturbance(&self, end: usize) -> f64 {
        let holds = [2 * end, 2 * end + 1].map(|wheel| self.found.under.contains(wheel));
        let [on, beside] = match holds {
            [true, false] => [2 * end, 2 * end + 1],
            [false, true] => [2 * end + 1, 2 * end],
            _ => return f64::NAN,
        };
        let shaken = self.shaken();
        let change = |wheel: usize| {
            let steady = self.corner().load(wheel);
            shaken.largest(|i| (shaken.load(wheel, i) - steady).abs())
        };
        change(beside) / change(on)
    }
}

/// The metrics of a bump in a corner.
const METRICS: &[MeasuredBy<Recorded<BumpFindings>>] = &[
    MeasuredBy(&m::OUTWARD_DEVIATION, Recorded::outward_deviation),
    MeasuredBy(&m::PATH_DEVIATION_LARGEST, |r| {
        r.whole().largest(|i| r.corner().outward(&r.trace, i).abs())
    }),
    MeasuredBy(&m::YAW_RATE_DEVIATION_LARGEST, |r| {
        let whole = r.whole();
        whole.largest(|i| (whole.at(&ch::YAW_RATE, i) - r.corner().yaw_rate).abs())
    }),
    MeasuredBy(&m::SIDESLIP_CHANGE_LARGEST, |r| {
        let (whole, corner) = (r.whole(), r.corner());
        whole.largest(|i| -corner.side() * (whole.at(&ch::SIDESLIP, i) - corner.sideslip))
    }),
    MeasuredBy(&m::FRONT_GRIP_LOST, |r| r.grip_lost(0)),
    MeasuredBy(&m::REAR_GRIP_LOST, |r| r.grip_lost(1)),
    MeasuredBy(&m::FRONT_LOAD_VARIATION, |r| {
        r.shaken().load_variation(r.corner(), 0)
    }),
    MeasuredBy(&m::REAR_LOAD_VARIATION, |r| {
        r.shaken().load_variation(r.corner(), 1)
    }),
    MeasuredBy(&m::FRONT_TIME_OFF_ROAD, |r| r.time_off_road(0)),
    MeasuredBy(&m::REAR_TIME_OFF_ROAD, |r| r.time_off_road(1)),
    MeasuredBy(&m::FRONT_CROSS_DISTURBANCE, |r| r.cross_disturbance(0)),
    MeasuredBy(&m::REAR_CROSS_DISTURBANCE, |r| r.cross_disturbance(1)),
];

impl DriveManeuver for BumpInACorner {
    type Found = BumpFindings;
    const NAME: &'static str = "bump_in_a_corner";
    const CHANNELS: &'static [&'static Channel] = CHANNELS;
    const METRICS: &'static [MeasuredBy<Recorded<BumpFindings>>] = METRICS;

    fn check(&self) -> Result<(), ManeuverError> {
        let (name, shape) = (Self::NAME, &self.shape);
        checks::corner(name, self.radius, self.lateral_acceleration)?;
        within(name, "shape.height", shape.height(), (-0.2, 0.2), "m")?;
        let slope = shape.shortest_slope();
        within(name, "shape's slope, length", slope, (0.05, 100.0), "m")?;
        within(name, "shape, length", shape.extent(), (0.1, 100.0), "m")?;
        checks::friction(name, self.friction)?;
        checks::integration(name, self.step, self.integrator)
    }

    fn perform(
        &self,
        models: &[&Model],
        recorder: &dyn Fn() -> Recorder,
        interrupt: Interrupt<'_>,
    ) -> Vec<Performed<BumpFindings>> {
        drive::perform(
            models,
            |model| {
                SteadyCorner::find(model, self.radius, self.lateral_acceleration, self.friction)
            },
            |model, corner| {
                let touch = touch(corner);
                let station = model.geometry.front_axle + AHEAD;
                let road = Obstacle {
                    line: corner.line(station + corner.speed * AFTER),
                    station,
                    shape: self.shape,
                    wheels: self.under,
                };
                let breaks = [
                    0.0,
                    touch,
                    touch + SHAKEN,
                    touch + EVALUATION,
                    touch + AFTER,
                ];
                let drive = CornerDrive {
                    hold_speed: false,
                    integration: Integration {
                        step: self.step,
                        integrator: self.integrator,
                    },
                    recorder: recorder(),
                };
                drive.start(model, corner, road, &breaks)
            },
            |corner| BumpFindings {
                corner,
                under: self.under,
            },
            interrupt,
        )
    }
}
