//! One drive through the course with given steering.
//!
//! The steering that the driver wants is a function of the place: a uniform cubic B-spline over the
//! station of O. His hands follow with the lag of the muscles and a largest rate.

use axletree_scalar::Real;
use std::cell::RefCell;

use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ATTITUDE, Inputs, POSITION, STATES};
use axletree_vehicle::trim::Trim;

use super::DoubleLaneChange;
use super::course::{Course, Marker};
use crate::cones::{Cone, Outline, Pass};
use crate::slalom::plant;
use axletree_maneuver::initial_state as begin;
use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::spline::UniformSpline;
use axletree_simulation::channels::Moment;
use axletree_simulation::drive::{
    Action, Controls, Drive, Job, Schedule, Validity, drive, drive_together, join,
};
use axletree_simulation::outcome::{Ending, Outcome};
use axletree_simulation::trace::{Recorder, Trace};

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
    /// Whether the throttle is closed from the start.
    closed: bool,
    outline: Outline,
    /// The cones.
    pub markers: Vec<Marker>,
    /// Where O starts and where it must get to [m].
    pub way: [f64; 2],
    /// Distance of the spline's knots [m].
    spacing: f64,
    /// Even stations and where the smooth way through the middles of the lanes is there [m].
    middles: Vec<[f64; 2]>,
    /// When a drive starts, and when it has taken too long [s]: more than a car that gets through needs; the
    /// same for every design, so that all have the same steps.
    times: [f64; 2],
}

/// What a drive did.
#[derive(Clone, Debug, PartialEq)]
pub struct Attempt {
    /// What was decided.
    pub design: Design,
    /// Clearance of each cone [m], twice: while it is ahead of O and while it is behind. Nose and tail may
    /// come equally near; the least of both alone would have a kink there.
    pub clearances: Vec<f64>,
    /// Distance of O from the smooth way through the middles at even stations, to the left [m].
    pub off: Vec<f64>,
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

/// What is seen of a drive.
#[derive(Clone, Debug)]
pub struct Log {
    passes: Vec<[Pass; 2]>,
    sideslip: f64,
    /// Where O was last [m].
    last: Option<[f64; 2]>,
    /// Distance from the smooth way at the stations passed so far [m].
    off: Vec<f64>,
}

/// States on the way through the course.
pub type Trail = axletree_simulation::checkpoint::Trail<Log, JOINT>;

/// States of car and hands.
const JOINT: usize = STATES + 1;

/// The driver on his way.
struct Driver<'g, 'a> {
    ground: &'g Ground<'a>,
    steering: UniformSpline,
    straight: Inputs<f64>,
    log: RefCell<Log>,
    trail: RefCell<Option<Trail>>,
}

/// Middle of a cone whose base touches the lane's edge, left of the first lane's middle [m].
fn cone_y(marker: &Marker) -> f64 {
    marker.y - marker.side * CONE_RADIUS
}

impl Controls<1> for Driver<'_, '_> {
    #[inline(always)]
    fn act(&self, _: f64, car: &[f64; STATES], own: &[f64; 1]) -> Action<1> {
        let angle = own[0];
        let station = car[POSITION] - self.ground.way[0];
        let wanted = self.straight.steering_wheel + self.steering.value(station);
        let rate = self.ground.settings.hands.hand_rate(wanted, angle);
        let mut inputs = Inputs {
            steering_wheel: angle,
            steering_wheel_rate: rate,
            ..self.straight
        };
        if self.ground.closed {
            inputs.throttle = 0.0;
        }
        Action {
            inputs,
            own_rate: [rate],
        }
    }

    fn judge(&self, moment: &Moment<'_>, own: &[f64; 1]) -> Option<Outcome> {
        let mut log = self.log.borrow_mut();
        if let Some(trail) = &mut *self.trail.borrow_mut() {
            let station = moment.state[POSITION] - self.ground.way[0];
            trail.see(station, moment, own, &log);
        }
        log.see(self.ground, moment, own[0]);
        (moment.state[POSITION] >= self.ground.way[1]).then_some(Outcome::Completed)
    }
}

impl Log {
    fn new(ground: &Ground<'_>) -> Self {
        let pass = |m: &Marker| {
            let cone = Cone {
                x: m.x,
                side: m.side,
                radius: CONE_RADIUS,
            };
            [Pass::new(cone, ground.outline); 2]
        };
        Log {
            passes: ground.markers.iter().map(pass).collect(),
            sideslip: 1e-3,
            last: None,
            off: Vec::new(),
        }
    }

