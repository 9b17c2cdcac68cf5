//! A corner on a random road.

use axletree_scalar::Real;
use std::cell::OnceCell;

use axletree_vehicle::Model;
use serde::{Deserialize, Serialize};

use super::{CHANNELS, Corner, Window};
use crate::maneuver::{DriveManeuver, Run};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::error::{ManeuverError, within};
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::outcome::Ending;
use axletree_simulation::road::{RoughRoad, Tracks};
use axletree_simulation::trace::{Recorder, Trace};
use axletree_simulation::{FIXED_STEP, channels as ch};

const NAME: &str = "rough_corner";

/// Length over which the road grows from flat to rough [m].
const FADE: f64 = 10.0;

/// Settings of the rough corner: the road after ISO 8608, the rest common practice.
///
/// The steering wheel is held, and the speed. What the car does is told against what it does on a flat
/// road, its equilibrium. Compare cars with the same seed: they then roll over the same road.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct RoughCorner {
    /// Radius of the corner on a flat road [m].
    pub radius: f64,
    /// Steady lateral acceleration on a flat road, positive to the left [m/s^2].
    pub lateral_acceleration: f64,
    /// The road.
    pub road: RoughRoad,
    /// Time from the full roughness to the window of the means [s].
    pub settle: f64,
    /// Length of that window [s].
    pub window: f64,
    /// Friction of the surface relative to the tires' reference [-].
    pub friction: f64,
    /// Longest step of the integration [s].
    pub step: f64,
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
        }
    }
}

impl RoughCorner {
    /// Start of the window [s].
    fn from(&self, corner: &Corner) -> f64 {
        FADE / corner.speed + self.settle
    }

    fn measured(&self, corner: &Corner, trace: &Trace, ending: Ending) -> Measures {
        let mut measures = Measures::empty(NAME, ending, self.metrics());
        if !ending.outcome.is_completed() {
            return measures;
        }
        let from = self.from(corner);
        let w = Window::new(trace, from, from + self.window);
        let end = trace.time.len() - 1;
        measures.set(&m::OUTWARD_DEVIATION, corner.outward(trace, end));
        measures.set(
            &m::LATERAL_ACCELERATION_LOST,
            1.0 - w.mean(|i| w.at(&ch::LATERAL_ACCELERATION, i)) / corner.lateral_acceleration,
        );
        let mean = w.mean(|i| w.at(&ch::YAW_RATE, i));
        let square = w.mean(|i| Real::sq(w.at(&ch::YAW_RATE, i) - mean));
        measures.set(&m::YAW_RATE_UNREST, square.sqrt());
        // Force for slip: what each end holds at the slip it needs.
        let lost = |end: usize| {
            let rough = w.mean(|i| w.force(end, i)) / w.mean(|i| w.slip(end, i));
            1.0 - rough / (corner.force(end) / corner.slip(end))
        };
        measures.set(&m::FRONT_GRIP_LOST, lost(0));
        measures.set(&m::REAR_GRIP_LOST, lost(1));
        measures.set(&m::FRONT_LOAD_VARIATION, corner.load_variation(&w, 0));
        measures.set(&m::REAR_LOAD_VARIATION, corner.load_variation(&w, 1));
        let off = |end: usize| {
            let [a, b] = [0, 1].map(|k| w.mean(|i| f64::from(w.load(2 * end + k, i) <= 0.0)));
            0.5 * (a + b)
        };
        measures.set(&m::FRONT_SHARE_OFF_ROAD, off(0));
        measures.set(&m::REAR_SHARE_OFF_ROAD, off(1));
        measures
    }
}

impl DriveManeuver for RoughCorner {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        vec![
            &m::OUTWARD_DEVIATION,
            &m::LATERAL_ACCELERATION_LOST,
            &m::YAW_RATE_UNREST,
            &m::FRONT_GRIP_LOST,
            &m::REAR_GRIP_LOST,
            &m::FRONT_LOAD_VARIATION,
            &m::REAR_LOAD_VARIATION,
            &m::FRONT_SHARE_OFF_ROAD,
            &m::REAR_SHARE_OFF_ROAD,
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
        within(NAME, "road.track", self.road.track, (0.1, 10.0), "m")?;
        within(NAME, "road.shortest", self.road.shortest, (0.05, 10.0), "m")?;
        within(NAME, "road.longest", self.road.longest, (0.1, 1000.0), "m")?;
        if self.road.shortest >= self.road.longest {
            return Err(ManeuverError::Order {
                maneuver: NAME,
                setting: "road.shortest",
                value: self.road.shortest,
                other: "road.longest",
                limit: self.road.longest,
                unit: "m",
            });
        }
        within(NAME, "settle", self.settle, (0.0, 60.0), "s")?;
        within(NAME, "window", self.window, (0.2, 60.0), "s")?;
        // The stations of a circle are unique for one lap.
        let lap = std::f64::consts::TAU * self.radius;
        let speed = (level * self.radius).sqrt();
        let length = 1.1 * speed * (FADE / speed + self.settle + self.window) + 10.0;
        if length >= lap {
            return Err(ManeuverError::Order {
                maneuver: NAME,
                setting: "length driven",
                value: length,
                other: "length of the circle",
                limit: lap,
                unit: "m",
            });
        }
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
        // All cars roll over the same road, as far as the longest of them needs it.
        let profiles = OnceCell::new();
        let wheelbases = models.iter().map(|model| model.geometry.wheelbase);
        let longest = wheelbases.fold(0.0, f64::max);
        super::perform(
            self,
            models,
            |model| Corner::find(model, self.radius, self.lateral_acceleration, self.friction),
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
                corner.ready(model, road, &[0.0, from, end], true, self.step, recorder())
            },
            |corner, trace, ending| self.measured(corner, trace, ending),
            interrupt,
        )
    }
}
