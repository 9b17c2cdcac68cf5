//! Simulations of designs along a course: one, or a batch of neighbors from checkpoints.
//!
//! A coefficient of the steering spline changes nothing before its own part of the course.
//! Derivatives by differences need one simulation for every coefficient; each starts at the last
//! checkpoint of the undisturbed drive at which both are still the same.

use std::cell::RefCell;

use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::spline::UniformSpline;
use axletree_simulation::channels::Moment;
use axletree_simulation::drive::{
    Action, Controls, Integrator, Job, Schedule, Validity, drive, drive_batch, join_states,
};
use axletree_simulation::driver::Hands;
use axletree_simulation::{Checkpoints, Outcome, Recorder, Trace};
use axletree_vehicle::model::layout::{Inputs, STATES};
use axletree_vehicle::trim::Trim;

use super::course::{JOINT, SplineCourse};

/// A drive that others start from: its equilibrium and its checkpoints.
#[derive(Clone, Debug)]
pub(crate) struct BaseDrive<L> {
    equilibrium: Trim,
    checkpoints: Option<Checkpoints<L, JOINT>>,
}

/// A simulated design.
pub(crate) struct DrivenDesign<R, L> {
    /// Its result.
    pub result: R,
    /// Start of the simulations of its neighbors.
    pub base: BaseDrive<L>,
    /// Recorded channels.
    pub trace: Trace,
}

/// Driver of one design.
struct SplineDriver<'c, C: SplineCourse> {
    course: &'c C,
    design: &'c C::Design,
    steering: UniformSpline,
    hands: Hands,
    side: f64,
    equilibrium: Inputs<f64>,
    log: RefCell<C::Log>,
    checkpoints: RefCell<Option<Checkpoints<C::Log, JOINT>>>,
}

impl<'c, C: SplineCourse> SplineDriver<'c, C> {
    fn new(course: &'c C, design: &'c C::Design, equilibrium: &Trim, log: C::Log) -> Self {
        let steering = course.steering(design).to_vec();
        SplineDriver {
            course,
            design,
            steering: UniformSpline::new(steering, course.knot_spacing()),
            hands: course.hands(),
            side: course.side(),
            equilibrium: equilibrium.inputs,
            log: RefCell::new(log),
            checkpoints: RefCell::new(None),
        }
    }
}

impl<C: SplineCourse> Controls<1> for SplineDriver<'_, C> {
    #[inline(always)]
    fn act(&self, _: f64, car: &[f64; STATES], own: &[f64; 1]) -> Action<1> {
        let [station, _] = self.course.place(car);
        let command = self.equilibrium.steering_wheel + self.side * self.steering.value(station);
        let rate = self.hands.hand_rate(command, own[0]);
        Action {
            inputs: Inputs {
                steering_wheel: own[0],
                steering_wheel_rate: rate,
                throttle: self
                    .course
                    .throttle(self.design, &self.equilibrium, station),
                ..self.equilibrium
            },
            own_rate: [rate],
        }
    }

    fn judge(&self, moment: &Moment<'_>, own: &[f64; 1]) -> Option<Outcome> {
        let place = self.course.place(moment.state);
        let mut log = self.log.borrow_mut();
        if let Some(checkpoints) = &mut *self.checkpoints.borrow_mut() {
            checkpoints.observe(place[0], moment, own, &log);
        }
        self.course.observe(&mut log, moment, place)
    }
}

/// State of car and hands at the start of a design.
fn start_of<C: SplineCourse>(course: &C, design: &C::Design, equilibrium: &Trim) -> [f64; JOINT] {
    let car = course.start(design, equilibrium);
    join_states(&car, &[equilibrium.inputs.steering_wheel])
}

fn schedule<'t, C: SplineCourse>(course: &C, times: &'t [f64; 2]) -> Schedule<'t> {
    Schedule {
        breaks: times,
        longest_step: course.step(),
        sample_every: C::SAMPLE_STRIDE,
        integrator: Integrator::Fixed,
    }
}

/// Simulates a design.
///
/// # Errors
/// The outcome that keeps the car from starting.
pub(crate) fn drive_design<C: SplineCourse>(
    course: &C,
    design: &C::Design,
    mut recorder: Recorder,
    interrupt: Interrupt<'_>,
) -> Result<DrivenDesign<C::Result, C::Log>, Outcome> {
    let equilibrium = course.equilibrium(design)?;
    let driver = SplineDriver::new(course, design, &equilibrium, course.empty_log());
    let checkpoints = Checkpoints::new(0.0, course.knot_spacing());
    driver.checkpoints.replace(Some(checkpoints));
    let driven = drive(
        course.model(),
        &driver,
        start_of(course, design, &equilibrium),
        &schedule(course, &[0.0, course.longest()]),
        &mut recorder,
        &Validity::default(),
        interrupt,
    );
    let result = course.result(design, &driver.log.borrow(), &driven);
    let base = BaseDrive {
        checkpoints: driver.checkpoints.take(),
        equilibrium,
    };
    Ok(DrivenDesign {
        result,
        base,
        trace: recorder.finish(),
    })
}

/// Simulates neighbors of a base design side by side, each from the last checkpoint that it shares
/// with the base; results in the order of the designs.
///
/// # Errors
/// The outcome that keeps one of them from starting.
pub(crate) fn drive_neighbors<C: SplineCourse>(
    course: &C,
    (base_design, base): (&C::Design, &BaseDrive<C::Log>),
    designs: &[C::Design],
    interrupt: Interrupt<'_>,
) -> Result<Vec<C::Result>, Outcome> {
    // The longest simulations first, so that lanes stay full.
    let mut order: Vec<(f64, usize)> = designs
        .iter()
        .map(|design| course.common_station(base_design, design))
        .zip(0..)
        .collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    let longest = course.longest();
    let mut runs = Vec::with_capacity(designs.len());
    for &(common, i) in &order {
        let design = &designs[i];
        let checkpoint = base.checkpoints.as_ref().and_then(|all| all.before(common));
        runs.push(if let Some(at) = checkpoint {
            let driver = SplineDriver::new(course, design, &base.equilibrium, at.log.clone());
            (driver, at.state, [at.time, longest])
        } else {
            let own;
            let equilibrium = if course.same_equilibrium(base_design, design) {
                &base.equilibrium
            } else {
                own = course.equilibrium(design)?;
                &own
            };
            let driver = SplineDriver::new(course, design, equilibrium, course.empty_log());
            let start = start_of(course, design, equilibrium);
            (driver, start, [0.0, longest])
        });
    }
    let jobs: Vec<_> = runs
        .iter()
        .map(|(driver, start, times)| Job {
            model: course.model(),
            road: None,
            controls: driver,
            start: *start,
            schedule: schedule(course, times),
        })
        .collect();
    let mut results: Vec<Option<C::Result>> = vec![None; designs.len()];
    drive_batch(
        &jobs,
        &|_| Recorder::of(&[]),
        &Validity::default(),
        interrupt,
        &mut |job, driven, _| {
            let i = order[job].1;
            let log = runs[job].0.log.borrow();
            results[i] = Some(course.result(&designs[i], &log, &driven));
        },
    );
    Ok(results.into_iter().flatten().collect())
}
