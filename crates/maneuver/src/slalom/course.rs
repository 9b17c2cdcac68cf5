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

use std::ops::ControlFlow;

use axletree_vehicle::linear::Linearization;
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, RATE, SPIN, VELOCITY};
use nalgebra::{DMatrix, DVector};

use super::clearance::{Cone, Pass};
use super::harmonics::Steering;
use super::orbit::{Lap, Period};
use super::plant::{CRUISE, HANDS, State, TIME, sideslip, velocity};
use super::start::straight_state;
use crate::driver::lateral::LateralCar;
use crate::driver::riccati::care;
use crate::interrupt::Interrupt;
use crate::outcome::Outcome;

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
/// Sideslip beyond which a car counts as spun [rad].
const SPUN: f64 = 0.8;
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
        period.lap_seen(&lap.design, lap.constant, &lap.start, &mut |_, x, rate| {
            points.push((WATCHED.map(|i| x[i]), WATCHED.map(|i| rate[i])));
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
    let r = DMatrix::from_element(1, 1, (strength * period.gain).powi(2));
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
        (2.0 - x).powi(3) / 6.0
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

    /// Errors on arrival.
    fn arrive(&self, unknowns: &DVector<f64>) -> Option<DVector<f64>> {
        let (splines, start) = self.start_of(unknowns);
        let end = self.period.plant.run(
            &start,
            self.speed,
            self.period.step,
            self.lead,
            &|half, _| self.lead_in(half, &splines),
            &mut |_, x, _| {
                if sideslip(x).abs() > SPUN {
                    ControlFlow::Break(())
                } else {
                    ControlFlow::Continue(())
                }
            },
        )?;
        Some(DVector::from_iterator(
            ARRIVAL.len(),
            ARRIVAL
                .iter()
                .map(|&(i, size)| (end[i] - self.learned.arrival[i]) / size),
        ))
    }

    /// Finds the approach by the Levenberg-Marquardt method.
    pub fn approach(&self, interrupt: Interrupt) -> Option<Approach> {
        const DIFFERENCE: f64 = 1e-5;
        let mut x = DVector::zeros(UNKNOWNS);
        let mut r = self.arrive(&x)?;
        let mut damping = 1e-2;
        for _ in 0..10 {
            if interrupt.stopped() {
                return None;
            }
            if r.amax() < 0.1 {
                break;
            }
            let mut j = DMatrix::zeros(r.len(), UNKNOWNS);
            for k in 0..UNKNOWNS {
                let mut y = x.clone();
                y[k] += DIFFERENCE;
                j.set_column(k, &((self.arrive(&y)? - &r) / DIFFERENCE));
            }
            let (normal, slope) = (j.transpose() * &j, j.transpose() * &r);
            let mut better = None;
            for _ in 0..6 {
                let mut damped = normal.clone();
                for k in 0..UNKNOWNS {
                    damped[(k, k)] += damping * (1.0 + normal[(k, k)]);
                }
                let step = damped.cholesky()?.solve(&slope);
                let y = &x - step;
                if let Some(ry) = self.arrive(&y)
                    && ry.norm() < r.norm()
                {
                    better = Some((y, ry));
                    damping = (damping * 0.1).max(1e-9);
                    break;
                }
                damping *= 10.0;
            }
            let Some((y, ry)) = better else { break };
            let little = ry.norm() > 0.98 * r.norm();
            (x, r) = (y, ry);
            if little {
                break;
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
    fn wanted(&self, approach: &Approach, k: &[f64; 5], half: usize, x: &State) -> f64 {
        if half < 2 * self.lead {
            return self.lead_in(half, &approach.splines);
        }
        let goal = self.learned.at(half - 2 * self.lead);
        let mut wanted = self.learned.steering.wanted(self.place(half));
        for ((k, goal), i) in k.iter().zip(goal).zip(WATCHED) {
            wanted -= k * (x[i] - goal);
        }
        wanted
    }

    /// Drives the course; `each` sees every point of the grid with the steering wanted there.
    pub fn drive(
        &self,
        approach: &Approach,
        k: &[f64; 5],
        count: usize,
        interrupt: Interrupt,
        each: &mut impl FnMut(&State, f64),
    ) -> Driven {
        let cones = self.cones(count);
        let mut passes: Vec<Pass> = cones
            .iter()
            .map(|&c| Pass::new(c, self.period.outline))
            .collect();
        let mut last = approach.start;
        let mut broke = None;
        // Out behind the last cone by a spacing.
        let steps = self.lead + (count + 1) * self.period.steps / 2;
        let end = self.period.plant.run(
            &approach.start,
            self.speed,
            self.period.step,
            steps,
            &|half, x| self.wanted(approach, k, half, x),
            &mut |i, x, _| {
                last = *x;
                each(x, self.wanted(approach, k, 2 * i, x));
                for (pass, cone) in passes.iter_mut().zip(&cones) {
                    if (x[POSITION] - cone.x).abs() < 0.5 * self.period.spacing + 3.0 {
                        pass.see(x, 0.0);
                    }
                }
                let slip = sideslip(x);
                if slip.abs() > SPUN {
                    broke = Some(Outcome::Spun { sideslip: slip });
                } else if i % 64 == 0 && interrupt.stopped() {
                    broke = Some(Outcome::Interrupted);
                }
                if broke.is_some() {
                    ControlFlow::Break(())
                } else {
                    ControlFlow::Continue(())
                }
            },
        );
        // Cones that were not reached have no clearance.
        let margins: Vec<f64> = passes
            .iter()
            .zip(&cones)
            .map(|(p, c)| {
                let reached = last[POSITION] > c.x + self.period.outline.tail;
                if reached { p.clearance() } else { f64::NAN }
            })
            .collect();
        let hit = margins.iter().position(|m| *m < 0.0);
        let outcome = match (hit, broke, end) {
            (_, Some(Outcome::Interrupted), _) => Outcome::Interrupted,
            (Some(i), _, _) => Outcome::ConeHit {
                number: i + 1,
                clearance: margins[i],
            },
            (None, Some(broke), _) => broke,
            (None, None, Some(_)) => Outcome::Completed,
            (None, None, None) => Outcome::Stopped {
                speed: velocity(&last)[0],
            },
        };
        Driven {
            outcome,
            margins,
            time: last[TIME],
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
