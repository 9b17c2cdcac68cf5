//! Optimization problem of the slalom: objective, constraints and exact penalty.
//!
//! Among the closed orbits, with the constraints c_i of `period::orbit` (clearances and guards),
//!
//! ```text
//! highest speed      most  V - 1/2 p'R p + w (min(0, min clearances) + min(0, min guards))
//! largest clearance  most    - 1/2 p'R p + w (min clearances + min(0, min guards)),  V prescribed
//! ```
//!
//! R weighs the squared amplitudes of the harmonics, the more the higher their order, so that they
//! do not wander where they decide nothing. The penalty is exact if w exceeds the multipliers of
//! the constraints (Nocedal and Wright, *Numerical Optimization*, 2nd ed. 2006, ch. 17): with the
//! spacing S
//!
//! ```text
//! w = max(12 m/s per m, 2/3 1/s S, 150 m^2/s /S)
//! ```
//!
//! which is about twice the multipliers of the cars tried. With wide spacings a meter of clearance
//! costs about V/(2 A) of speed, A the amplitude of the path, and V grows with the spacing. With
//! close cones the steering lock limits the path, so that a meter of clearance costs more speed.

use axletree_scalar::Real;
use nalgebra::{DMatrix, DVector};

use super::super::period::{CLEARANCES, CONSTRAINTS, Lap, Period, Sensitivity};

/// Least penalty weight `[m/s per m]`.
const PENALTY_WEIGHT: f64 = 12.0;
/// Penalty weight over the spacing `[1/s]`.
const WIDE_PENALTY_WEIGHT: f64 = 2.0 / 3.0;
/// Penalty weight times the spacing `[m^2/s]`.
const CLOSE_PENALTY_WEIGHT: f64 = 150.0;
/// Weight on the square of the first harmonic's amplitude `[m/s per squared scale]`; it grows with
/// the square of the order.
const REGULARIZATION: f64 = 1e-3;
/// Weight of the gap of the closure beyond the one tolerated, in the merit.
const GAP_WEIGHT: f64 = 5.0;
/// Gap of the closure from which a lap is no orbit `[largest unit of the slow states]`.
pub(super) const LARGEST_GAP: f64 = 0.02;
/// Bound of the slack of the clearances where it is free `[m]`: more than any clearance.
const FREE_SLACK: f64 = 100.0;

/// Least of some constraints.
pub(super) fn least(c: &[f64]) -> f64 {
    c.iter().copied().fold(f64::INFINITY, f64::min)
}

/// Objective of a search.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum SearchAim {
    /// Highest speed, up to a bound `[m/s]`, with every constraint kept.
    Speed(f64),
    /// Largest least clearance at a speed `[m/s]` that is almost reached.
    Clearance(f64),
}

/// Orbit that a search found.
#[derive(Clone, Debug)]
pub(crate) struct FoundOrbit {
    /// Objective.
    pub aim: SearchAim,
    /// The orbit.
    pub lap: Lap,
    /// Its sensitivities.
    pub sensitivity: Sensitivity,
    /// Multipliers of the constraints: speed per clearance, per sideslip guard and per power guard
    /// `[m/s per m]`.
    pub multipliers: [f64; CONSTRAINTS],
    /// Rounds of steps tried.
    pub steps: usize,
    /// Whether the confirmation gained nothing more.
    pub confirmed: bool,
    /// Gain of the last confirmation `[m/s]`.
    pub last_gain: f64,
}

/// Reason why a search ended without an orbit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum SearchError {
    /// The caller cancelled.
    Interrupted,
    /// The prescribed speed was not reached even with the clearances relaxed.
    TooFast {
        /// Number of relaxations tried.
        relaxations: usize,
        /// Speed reached `[m/s]`.
        reached: f64,
    },
}

/// Objective and constraints in one car's periods.
pub(super) struct OrbitProblem<'p, 'a> {
    /// Periods of the car.
    pub period: &'p Period<'a>,
    /// Objective.
    pub aim: SearchAim,
    /// Diagonal of R.
    pub regularization: DVector<f64>,
}

