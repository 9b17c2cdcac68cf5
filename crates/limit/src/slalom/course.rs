//! The real course, driven once: a straight approach, every cone, the learned steering and a light
//! hand.
//!
//! The approach is three spacings long. The rhythm fades in along it, and a correction of eight cubic
//! B-splines, the lateral position, the speed and the foot at its start are found by the
//! Levenberg-Marquardt method such that the car arrives on the orbit. From there on the driver steers
//!
//! ```text
//! wanted = learned(X) - K (x - learned x(X)),   x = (y, v_y, yaw, yaw rate, hands)
//! ```
//!
//! with K of the car's own linear motion at that speed, for the cost `y^2 + (rho delta)^2` over time,
//! delta the mean road-wheel angle. A large rho is a light hand. At the limit a tight hand unsettles
//! the car, and how light it must be depends on the car: three are tried and the one kept that leaves
//! the largest least clearance.

use axletree_scalar::elementary;
use std::cell::RefCell;
use std::ops::ControlFlow;

use axletree_scalar::Real;
use axletree_vehicle::Linearization;
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, RATE, SPIN, VELOCITY};
use nalgebra::{DMatrix, DVector};

use super::harmonics::Steering;
use super::orbit::{Lap, Period};
use super::plant::{CRUISE, HANDS, State, TIME};
use super::start::straight_state;
use super::ways::{Point, Seen, Way};
use crate::cones::{Cone, Pass};
use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::riccati::care;
use axletree_simulation::driver::lateral::LateralCar;
use axletree_simulation::outcome::Outcome;

/// Feedback strengths tried [m/rad].
pub const STRENGTHS: [f64; 3] = [20.0, 40.0, 100.0];
/// Length of the approach in spacings.
const APPROACH: f64 = 3.0;
/// Splines of the correction.
const SPLINES: usize = 8;
/// Unknowns of the approach: splines, lateral position, speed, foot.
const UNKNOWNS: usize = SPLINES + 3;
/// States that the approach must meet, with the size of an error that matters.
const ARRIVAL: [(usize, f64); 13] = [
    (POSITION + 1, 0.01),
    (ATTITUDE, 0.001),
    (VELOCITY + 1, 0.02),
    (RATE + 2, 0.01),
    (ATTITUDE + 2, 0.002),
    (RATE, 0.02),
    (VELOCITY, 0.02),
    (CRUISE, 0.05),
    (POSITION + 2, 0.002),
    (VELOCITY + 2, 0.02),
    (ATTITUDE + 1, 0.002),
    (RATE + 1, 0.02),
    (HANDS, 0.02),
];
/// What is tried at once for the approach: damping over the current one, share of the step.
const TRIED: [(f64, f64); 8] = [
    (1.0, 1.0),
    (1e-2, 1.0),
    (1e-3, 1.0),
    (1e-3, 0.5),
    (1e-4, 0.5),
    (1e-4, 0.25),
    (1e-6, 0.4),
    (1e-6, 0.15),
];
/// Error on arrival that is near enough, over the size that matters [-].
const ARRIVED: f64 = 0.5;
/// Most rounds of trials.
const MOST_TRIALS: usize = 30;
/// Share of the error that a round must not leave if the slopes are to stay.
const SLOW: f64 = 0.9;
/// Tangent of the sideslip beyond which a car counts as spun [-].
const SPUN: f64 = 1.0;
/// States the driver watches.
const WATCHED: [usize; 5] = [POSITION + 1, VELOCITY + 1, ATTITUDE, RATE + 2, HANDS];

/// The learned orbit at every half step of a period, as far as the driver watches it.
#[derive(Clone, Debug)]
pub struct Learned {
    steering: Steering,
    table: Vec<[f64; 5]>,
    /// State on the orbit at the start of a period.
    arrival: State,
}

impl Learned {
    /// Tabulates a closed orbit.
    pub fn new(period: &Period, lap: &Lap) -> Option<Self> {
        let mut points: Vec<([f64; 5], [f64; 5])> = Vec::with_capacity(period.steps + 1);
        period.lap_seen(&lap.begin(), &mut |_, seen| {
            points.push((
                WATCHED.map(|i| seen.state.at(i)),
                WATCHED.map(|i| seen.rate.at(i)),
            ));
        })?;
        let mut table = Vec::with_capacity(2 * period.steps + 1);
        for pair in points.windows(2) {
            let ((x0, r0), (x1, r1)) = (pair[0], pair[1]);
            table.push(x0);
            // Hermite's cubic in the middle of the step.
            table.push(std::array::from_fn(|k| {
                0.5 * (x0[k] + x1[k]) + 0.125 * period.step * (r0[k] - r1[k])
            }));
        }
        Some(Learned {
            steering: period.steering(lap),
            table,
            arrival: lap.start,
        })
    }