    /// Sees the next moment, with the hands' angle.
    fn see(&mut self, ground: &Ground<'_>, moment: &Moment<'_>, angle: f64) {
        let [x, y] = [moment.state[POSITION], moment.state[POSITION + 1]];
        let mut state: plant::State = [0.0; plant::LENGTH];
        state[..STATES].copy_from_slice(moment.state);
        state[plant::HANDS] = angle;
        let (sin, cos) = Real::sin_cos(moment.state[ATTITUDE]);
        for (marker, pass) in ground.markers.iter().zip(&mut self.passes) {
            let far = marker.x - x;
            if far > ground.outline.nose + WATCHED || far < -ground.outline.tail - WATCHED {
                continue;
            }
            let ahead = cos * far + sin * (cone_y(marker) - y);
            pass[usize::from(ahead < 0.0)].see(&state, -cone_y(marker));
        }
        self.sideslip = self.sideslip.max(moment.sideslip().abs());
        if let Some([x0, y0]) = self.last {
            // Every station that was passed since.
            while let Some(&[at, middle]) = ground.middles.get(self.off.len())
                && at <= x
            {
                let share = (at - x0) / (x - x0);
                self.off.push(y0 + share * (y - y0) - middle);
            }
        }
        self.last = Some([x, y]);
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
        let span = way[1] - way[0];
        let stations = 4 * settings.coefficients;
        Ground {
            model,
            gear,
            settings,
            closed: course.release().is_some(),
            outline: Outline::of(geometry),
            markers: course.markers(geometry.width),
            way,
            spacing: UniformSpline::spacing_over(settings.coefficients, span),
            middles: (1..=stations)
                .map(|k| (way[0] + span * k as f64 / stations as f64).min(way[1]))
                .map(|at| [at, course.middle_way(geometry.width, at)[0]])
                .collect(),
            times: [0.0, span / SLOWEST],
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

    /// Straight running in gear at a speed [m/s]; the outcome says why the car cannot even begin.
    fn straight(&self, speed: f64) -> Result<Trim, Outcome> {
        let straight = begin::straight(self.model, speed, self.settings.friction)?;
        begin::in_gear(self.model, &straight, Some(self.gear))
    }

    fn driver<'g>(&'g self, design: &Design, straight: &Trim, log: Log) -> Driver<'g, 'a> {
        Driver {
            ground: self,
            steering: UniformSpline::new(design.steering.clone(), self.spacing),
            straight: straight.inputs,
            log: RefCell::new(log),
            trail: RefCell::new(None),
        }
    }

    /// State of car and hands at the start.
    fn start(&self, design: &Design, straight: &Trim) -> [f64; JOINT] {
        let mut car = straight.state;
        car[POSITION] = self.way[0];
        car[POSITION + 1] = design.offset;
        join(&car, &[straight.inputs.steering_wheel])
    }

    fn schedule<'t>(&self, times: &'t [f64; 2]) -> Schedule<'t> {
        Schedule {
            breaks: times,
            longest_step: self.settings.step,
            sample_every: 2,
        }
    }

    /// What a drive was seen to do.
    fn seen(&self, design: &Design, log: &Log, driven: &Drive<JOINT>) -> Attempt {
        let mut ending = driven.ending;
        if ending.outcome.is_completed() && driven.state[POSITION] < self.way[1] {
            let car = axletree_simulation::drive::split::<1, JOINT>(&driven.state).0;
            ending.outcome = Outcome::Stopped {
                speed: axletree_simulation::driver::speed_hold::speed_of(car),
            };
        }
        let clearances = log.passes.iter().flatten().map(Pass::clearance);
        Attempt {
            design: design.clone(),
            clearances: clearances.collect(),
            off: log.off.clone(),
            sideslip: log.sideslip,
            ending,
        }
    }

    /// Drives; the outcome says why the car cannot even begin.
    pub fn attempt(
        &self,
        design: &Design,
        mut recorder: Recorder,
        interrupt: Interrupt<'_>,
    ) -> Result<(Attempt, Way, Trace), Outcome> {
        let straight = self.straight(design.speed)?;
        let driver = self.driver(design, &straight, Log::new(self));
        driver.trail.replace(Some(Trail::new(0.0, self.spacing)));
        let driven = drive(
            self.model,
            &driver,
            self.start(design, &straight),
            &self.schedule(&self.times),
            &mut recorder,
            &Validity::default(),
            interrupt,
        );
        let attempt = self.seen(design, &driver.log.borrow(), &driven);
        let way = Way {
            straight,
            trail: driver.trail.take(),
        };
        Ok((attempt, way, recorder.finish()))
    }

    /// Drives designs that differ little from one whose way is known, side by side and from where each
    /// begins to differ.
    pub fn attempts_near(
        &self,
        base: &Design,
        way: &Way,
        designs: &[Design],
        interrupt: Interrupt<'_>,
    ) -> Result<Vec<Attempt>, Outcome> {
        // Those that are longest under way first, so that lanes stay full.
        let mut order: Vec<(f64, usize)> = designs
            .iter()
            .map(|design| self.same_until(base, design))
            .zip(0..)
            .collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut begun = Vec::with_capacity(designs.len());
        for &(same, i) in &order {
            let design = &designs[i];
            let mark = way.trail.as_ref().and_then(|trail| trail.before(same));
            begun.push(if let Some(mark) = mark {
                let driver = self.driver(design, &way.straight, mark.log.clone());
                (driver, mark.state, [mark.time, self.times[1]])
            } else {
                let other;
                let straight = if design.speed == base.speed {
                    &way.straight
                } else {
                    other = self.straight(design.speed)?;
                    &other
                };
                let driver = self.driver(design, straight, Log::new(self));
                (driver, self.start(design, straight), self.times)
            });
        }
        let jobs: Vec<_> = begun
            .iter()
            .map(|(driver, start, times)| Job {
                model: self.model,
                road: None,
                controls: driver,
                start: *start,
                schedule: self.schedule(times),
            })
            .collect();
        let mut seen: Vec<Option<Attempt>> = vec![None; designs.len()];
        drive_together(
            &jobs,
            &|_| Recorder::of(&[]),
            &Validity::default(),
            interrupt,
            &mut |job, driven, _| {
                let i = order[job].1;
                let log = begun[job].0.log.borrow();
                seen[i] = Some(self.seen(&designs[i], &log, &driven));
            },
        );
        Ok(seen.into_iter().flatten().collect())
    }

    /// Station up to which two designs are the same drive; below zero where they differ from the start [m].
    fn same_until(&self, a: &Design, b: &Design) -> f64 {
        if a.speed != b.speed || a.offset != b.offset {
            return f64::NEG_INFINITY;
        }
        let pairs = a.steering.iter().zip(&b.steering);
        UniformSpline::same_until(pairs, self.spacing)
    }
}

/// How a drive went, for drives that differ little.
#[derive(Clone, Debug)]
pub struct Way {
    straight: Trim,
    trail: Option<Trail>,
}
