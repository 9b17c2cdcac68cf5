//! A corner on a random road.

use std::cell::OnceCell;

use axletree_numerics::interrupt::Interrupt;
use axletree_scalar::Real;
use axletree_simulation::channels::Channel;
use axletree_simulation::drive::Integrator;
use axletree_simulation::metrics::list as m;
use axletree_simulation::road::{RoughRoad, Tracks};
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

/// Length over which the road grows from flat to rough `[m]`.
const FADE: f64 = 10.0;

/// A corner on a random road after ISO 8608, steering wheel and speed held. Common practice, no
/// standard.
///
/// The response is measured against the equilibrium on a flat road. Compare cars with the same
/// seed: they then roll over the same road.
///
/// ```
/// use axletree_maneuver::{RoughCorner, Maneuver};
/// use axletree_numerics::Interrupt;
/// use axletree_vehicle::bundled;
///
/// let car = bundled("bramble-solid").expect("a bundled car")?.assemble()?;
/// let measures = RoughCorner::default().measure(&car, Interrupt::never())?;
/// assert!(measures.ending.outcome.is_completed());
/// assert!(measures.get("rear_load_variation").is_some_and(|v| v > 0.0));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct RoughCorner {
    /// Radius of the corner on a flat road `[m]`.
    pub radius: f64,
    /// Steady lateral acceleration on a flat road, left positive `[m/s^2]`.
    pub lateral_acceleration: f64,
    /// The road.
    pub road: RoughRoad,
    /// Time from the full roughness to the window of the means `[s]`.
    pub settle: f64,
    /// Length of that window `[s]`.
    pub window: f64,
    /// Friction of the surface relative to the tires' reference `[-]`.
    pub friction: f64,
    /// Longest step of the integration `[s]`.
    pub step: f64,
    /// Integrator; the points of the time grid are the same for both.
    pub integrator: Integrator,
}

impl Default for RoughCorner {
    fn default() -> Self {
        RoughCorner {
            // As for the bump: a fast bend, driven briskly; common practice, no source.
            radius: 60.0,
            lateral_acceleration: 6.0,
            road: RoughRoad::default(),
            settle: 0.5,
            // A few periods of the body and some fifty of the wheels.
            window: 4.0,
            friction: 1.0,
            // Nine steps in the shortest wave at 19 m/s.
            step: 0.5 * FIXED_STEP,
            integrator: Integrator::Fixed,
        }
    }
}

impl RoughCorner {
    /// Start of the window `[s]`.
    fn from(&self, corner: &SteadyCorner) -> f64 {
        FADE / corner.speed + self.settle
    }
}

/// Findings of a drive over a rough road.
pub(crate) struct RoughFindings {
    corner: SteadyCorner,
    /// Start and end of the window `[s]`.
    window: [f64; 2],
}

impl Recorded<RoughFindings> {
    fn corner(&self) -> &SteadyCorner {
        &self.found.corner
    }

    fn window(&self) -> TraceWindow<'_> {
        let [from, to] = self.found.window;
        TraceWindow::new(&self.trace, from, to)
    }

    /// Share of an end's lateral force per slip angle that is lost.
    fn grip_lost(&self, end: usize) -> f64 {
        let (w, corner) = (self.window(), self.corner());
        let rough = w.mean(|i| w.force(end, i)) / w.mean(|i| w.slip(end, i));
        1.0 - rough / (corner.force(end) / corner.slip(end))
    }

    /// Mean share of the time for which an end's wheels are off the road.
    fn share_off_road(&self, end: usize) -> f64 {
        let [a, b] = self.window().shares_off_road(end);
        0.5 * (a + b)
    }
}

