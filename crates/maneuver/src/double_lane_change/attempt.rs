//! One drive through the course with given steering.
//!
//! The steering that the driver wants is a function of the place: a uniform cubic B-spline over the
//! station of O. His hands follow with the lag of the muscles and a largest rate.

use std::cell::{Cell, RefCell};

use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ATTITUDE, Inputs, POSITION, STATES};

use super::DoubleLaneChange;
use super::course::{Course, Marker};
use crate::begin;
use crate::channels::Moment;
use crate::drive::{Action, Controls, Schedule, Validity, drive, join};
use crate::driver::limits::HandLimits;
use crate::interrupt::Interrupt;
use crate::outcome::{Ending, Outcome};
use crate::slalom::clearance::{Cone, Outline, Pass};
use crate::slalom::plant;
use crate::spline::UniformSpline;
use crate::trace::{Recorder, Trace};

/// A cone is watched while O is nearer than this beyond the car's ends [m].
const WATCHED: f64 = 2.0;

/// Radius of a cone's base [m]: half a meter high (the standard's least) and about as wide as common ones.
const CONE_RADIUS: f64 = 0.15;

/// A car that needs longer than at this mean speed does not get through [m/s].
const SLOWEST: f64 = 2.0;

/// What the driver decides.
#[derive(Clone, Debug, PartialEq)]
pub struct Design {
    /// Speed at the entry [m/s].
    pub speed: f64,
    /// Where he enters, left of the first lane's middle [m].
    pub offset: f64,
    /// Coefficients of the steering-wheel angle that he wants [rad].
    pub steering: Vec<f64>,
}

/// The course for one car.
pub struct Ground<'a> {
    /// The car.
    pub model: &'a Model,
    /// Gear, counted from 1: the same for every design, because another gear is another car.
    pub gear: usize,
    settings: &'a DoubleLaneChange,
    outline: Outline,
    /// The cones.
    pub markers: Vec<Marker>,
    /// Where O starts and where it must get to [m].
    pub way: [f64; 2],
    /// Distance of the spline's knots [m].
    spacing: f64,
}

/// What a drive did.
#[derive(Clone, Debug, PartialEq)]
pub struct Attempt {
    /// What was decided.
    pub design: Design,
    /// Clearance of each cone [m], twice: while it is ahead of O and while it is behind. Nose and tail may
    /// come equally near; the least of both alone would have a kink there.
    pub clearances: Vec<f64>,
    /// Largest magnitude of the sideslip [rad].
    pub sideslip: f64,
    /// When and how it ended.
    pub ending: Ending,
}

impl Attempt {
    /// Least clearance [m].
    pub fn least(&self) -> f64 {
        self.clearances
            .iter()
            .copied()
            .fold(f64::INFINITY, f64::min)
    }
}

/// The driver on his way.
struct Driver<'a> {
    steering: UniformSpline,
    straight: Inputs<f64>,
    closed: bool,
    hands: HandLimits,
    way: [f64; 2],
    outline: Outline,
    markers: &'a [Marker],
    passes: RefCell<Vec<[Pass; 2]>>,
    sideslip: Cell<f64>,
}

/// Middle of a cone whose base touches the lane's edge, left of the first lane's middle [m].
fn cone_y(marker: &Marker) -> f64 {
    marker.y - marker.side * CONE_RADIUS
}

impl Controls<1> for Driver<'_> {
    fn act(&self, _: f64, car: &[f64; STATES], own: &[f64; 1]) -> Action<1> {
        let angle = own[0];
        let wanted =
            self.straight.steering_wheel + self.steering.value(car[POSITION] - self.way[0]);
        let rate = self.hands.hand_rate(wanted, angle);
        let mut inputs = Inputs {
            steering_wheel: angle,
            steering_wheel_rate: rate,
            ..self.straight
        };
        if self.closed {
            inputs.throttle = 0.0;
        }
        Action {
            inputs,
            own_rate: [rate],
        }
    }

    fn judge(&self, moment: &Moment<'_>, own: &[f64; 1]) -> Option<Outcome> {
        let x = moment.state[POSITION];
        let mut state: plant::State = [0.0; plant::LENGTH];
        state[..STATES].copy_from_slice(moment.state);
        state[plant::HANDS] = own[0];
        let (sin, cos) = moment.state[ATTITUDE].sin_cos();
        let mut passes = self.passes.borrow_mut();
        for (marker, pass) in self.markers.iter().zip(passes.iter_mut()) {
            let far = marker.x - x;
            if far > self.outline.nose + WATCHED || far < -self.outline.tail - WATCHED {
                continue;
            }
            let across = cone_y(marker) - moment.state[POSITION + 1];
            let ahead = cos * far + sin * across;
            pass[usize::from(ahead < 0.0)].see(&state, -cone_y(marker));
        }
        self.sideslip
            .set(self.sideslip.get().max(moment.sideslip().abs()));
        (x >= self.way[1]).then_some(Outcome::Completed)
    }
}

