//! The approach of the course: from straight running onto the orbit.
//!
//! The approach is three spacings long. The learned steering fades in along it with
//! `s^2 (3 - 2 s)`, s from zero to one, and a correction of eight cubic B-splines is added,
//!
//! ```text
//! delta_command = (1 - fade) delta_straight + fade learned(X) + sum a_i b(11 s - i)
//! ```
//!
//! The amplitudes a_i, the lateral position, the speed and the integral of the speed error at its
//! start are found by least squares, such that the car arrives on the orbit.

use std::ops::ControlFlow;

use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::{BatchSettings, batch_least_squares};
use axletree_scalar::elementary;
use axletree_vehicle::Linearization;
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, RATE, SPIN, VELOCITY};
use nalgebra::DVector;

use super::super::period::{
    CRUISE, GridPoint, HANDS, Period, PlantState, StatePoint, TIME, Trajectory,
};
use super::feedback::LearnedOrbit;

/// Length of the approach in spacings.
const APPROACH: f64 = 3.0;
/// Splines of the correction.
const SPLINES: usize = 8;
/// Unknowns of the approach: splines, lateral position, speed, integral of the speed error.
const UNKNOWNS: usize = SPLINES + 3;
/// Scales of the unknowns: amplitude of a spline `[rad, mean road-wheel angle]`, lateral position
/// `[m]`.
const AMPLITUDE_SCALE: f64 = 0.02;
const OFFSET_SCALE: f64 = 0.2;
/// States in which the approach must meet the orbit, with the size of an error that matters.
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
/// Search for the approach. The tolerance is in sizes that matter: half of each, which is 5 mm of
/// lateral position or 0.5 mrad of heading. The eight cones of the bundled cars with a solid axle
/// and with an independent rear are then cleared by 28 to 32 mm against 30 mm on the orbit, so that
/// a tighter arrival could change a clearance by about two millimeters.
const SETTINGS: BatchSettings = BatchSettings {
    difference: 1e-5,
    tolerance: 0.5,
    most_rounds: 30,
};
/// Tangent of the sideslip beyond which a car counts as spun on the course `[-]`.
pub(super) const SPIN_SLIP: f64 = 1.0;

/// Start of the course and steering of its approach.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Approach {
    /// Amplitudes of the correcting splines `[rad, steering wheel]`.
    splines: [f64; SPLINES],
    /// State at the start.
    pub start: PlantState,
    /// Largest error on arrival, over the size that matters `[-]`.
    pub miss: f64,
}

/// Cubic B-spline over four unit intervals, b(t).
fn b_spline(t: f64) -> f64 {
    let x = (t - 2.0).abs();
    if x < 1.0 {
        2.0 / 3.0 - x * x + 0.5 * x * x * x
    } else if x < 2.0 {
        elementary::powi(2.0 - x, 3) / 6.0
    } else {
        0.0
    }
}

/// Approach of one car at one speed.
pub(crate) struct CourseApproach<'p, 'a> {
    /// Periods of the car.
    pub period: &'p Period<'a>,
    /// Orbit to be reached.
    pub learned: &'p LearnedOrbit,
    /// Speed held `[m/s]`.
    pub speed: f64,
    /// Steps of the approach.
    pub steps: usize,
    straight: PlantState,
}