/// The metrics of a rough corner.
const METRICS: &[MeasuredBy<Recorded<RoughFindings>>] = &[
    MeasuredBy(&m::OUTWARD_DEVIATION, |r| {
        r.corner().outward(&r.trace, r.trace.time.len() - 1)
    }),
    MeasuredBy(&m::LATERAL_ACCELERATION_LOST, |r| {
        let w = r.window();
        let mean = w.mean(|i| w.at(&ch::LATERAL_ACCELERATION, i));
        1.0 - mean / r.corner().lateral_acceleration
    }),
    MeasuredBy(&m::YAW_RATE_UNREST, |r| {
        let w = r.window();
        let mean = w.mean(|i| w.at(&ch::YAW_RATE, i));
        let square = w.mean(|i| Real::sq(w.at(&ch::YAW_RATE, i) - mean));
        square.sqrt()
    }),
    MeasuredBy(&m::FRONT_GRIP_LOST, |r| r.grip_lost(0)),
    MeasuredBy(&m::REAR_GRIP_LOST, |r| r.grip_lost(1)),
    MeasuredBy(&m::FRONT_LOAD_VARIATION, |r| {
        r.window().load_variation(r.corner(), 0)
    }),
    MeasuredBy(&m::REAR_LOAD_VARIATION, |r| {
        r.window().load_variation(r.corner(), 1)
    }),
    MeasuredBy(&m::FRONT_SHARE_OFF_ROAD, |r| r.share_off_road(0)),
    MeasuredBy(&m::REAR_SHARE_OFF_ROAD, |r| r.share_off_road(1)),
];

impl DriveManeuver for RoughCorner {
    type Found = RoughFindings;
    const NAME: &'static str = "rough_corner";
    const CHANNELS: &'static [&'static Channel] = CHANNELS;
    const METRICS: &'static [MeasuredBy<Recorded<RoughFindings>>] = METRICS;

    fn check(&self) -> Result<(), ManeuverError> {
        let (name, road) = (Self::NAME, &self.road);
        checks::corner(name, self.radius, self.lateral_acceleration)?;
        within(name, "road.track", road.track, (0.1, 10.0), "m")?;
        within(name, "road.shortest", road.shortest, (0.05, 10.0), "m")?;
        within(name, "road.longest", road.longest, (0.1, 1000.0), "m")?;
        checks::below(
            name,
            ("road.shortest", road.shortest),
            ("road.longest", road.longest),
            "m",
        )?;
        within(name, "settle", self.settle, (0.0, 60.0), "s")?;
        within(name, "window", self.window, (0.2, 60.0), "s")?;
        // The stations of a circle are unique for one lap.
        let speed = (self.lateral_acceleration.abs() * self.radius).sqrt();
        let length = 1.1 * speed * (FADE / speed + self.settle + self.window) + 10.0;
        checks::below(
            name,
            ("length driven", length),
            ("length of the circle", std::f64::consts::TAU * self.radius),
            "m",
        )?;
        checks::friction(name, self.friction)?;
        checks::integration(name, self.step, self.integrator)
    }

    fn perform(
        &self,
        models: &[&Model],
        recorder: &dyn Fn() -> Recorder,
        interrupt: Interrupt<'_>,
    ) -> Vec<Performed<RoughFindings>> {
        // All cars roll over the same road, as far as the longest of them needs it.
        let profiles = OnceCell::new();
        let wheelbases = models.iter().map(|model| model.geometry.wheelbase);
        let longest = wheelbases.fold(0.0, f64::max);
        drive::perform(
            models,
            |model| {
                SteadyCorner::find(model, self.radius, self.lateral_acceleration, self.friction)
            },
            |model, corner| {
                let from = self.from(corner);
                let end = from + self.window;
                let geometry = &model.geometry;
                let length = |wheelbase: f64| corner.speed * end * 1.1 + wheelbase + 5.0;
                let profiles = profiles.get_or_init(|| self.road.profiles(length(longest)));
                let road = Tracks {
                    line: corner.line(length(geometry.wheelbase)),
                    station: geometry.front_axle,
                    fade: FADE,
                    profiles: profiles.clone(),
                };
                let drive = CornerDrive {
                    hold_speed: true,
                    integration: Integration {
                        step: self.step,
                        integrator: self.integrator,
                    },
                    recorder: recorder(),
                };
                drive.start(model, corner, road, &[0.0, from, end])
            },
            |corner| {
                let from = self.from(&corner);
                RoughFindings {
                    window: [from, from + self.window],
                    corner,
                }
            },
            interrupt,
        )
    }
}
