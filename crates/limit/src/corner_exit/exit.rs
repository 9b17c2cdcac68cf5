//! One drive out of the corner with given steering and a given point of full throttle.

use std::cell::RefCell;

use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ATTITUDE, Inputs, POSITION, STATES};
use axletree_vehicle::trim::Trim;

use super::CornerExit;
use super::way::WayOut;
use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::spline::UniformSpline;
use axletree_simulation::channels::Moment;
use axletree_simulation::drive::{
    Action, Controls, Drive, Job, Schedule, Validity, drive, drive_together, join,
};
use axletree_simulation::driver::hands::HandLimits;
use axletree_simulation::outcome::{Ending, Outcome};
use axletree_simulation::road::shape::smooth_step;
use axletree_simulation::trace::{Recorder, Trace};

/// Stations at which the car's place on the track is looked at.
pub const STATIONS: usize = 24;
/// A car that is so far off the track is not followed on [m].
const LOST: f64 = 20.0;
/// A car that needs longer than at this share of its first speed does not get out [-].
const SLOWEST: f64 = 0.4;

/// What the driver decides.
#[derive(Clone, Debug, PartialEq)]
pub struct Design {
    /// Station at which the throttle begins to open [m].
    pub throttle: f64,
    /// Coefficients of the steering-wheel angle that he wants beyond the steady one [rad, inward positive].
    pub steering: Vec<f64>,
}

/// What a drive did.
#[derive(Clone, Debug, PartialEq)]
pub struct Exit {
    /// Distance from the middle at even stations, inward positive [m].
    pub inward: Vec<f64>,
    /// Largest magnitude of the sideslip [rad].
    pub sideslip: f64,
    /// Time to the end of the way [s].
    pub time: f64,
    /// Speed there [m/s].
    pub speed: f64,
    /// How it ended.
    pub ending: Ending,
}

/// The corner for one car, in equilibrium at its start.
pub struct Corner<'a> {
    /// The car.
    pub model: &'a Model,
    /// The way.
    pub way: WayOut,
    /// The equilibrium, in gear, moving along x.
    pub trim: Trim,
    /// Its sideslip [rad].
    pub sideslip: f64,
    /// Settings.
    pub settings: &'a CornerExit,
}

/// What is seen on the way.
#[derive(Clone, Debug, Default)]
pub struct Log {
    last: Option<(f64, [f64; 2], f64)>,
    inward: Vec<f64>,
    sideslip: f64,
    end: Option<(f64, f64)>,
}

/// States on the way out.
pub type Trail = axletree_simulation::checkpoint::Trail<Log, JOINT>;

/// States of car and hands.
const JOINT: usize = STATES + 1;

struct Driver<'c, 'a> {
    corner: &'c Corner<'a>,
    throttle: f64,
    steering: UniformSpline,
    hands: HandLimits,
    log: RefCell<Log>,
    trail: RefCell<Option<Trail>>,
}

impl Controls<1> for Driver<'_, '_> {
    #[inline(always)]
    fn act(&self, _: f64, car: &[f64; STATES], own: &[f64; 1]) -> Action<1> {
        let corner = self.corner;
        let before = corner.trim.inputs;
        let [station, _] = corner.way.place([car[POSITION], car[POSITION + 1]]);
        let wanted = before.steering_wheel + corner.way.side * self.steering.value(station);
        let rate = self.hands.hand_rate(wanted, own[0]);
        let opened = (station - self.throttle) / corner.settings.opening;
        let share = smooth_step(opened)[0];
        Action {
            inputs: Inputs {
                steering_wheel: own[0],
                steering_wheel_rate: rate,
                throttle: before.throttle + share * (1.0 - before.throttle),
                ..before
            },
            own_rate: [rate],
        }
    }

    fn judge(&self, moment: &Moment<'_>, own: &[f64; 1]) -> Option<Outcome> {
        let way = &self.corner.way;
        let place = way.place([moment.state[POSITION], moment.state[POSITION + 1]]);
        let mut log = self.log.borrow_mut();
        if let Some(trail) = &mut *self.trail.borrow_mut() {
            trail.see(place[0], moment, own, &log);
        }
        log.sideslip = log.sideslip.max(moment.sideslip().abs());
        let here = (moment.time, place, moment.speed());
        if let Some((time, before, speed)) = log.last {
            // Every station that was passed since.
            loop {
                let next = way.length() * (log.inward.len() + 1) as f64 / STATIONS as f64;
                if next > place[0] || log.inward.len() == STATIONS {
                    break;
                }
                let share = (next - before[0]) / (place[0] - before[0]);
                let inward = before[1] + share * (place[1] - before[1]);
                log.inward.push(inward);
                if log.inward.len() == STATIONS {
                    log.end = Some((
                        time + share * (here.0 - time),
                        speed + share * (here.2 - speed),
                    ));
                }
            }
        }
        log.last = Some(here);
        if place[1].abs() > self.corner.settings.half_width + LOST {
            return Some(Outcome::LeftPath {
                deviation: way.side * place[1],
            });
        }
        log.end.map(|_| Outcome::Completed)
    }
}