    /// What is watched, at a half step counted from the orbit's start.
    fn at(&self, half: usize) -> &[f64; 5] {
        &self.table[half % self.table.len()]
    }
}

/// Feedback gains at the steering wheel by the watched states.
pub fn gains(period: &Period, lin: &Linearization, lag: f64, strength: f64) -> Option<[f64; 5]> {
    let car = LateralCar::of(lin)?;
    // The hands follow the command with their lag.
    let (mut a, mut b) = (DMatrix::zeros(5, 5), DMatrix::zeros(5, 1));
    a.view_mut((0, 0), (4, 4)).copy_from(&car.a);
    a.view_mut((0, 4), (4, 1)).copy_from(&car.b);
    a[(4, 4)] = -1.0 / lag;
    b[(4, 0)] = 1.0 / lag;
    let mut q = DMatrix::zeros(5, 5);
    q[(0, 0)] = 1.0;
    let r = DMatrix::from_element(1, 1, Real::sq(strength * period.gain));
    let p = care(&a, &b, &q, &r).ok()?;
    let k = (b.transpose() * p) / r[(0, 0)];
    Some(std::array::from_fn(|i| k[i]))
}

/// How the approach begins.
#[derive(Clone, Debug, PartialEq)]
pub struct Approach {
    /// Amplitudes of the correcting splines [rad, steering wheel].
    pub splines: [f64; SPLINES],
    /// State at its start.
    pub start: State,
    /// Largest error on arrival, over the size that matters [-].
    pub miss: f64,
}

/// A cubic B-spline over four unit intervals.
fn bump(t: f64) -> f64 {
    let x = (t - 2.0).abs();
    if x < 1.0 {
        2.0 / 3.0 - x * x + 0.5 * x * x * x
    } else if x < 2.0 {
        elementary::powi(2.0 - x, 3) / 6.0
    } else {
        0.0
    }
}

/// The whole course of one car at one speed.
pub struct Course<'p, 'a> {
    period: &'p Period<'a>,
    learned: &'p Learned,
    speed: f64,
    /// Steps of the approach.
    lead: usize,
    straight: State,
}

impl<'p, 'a> Course<'p, 'a> {
    /// The course at the orbit's speed; `lin` is straight running at that speed.
    pub fn new(period: &'p Period<'a>, learned: &'p Learned, lin: &Linearization) -> Self {
        Course {
            period,
            learned,
            speed: lin.trim.condition.speed,
            lead: (APPROACH * 0.5 * period.steps as f64).round() as usize,
            straight: straight_state(&period.plant, &lin.trim),
        }
    }

    fn place(&self, half: usize) -> f64 {
        0.5 * self.period.step * half as f64 - (APPROACH + 0.5) * self.period.spacing
    }

    /// Steering on the approach.
    fn lead_in(&self, half: usize, splines: &[f64; SPLINES]) -> f64 {
        let s = half as f64 / (2 * self.lead) as f64;
        let fade = s * s * (3.0 - 2.0 * s);
        let t = s * (SPLINES + 3) as f64;
        let correction: f64 = splines
            .iter()
            .enumerate()
            .map(|(i, a)| a * bump(t - i as f64))
            .sum();
        // Away from the rhythm the car runs straight.
        (1.0 - fade) * self.straight[HANDS]
            + fade * self.learned.steering.wanted(self.place(half))
            + correction
    }

    fn start_of(&self, unknowns: &DVector<f64>) -> ([f64; SPLINES], State) {
        let mut start = self.straight;
        start[POSITION] = self.place(0);
        start[POSITION + 1] = 0.2 * unknowns[SPLINES];
        let share = 1.0 + unknowns[SPLINES + 1] / self.speed;
        start[VELOCITY] *= share;
        for spin in &mut start[SPIN..SPIN + 4] {
            *spin *= share;
        }
        start[CRUISE] += unknowns[SPLINES + 2];
        start[TIME] = 0.0;
        let size = 0.02 / self.period.gain;
        (std::array::from_fn(|i| unknowns[i] * size), start)
    }