impl<'p, 'a> CourseApproach<'p, 'a> {
    /// Approach at the speed of an orbit; `lin` is straight running at that speed.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count: whole, small, not negative"
    )]
    pub fn new(period: &'p Period<'a>, learned: &'p LearnedOrbit, lin: &Linearization) -> Self {
        CourseApproach {
            period,
            learned,
            speed: lin.trim.condition.speed,
            steps: (APPROACH * 0.5 * period.grid.steps as f64).round() as usize,
            straight: period.plant.straight_state(&lin.trim),
        }
    }

    /// Steps of a course of `count` cones, from the start of the approach to a spacing behind the
    /// last cone.
    pub fn points(&self, count: usize) -> usize {
        self.steps + (count + 1) * self.period.grid.steps / 2
    }

    /// Position along the course at a half step `[m]`.
    pub fn position(&self, half_step: usize) -> f64 {
        let period = self.period;
        period
            .geometry
            .course_position(period.grid, APPROACH, half_step)
    }

    /// Steering-wheel angle wanted on an approach at a half step `[rad]`.
    pub fn command(&self, approach: &Approach, half_step: usize) -> f64 {
        self.corrected(half_step, &approach.splines)
    }

    fn corrected(&self, half_step: usize, splines: &[f64; SPLINES]) -> f64 {
        let s = half_step as f64 / (2 * self.steps) as f64;
        let fade = s * s * (3.0 - 2.0 * s);
        let t = s * (SPLINES + 3) as f64;
        let correction: f64 = splines
            .iter()
            .enumerate()
            .map(|(i, a)| a * b_spline(t - i as f64))
            .sum();
        (1.0 - fade) * self.straight[HANDS]
            + fade * self.learned.steering.command(self.position(half_step))
            + correction
    }

    /// Splines and state at the start of some unknowns.
    fn start_of(&self, unknowns: &DVector<f64>) -> ([f64; SPLINES], PlantState) {
        let mut start = self.straight;
        start[POSITION] = self.position(0);
        start[POSITION + 1] = OFFSET_SCALE * unknowns[SPLINES];
        let share = 1.0 + unknowns[SPLINES + 1] / self.speed;
        start[VELOCITY] *= share;
        for spin in &mut start[SPIN..SPIN + 4] {
            *spin *= share;
        }
        start[CRUISE] += unknowns[SPLINES + 2];
        start[TIME] = 0.0;
        let size = AMPLITUDE_SCALE / self.period.gain;
        (std::array::from_fn(|i| unknowns[i] * size), start)
    }

    /// Errors on arrival for several vectors of unknowns, simulated side by side.
    fn arrival_errors(&self, all: &[DVector<f64>]) -> Vec<Option<DVector<f64>>> {
        let starts: Vec<_> = all.iter().map(|unknowns| self.start_of(unknowns)).collect();
        let mut wanted: Vec<Vec<f64>> = Vec::new();
        for (splines, _) in &starts {
            if self.period.plant.stopped() {
                return vec![None; all.len()];
            }
            let halves = 0..=2 * self.steps;
            wanted.push(halves.map(|half| self.corrected(half, splines)).collect());
        }
        let wanted: Vec<_> = wanted
            .iter()
            .map(|w| |half: usize, _: &StatePoint<'_>| w[half])
            .collect();
        let mut observers = vec![unless_spun; all.len()];
        let mut trajectories: Vec<Trajectory<'_>> = starts
            .iter()
            .zip(&wanted)
            .zip(&mut observers)
            .map(|(((_, start), wanted), observer)| Trajectory {
                start: *start,
                speed: self.speed,
                wanted,
                observer,
            })
            .collect();
        let errors = |end: PlantState| {
            let errors = ARRIVAL.map(|(i, size)| (end[i] - self.learned.start[i]) / size);
            DVector::from_row_slice(&errors)
        };
        self.period
            .plant
            .run_batch(&mut trajectories, self.period.grid.step, self.steps)
            .into_iter()
            .map(|end| end.map(errors))
            .collect()
    }

    /// Finds the approach; none where the car spins from the first guess, or when interrupted.
    pub fn find(&self, interrupt: Interrupt) -> Option<Approach> {
        let found = batch_least_squares(
            DVector::zeros(UNKNOWNS),
            &|all| self.arrival_errors(all),
            &SETTINGS,
            interrupt,
        )?;
        let (splines, start) = self.start_of(&found.x);
        Some(Approach {
            splines,
            start,
            miss: found.residuals.amax(),
        })
    }
}

/// Observer that breaks off when the car has spun.
fn unless_spun(_: usize, point: &GridPoint<'_>) -> ControlFlow<()> {
    if point.slip.abs() > SPIN_SLIP {
        ControlFlow::Break(())
    } else {
        ControlFlow::Continue(())
    }
}