impl<'p, 'a> OrbitProblem<'p, 'a> {
    /// Problem of an objective.
    pub fn new(period: &'p Period<'a>, aim: SearchAim) -> Self {
        let n = 2 + 2 * period.harmonics();
        let regularization = DVector::from_fn(n, |j, _| {
            if j < 2 {
                0.0
            } else {
                REGULARIZATION * Real::sq((2 * ((j - 2) / 2) + 1) as f64)
            }
        });
        OrbitProblem {
            period,
            aim,
            regularization,
        }
    }

    /// Number of coordinates of the tangent space.
    pub fn size(&self) -> usize {
        self.regularization.len()
    }

    /// Whether the speed is maximized.
    pub fn seeks_speed(&self) -> bool {
        matches!(self.aim, SearchAim::Speed(_))
    }

    /// Penalty weight of clearance against speed, w `[m/s per m]`.
    pub fn penalty_weight(&self) -> f64 {
        let spacing = self.period.geometry.spacing;
        PENALTY_WEIGHT
            .max(WIDE_PENALTY_WEIGHT * spacing)
            .max(CLOSE_PENALTY_WEIGHT / spacing)
    }

    /// Share of the constraints in the merit `[m/s]`.
    pub fn penalty(&self, c: &[f64]) -> f64 {
        let least_clearance = least(&c[..CLEARANCES]);
        let clearance = match self.aim {
            SearchAim::Speed(_) => least_clearance.min(0.0),
            SearchAim::Clearance(_) => least_clearance,
        };
        self.penalty_weight() * (clearance + least(&c[CLEARANCES..]).min(0.0))
    }

    /// Merit of an orbit whose small gap is closed `[m/s]`.
    pub fn merit(&self, lap: &Lap, s: &Sensitivity) -> f64 {
        let p = lap.design.vector();
        let speed = match self.aim {
            SearchAim::Speed(_) => lap.design.speed,
            SearchAim::Clearance(_) => 0.0,
        };
        let regular = 0.5 * p.component_mul(&self.regularization).dot(&p);
        speed + self.penalty(&self.period.closed_constraints(lap, s))
            - regular
            - GAP_WEIGHT * (lap.open - LARGEST_GAP).max(0.0)
    }

    /// Rows of a quadratic program in a step and two slacks (of the clearances and of the guards):
    /// bounds of the step, constraints with their slacks, bounds of the slacks, bounds of the
    /// speed.
    pub fn rows(
        &self,
        lap: &Lap,
        s: &Sensitivity,
        trust: f64,
        free_slack: bool,
    ) -> (DMatrix<f64>, DVector<f64>) {
        let n = self.size();
        let c = self.period.closed_constraints(lap, s);
        let count = 2 * n + CONSTRAINTS + 4;
        let (mut rows, mut bounds) = (DMatrix::zeros(count, n + 2), DVector::zeros(count));
        for j in 0..n {
            rows[(2 * j, j)] = 1.0;
            bounds[2 * j] = -trust;
            rows[(2 * j + 1, j)] = -1.0;
            bounds[2 * j + 1] = -trust;
        }
        let [low, high] = match self.aim {
            SearchAim::Speed(most) => [-2.0 * trust, (1.5 * trust).min(most - lap.design.speed)],
            SearchAim::Clearance(speed) => [speed - lap.design.speed; 2],
        };
        for (at, sign, bound) in [(count - 2, 1.0, low), (count - 1, -1.0, -high)] {
            rows.view_mut((at, 0), (1, n))
                .copy_from(&(s.tangent.row(0) * sign));
            bounds[at] = bound;
        }
        for i in 0..CONSTRAINTS {
            let at = 2 * n + i;
            rows.view_mut((at, 0), (1, n))
                .copy_from(&s.constraints.row(i));
            rows[(at, n + usize::from(i >= CLEARANCES))] = -1.0;
            bounds[at] = -c[i];
        }
        // Slacks: at most zero, or free.
        let slack = if free_slack { FREE_SLACK } else { 0.0 };
        for k in 0..2 {
            let at = 2 * n + CONSTRAINTS + k;
            rows[(at, n + k)] = -1.0;
            bounds[at] = if k == 0 { -slack } else { 0.0 };
        }
        (rows, bounds)
    }
}