impl<'a> Ground<'a> {
    /// The course of some settings for a car.
    pub fn new(model: &'a Model, settings: &'a DoubleLaneChange, gear: usize) -> Self {
        let course: Course = settings.course;
        let geometry = &model.geometry;
        let way = [
            course.release().unwrap_or(0.0) - geometry.nose,
            course.end(geometry),
        ];
        Ground {
            model,
            gear,
            settings,
            outline: Outline::of(geometry),
            markers: course.markers(geometry.width),
            way,
            spacing: UniformSpline::spacing_over(settings.coefficients, way[1] - way[0]),
        }
    }

    /// Steering along a smooth way through the middles of the lanes, as a slow car would need it: `gain`
    /// is the steering-wheel angle per curvature [rad m], `lead` how far ahead he acts [m].
    pub fn first_guess(&self, speed: f64, gain: f64, lead: f64) -> Design {
        let n = self.settings.coefficients;
        let width = self.model.geometry.width;
        Design {
            speed,
            offset: 0.0,
            steering: (0..n)
                .map(|i| {
                    let x = self.way[0] + self.spacing * (i as f64 - 1.0) + lead;
                    gain * self.settings.course.middle_way(width, x)[1]
                })
                .collect(),
        }
    }

    /// Distance of O from the smooth way through the middles at even stations, to the left [m]; none where
    /// the car does not get through.
    pub fn off_the_middle(
        &self,
        design: &Design,
        interrupt: Interrupt<'_>,
    ) -> Result<Option<Vec<f64>>, Outcome> {
        let recorder = Recorder::of(&[&crate::channels::X, &crate::channels::Y]);
        let (attempt, trace) = self.attempt(design, recorder, interrupt)?;
        if attempt.ending.outcome == Outcome::Interrupted {
            return Err(Outcome::Interrupted);
        }
        if !attempt.ending.outcome.is_completed() {
            return Ok(None);
        }
        let (x, y) = (&trace.columns[0], &trace.columns[1]);
        let width = self.model.geometry.width;
        let stations = 4 * self.settings.coefficients;
        let mut i = 0;
        let off = (1..=stations).map(|k| {
            let at = self.way[0] + (self.way[1] - self.way[0]) * k as f64 / stations as f64;
            while i + 2 < x.len() && x[i + 1] < at {
                i += 1;
            }
            let share = (at - x[i]) / (x[i + 1] - x[i]);
            y[i] + share * (y[i + 1] - y[i]) - self.settings.course.middle_way(width, at)[0]
        });
        Ok(Some(off.collect()))
    }

    /// Drives; the outcome says why the car cannot even begin.
    pub fn attempt(
        &self,
        design: &Design,
        mut recorder: Recorder,
        interrupt: Interrupt<'_>,
    ) -> Result<(Attempt, Trace), Outcome> {
        let s = self.settings;
        let straight = begin::straight(self.model, design.speed, s.friction)?;
        let straight = begin::in_gear(self.model, &straight, Some(self.gear))?;
        let pass = |m: &Marker| {
            let cone = Cone {
                x: m.x,
                side: m.side,
                radius: CONE_RADIUS,
            };
            [Pass::new(cone, self.outline); 2]
        };
        let driver = Driver {
            steering: UniformSpline::new(design.steering.clone(), self.spacing),
            straight: straight.inputs,
            closed: s.course.release().is_some(),
            hands: s.hands,
            way: self.way,
            outline: self.outline,
            markers: &self.markers,
            passes: RefCell::new(self.markers.iter().map(pass).collect()),
            sideslip: Cell::new(1e-3),
        };
        let mut car = straight.state;
        car[POSITION] = self.way[0];
        car[POSITION + 1] = design.offset;
        // More than a car that gets through needs; the same for every design, so that all have the same steps.
        let longest = (self.way[1] - self.way[0]) / SLOWEST;
        let driven = drive(
            self.model,
            &driver,
            join::<1, { STATES + 1 }>(&car, &[straight.inputs.steering_wheel]),
            &Schedule {
                breaks: &[0.0, longest],
                longest_step: s.step,
                sample_every: 2,
            },
            &mut recorder,
            &Validity::default(),
            interrupt,
        );
        let mut ending = driven.ending;
        if ending.outcome.is_completed() && driven.state[POSITION] < self.way[1] {
            ending.outcome = Outcome::Stopped {
                speed: crate::driver::speed::speed_of(
                    crate::drive::split::<1, { STATES + 1 }>(&driven.state).0,
                ),
            };
        }
        let clearances = driver
            .passes
            .borrow()
            .iter()
            .flatten()
            .map(Pass::clearance)
            .collect();
        Ok((
            Attempt {
                design: design.clone(),
                clearances,
                sideslip: driver.sideslip.get(),
                ending,
            },
            recorder.finish(),
        ))
    }
}