impl Corner<'_> {
    fn driver(&self, design: &Design, log: Log) -> Driver<'_, '_> {
        Driver {
            corner: self,
            throttle: design.throttle,
            steering: UniformSpline::over(design.steering.clone(), self.way.length()),
            hands: self.settings.hands,
            log: RefCell::new(log),
            trail: RefCell::new(None),
        }
    }

    /// State of car and hands at the start.
    fn start(&self) -> [f64; JOINT] {
        let mut car = self.trim.state;
        car[ATTITUDE] = -self.sideslip;
        join(&car, &[self.trim.inputs.steering_wheel])
    }

    /// When a drive has taken too long [s].
    fn longest(&self) -> f64 {
        self.way.length() / (SLOWEST * self.trim.condition.speed)
    }

    fn schedule<'t>(&self, times: &'t [f64; 2]) -> Schedule<'t> {
        Schedule {
            breaks: times,
            longest_step: self.settings.step,
            sample_every: 1,
        }
    }

    /// What a drive was seen to do.
    fn seen(log: &Log, driven: &Drive<JOINT>) -> Exit {
        let mut ending = driven.ending;
        let (time, speed) = log.end.unwrap_or((f64::NAN, f64::NAN));
        if ending.outcome.is_completed() && log.end.is_none() {
            let car = axletree_simulation::drive::split::<1, JOINT>(&driven.state).0;
            ending.outcome = Outcome::Stopped {
                speed: axletree_simulation::driver::speed_hold::speed_of(car),
            };
        }
        Exit {
            inward: log.inward.clone(),
            sideslip: log.sideslip.max(1e-3),
            time,
            speed,
            ending,
        }
    }

    /// Drives out of the corner.
    pub fn exit(
        &self,
        design: &Design,
        mut recorder: Recorder,
        interrupt: Interrupt<'_>,
    ) -> (Exit, Option<Trail>, Trace) {
        let driver = self.driver(design, Log::default());
        let trail = Trail::new(0.0, self.spacing(design));
        driver.trail.replace(Some(trail));
        let driven = drive(
            self.model,
            &driver,
            self.start(),
            &self.schedule(&[0.0, self.longest()]),
            &mut recorder,
            &Validity::default(),
            interrupt,
        );
        let exit = Self::seen(&driver.log.borrow(), &driven);
        (exit, driver.trail.take(), recorder.finish())
    }

    /// Drives designs that differ little from one whose trail is known, side by side and from where each
    /// begins to differ.
    pub fn exits_near(
        &self,
        base: &Design,
        trail: Option<&Trail>,
        designs: &[Design],
        interrupt: Interrupt<'_>,
    ) -> Vec<Exit> {
        // Those that are longest under way first, so that lanes stay full.
        let mut order: Vec<(f64, usize)> = designs
            .iter()
            .map(|design| self.same_until(base, design))
            .zip(0..)
            .collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        let begun: Vec<_> = order
            .iter()
            .map(|&(same, i)| {
                let mark = trail.and_then(|trail| trail.before(same));
                let (log, start, from) = mark.map_or_else(
                    || (Log::default(), self.start(), 0.0),
                    |mark| (mark.log.clone(), mark.state, mark.time),
                );
                (self.driver(&designs[i], log), start, [from, self.longest()])
            })
            .collect();
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
        let mut seen: Vec<Option<Exit>> = vec![None; designs.len()];
        drive_together(
            &jobs,
            &|_| Recorder::of(&[]),
            &Validity::default(),
            interrupt,
            &mut |job, driven, _| {
                let log = begun[job].0.log.borrow();
                seen[order[job].1] = Some(Self::seen(&log, &driven));
            },
        );
        seen.into_iter().flatten().collect()
    }

    /// Distance of the steering's knots [m].
    fn spacing(&self, design: &Design) -> f64 {
        UniformSpline::spacing_over(design.steering.len(), self.way.length())
    }

    /// Station up to which two designs are the same drive [m].
    fn same_until(&self, a: &Design, b: &Design) -> f64 {
        let pairs = a.steering.iter().zip(&b.steering);
        let steering = UniformSpline::same_until(pairs, self.spacing(a));
        if a.throttle == b.throttle {
            steering
        } else {
            steering.min(a.throttle).min(b.throttle)
        }
    }
}