    /// Errors on arrival, for several unknowns side by side.
    fn arrive(&self, all: &[DVector<f64>]) -> Vec<Option<DVector<f64>>> {
        let starts: Vec<_> = all.iter().map(|unknowns| self.start_of(unknowns)).collect();
        let wanted: Vec<Vec<f64>> = starts
            .iter()
            .map(|(splines, _)| {
                let halves = 0..=2 * self.lead;
                halves.map(|half| self.lead_in(half, splines)).collect()
            })
            .collect();
        let wanted: Vec<_> = wanted
            .iter()
            .map(|w| |half: usize, _: &Point<'_>| w[half])
            .collect();
        let mut seers = vec![not_spun; all.len()];
        let mut ways: Vec<Way<'_>> = starts
            .iter()
            .zip(&wanted)
            .zip(&mut seers)
            .map(|(((_, start), wanted), each)| Way {
                start: *start,
                speed: self.speed,
                wanted,
                each,
            })
            .collect();
        let errors = |end: State| {
            let errors = ARRIVAL.map(|(i, size)| (end[i] - self.learned.arrival[i]) / size);
            DVector::from_row_slice(&errors)
        };
        self.period
            .plant
            .run(&mut ways, self.period.step, self.lead)
            .into_iter()
            .map(|end| end.map(errors))
            .collect()
    }

    /// Slopes of the errors by the unknowns.
    fn slopes(&self, x: &DVector<f64>, r: &DVector<f64>) -> Option<DMatrix<f64>> {
        const DIFFERENCE: f64 = 1e-5;
        let moved: Vec<DVector<f64>> = (0..UNKNOWNS)
            .map(|k| {
                let mut y = x.clone();
                y[k] += DIFFERENCE;
                y
            })
            .collect();
        let mut slopes = DMatrix::zeros(r.len(), UNKNOWNS);
        for (k, there) in self.arrive(&moved).into_iter().enumerate() {
            slopes.set_column(k, &((there? - r) / DIFFERENCE));
        }
        Some(slopes)
    }

    /// Finds the approach by the Levenberg-Marquardt method, with several dampings at once. Every trial also
    /// corrects the slopes along its way (Broyden), so that they are found anew only where it is slow.
    pub fn approach(&self, interrupt: Interrupt) -> Option<Approach> {
        let mut x = DVector::zeros(UNKNOWNS);
        let mut r = self.arrive(std::slice::from_ref(&x)).pop().flatten()?;
        let mut slopes = self.slopes(&x, &r)?;
        let mut fresh = true;
        for _ in 0..MOST_TRIALS {
            if interrupt.stopped() {
                return None;
            }
            if r.amax() < ARRIVED {
                break;
            }
            let (normal, slope) = (slopes.transpose() * &slopes, slopes.transpose() * &r);
            let mut steps = Vec::with_capacity(TRIED.len());
            for (damping, share) in TRIED {
                let mut damped = normal.clone();
                for k in 0..UNKNOWNS {
                    damped[(k, k)] += damping * (1.0 + normal[(k, k)]);
                }
                steps.push(damped.cholesky()?.solve(&slope) * -share);
            }
            let ends: Vec<DVector<f64>> = steps.iter().map(|step| &x + step).collect();
            let mut trials: Vec<(DVector<f64>, DVector<f64>)> = self
                .arrive(&ends)
                .into_iter()
                .zip(steps)
                .filter_map(|(there, step)| Some((there?, step)))
                .collect();
            // The nearest last, so that it counts in full.
            trials.sort_by(|a, b| b.0.norm().total_cmp(&a.0.norm()));
            for (there, step) in &trials {
                let wrong = (there - &r) - &slopes * step;
                slopes += wrong * step.transpose() / step.norm_squared();
            }
            let before = r.norm();
            if let Some((there, step)) = trials.pop()
                && there.norm() < before
            {
                x += step;
                r = there;
            }
            let slow = r.norm() > SLOW * before;
            if slow && fresh {
                break;
            }
            fresh = slow;
            if slow {
                slopes = self.slopes(&x, &r)?;
            }
        }
        let (splines, start) = self.start_of(&x);
        Some(Approach {
            splines,
            start,
            miss: r.amax(),
        })
    }

    /// The cones: the first is passed on its left, then in turns.
    pub fn cones(&self, count: usize) -> Vec<Cone> {
        (0..count)
            .map(|i| Cone {
                x: i as f64 * self.period.spacing,
                side: if i % 2 == 0 { 1.0 } else { -1.0 },
                radius: self.period.cones[0].radius,
            })
            .collect()
    }

    /// Steering on the whole course.
    fn wanted(&self, approach: &Approach, k: &[f64; 5], half: usize, x: &Point<'_>) -> f64 {
        if half < 2 * self.lead {
            return self.lead_in(half, &approach.splines);
        }
        let goal = self.learned.at(half - 2 * self.lead);
        let mut wanted = self.learned.steering.wanted(self.place(half));
        for ((k, goal), i) in k.iter().zip(goal).zip(WATCHED) {
            wanted -= k * (x.at(i) - goal);
        }
        wanted
    }

    /// Drives the course with each of several hands, side by side; `each` sees every point of the grid
    /// with the number of the hands.
    pub fn drive(
        &self,
        approach: &Approach,
        hands: &[[f64; 5]],
        count: usize,
        interrupt: Interrupt,
        each: &mut dyn FnMut(usize, &Seen<'_>),
    ) -> Vec<Driven> {
        let cones = self.cones(count);
        let mut watched: Vec<Watched> = hands
            .iter()
            .map(|_| Watched {
                passes: cones
                    .iter()
                    .map(|&c| Pass::new(c, self.period.outline))
                    .collect(),
                place: approach.start[POSITION],
                time: approach.start[TIME],
                speed: approach.start[VELOCITY],
                broke: None,
            })
            .collect();
        let wanted: Vec<_> = hands
            .iter()
            .map(|k| |half: usize, x: &Point<'_>| self.wanted(approach, k, half, x))
            .collect();
        let each = RefCell::new(each);
        let mut seers: Vec<_> = watched
            .iter_mut()
            .enumerate()
            .map(|(way, watched)| {
                let each = &each;
                move |i: usize, seen: &Seen<'_>| {
                    (each.borrow_mut())(way, seen);
                    watched.see(i, seen, interrupt)
                }
            })
            .collect();
        let mut ways: Vec<Way<'_>> = seers
            .iter_mut()
            .zip(&wanted)
            .map(|(each, wanted)| Way {
                start: approach.start,
                speed: self.speed,
                wanted,
                each,
            })
            .collect();
        // Out behind the last cone by a spacing.
        let steps = self.lead + (count + 1) * self.period.steps / 2;
        let ends = self.period.plant.run(&mut ways, self.period.step, steps);
        drop(ways);
        drop(seers);
        let tail = self.period.outline.tail;
        ends.iter()
            .zip(watched)
            .map(|(end, watched)| watched.tell(&cones, tail, end.is_some()))
            .collect()
    }
}

/// Goes on until the car has spun.
fn not_spun(_: usize, seen: &Seen<'_>) -> ControlFlow<()> {
    if seen.slip.abs() > SPUN {
        ControlFlow::Break(())
    } else {
        ControlFlow::Continue(())
    }
}

/// What is seen of a drive over the course.
struct Watched {
    passes: Vec<Pass>,
    place: f64,
    time: f64,
    speed: f64,
    broke: Option<Outcome>,
}

impl Watched {
    fn see(&mut self, i: usize, seen: &Seen<'_>, interrupt: Interrupt) -> ControlFlow<()> {
        let y = seen.state.at(POSITION + 1);
        self.place = seen.state.at(POSITION);
        self.time = seen.state.at(TIME);
        self.speed = seen.rate.at(TIME).recip();
        for pass in &mut self.passes {
            if pass.is_near(self.place) {
                pass.see_at([self.place, y], seen.heading);
            }
        }
        if seen.slip.abs() > SPUN {
            let sideslip = Real::atan(seen.slip);
            self.broke = Some(Outcome::Spun { sideslip });
        } else if i.is_multiple_of(64) && interrupt.stopped() {
            self.broke = Some(Outcome::Interrupted);
        }
        if self.broke.is_some() {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }

    fn tell(self, cones: &[Cone], tail: f64, through: bool) -> Driven {
        // Cones that were not reached have no clearance.
        let margins: Vec<f64> = self
            .passes
            .iter()
            .zip(cones)
            .map(|(p, c)| {
                if self.place > c.x + tail {
                    p.clearance()
                } else {
                    f64::NAN
                }
            })
            .collect();
        let hit = margins.iter().position(|m| *m < 0.0);
        let outcome = match (hit, self.broke) {
            (_, Some(Outcome::Interrupted)) => Outcome::Interrupted,
            (Some(i), _) => Outcome::ConeHit {
                number: i + 1,
                clearance: margins[i],
            },
            (None, Some(broke)) => broke,
            (None, None) if through => Outcome::Completed,
            (None, None) => Outcome::Stopped { speed: self.speed },
        };
        Driven {
            outcome,
            margins,
            time: self.time,
        }
    }
}

/// How the course went.
#[derive(Clone, Debug, PartialEq)]
pub struct Driven {
    /// Completed with every cone cleared, or what happened first.
    pub outcome: Outcome,
    /// Clearance of each cone; not a number for cones that were not reached [m].
    pub margins: Vec<f64>,
    /// Time at the end [s].
    pub time: f64,
}

impl Driven {
    /// Least clearance; minus infinity where a cone was not reached [m].
    pub fn least(&self) -> f64 {
        self.margins
            .iter()
            .map(|m| if m.is_nan() { f64::NEG_INFINITY } else { *m })
            .fold(f64::INFINITY, f64::min)
    }
}
