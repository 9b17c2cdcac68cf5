//! The real course: the approach, every cone in turn, and a spacing behind the last.

use std::cell::RefCell;
use std::ops::ControlFlow;

use axletree_numerics::interrupt::Interrupt;
use axletree_scalar::lone;
use axletree_simulation::Outcome;
use axletree_vehicle::model::layout::{POSITION, VELOCITY};

use super::super::period::{GridPoint, StatePoint, TIME, Trajectory};
use super::approach::{Approach, CourseApproach, SPIN_SLIP};
use super::feedback::{WATCHED, WATCHED_STATES};
use crate::cones::{Cone, ConePass};

/// Steps between two checks for an interruption.
const INTERRUPT_STRIDE: usize = 64;

/// Result of a drive over the course.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct DrivenCourse {
    /// Completed with every cone cleared, or what happened first.
    pub outcome: Outcome,
    /// Clearance of each cone `[m]`; NaN for cones that were not reached.
    pub margins: Vec<f64>,
    /// Time at the end `[s]`.
    pub time: f64,
}

impl DrivenCourse {
    /// Least clearance `[m]`; minus infinity where a cone was not reached.
    pub fn least_clearance(&self) -> f64 {
        self.margins
            .iter()
            .map(|m| if m.is_nan() { f64::NEG_INFINITY } else { *m })
            .fold(f64::INFINITY, f64::min)
    }
}

/// Steering-wheel angle wanted at a half step and a state, on the approach and behind it `[rad]`.
fn command(
    course: &CourseApproach<'_, '_>,
    approach: &Approach,
    gains: &[f64; WATCHED_STATES],
    half_step: usize,
    x: &StatePoint<'_>,
) -> f64 {
    if half_step < 2 * course.steps {
        return course.command(approach, half_step);
    }
    let orbit = course.learned.at(half_step - 2 * course.steps);
    let position = course.position(half_step);
    let mut wanted = course.learned.steering.command(position);
    for ((k, orbit), i) in gains.iter().zip(orbit).zip(WATCHED) {
        wanted -= k * (x.at(i) - orbit);
    }
    wanted
}

/// Drives a course of `count` cones with each of several feedback gains, side by side; the observer
/// is given every point of the grid with the number of the gains.
pub(crate) fn drive_course(
    course: &CourseApproach<'_, '_>,
    approach: &Approach,
    gains: &[[f64; WATCHED_STATES]],
    count: usize,
    interrupt: Interrupt,
    observer: &mut dyn FnMut(usize, &GridPoint<'_>),
) -> Vec<DrivenCourse> {
    let period = course.period;
    let cones: Vec<Cone> = (0..count).map(|i| period.geometry.cone(i)).collect();
    let mut monitors: Vec<CourseMonitor> = gains
        .iter()
        .map(|_| CourseMonitor {
            passes: cones
                .iter()
                .map(|&cone| ConePass::new(cone, period.outline))
                .collect(),
            position: approach.start[POSITION],
            time: approach.start[TIME],
            speed: approach.start[VELOCITY],
            broke_off: None,
        })
        .collect();
    let wanted: Vec<_> = gains
        .iter()
        .map(|k| |half: usize, x: &StatePoint<'_>| command(course, approach, k, half, x))
        .collect();
    let observer = RefCell::new(observer);
    let mut observers: Vec<_> = monitors
        .iter_mut()
        .enumerate()
        .map(|(number, monitor)| {
            let observer = &observer;
            move |i: usize, point: &GridPoint<'_>| {
                (observer.borrow_mut())(number, point);
                monitor.observe(i, point, interrupt)
            }
        })
        .collect();
    let mut trajectories: Vec<Trajectory<'_>> = observers
        .iter_mut()
        .zip(&wanted)
        .map(|(observer, wanted)| Trajectory {
            start: approach.start,
            speed: course.speed,
            wanted,
            observer,
        })
        .collect();
    let steps = course.steps + (count + 1) * period.grid.steps / 2;
    let ends = period
        .plant
        .run_batch(&mut trajectories, period.grid.step, steps);
    drop(trajectories);
    drop(observers);
    let tail = period.outline.tail;
    ends.iter()
        .zip(monitors)
        .map(|(end, monitor)| monitor.report(&cones, tail, end.is_some()))
        .collect()
}

/// Observer of a drive over the course.
struct CourseMonitor {
    passes: Vec<ConePass>,
    position: f64,
    time: f64,
    speed: f64,
    broke_off: Option<Outcome>,
}

impl CourseMonitor {
    fn observe(
        &mut self,
        i: usize,
        point: &GridPoint<'_>,
        interrupt: Interrupt,
    ) -> ControlFlow<()> {
        let y = point.state.at(POSITION + 1);
        self.position = point.state.at(POSITION);
        self.time = point.state.at(TIME);
        self.speed = point.rate.at(TIME).recip();
        for pass in &mut self.passes {
            if pass.is_near(self.position) {
                pass.observe([self.position, y], point.heading);
            }
        }
        if point.slip.abs() > SPIN_SLIP {
            let sideslip = lone::atan(point.slip);
            self.broke_off = Some(Outcome::Spun { sideslip });
        } else if i.is_multiple_of(INTERRUPT_STRIDE) && interrupt.stopped() {
            self.broke_off = Some(Outcome::Interrupted);
        }
        if self.broke_off.is_some() {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }

    fn report(self, cones: &[Cone], tail: f64, through: bool) -> DrivenCourse {
        // Cones that were not reached have no clearance.
        let margins: Vec<f64> = self
            .passes
            .iter()
            .zip(cones)
            .map(|(pass, cone)| {
                if self.position > cone.x + tail {
                    pass.clearance()
                } else {
                    f64::NAN
                }
            })
            .collect();
        let hit = margins.iter().position(|m| *m < 0.0);
        let outcome = match (hit, self.broke_off) {
            (_, Some(Outcome::Interrupted)) => Outcome::Interrupted,
            (Some(i), _) => Outcome::ConeHit {
                number: i + 1,
                clearance: margins[i],
            },
            (None, Some(broke_off)) => broke_off,
            (None, None) if through => Outcome::Completed,
            (None, None) => Outcome::Stopped { speed: self.speed },
        };
        DrivenCourse {
            outcome,
            margins,
            time: self.time,
        }
    }
}
