//! Derivatives of a period, and the surface of closed orbits.
//!
//! With the design p, the closure unknowns z and the end state x_e of a period (see `orbit`), the
//! closure is `c(p, z) = slow part of x_e - z`. Near the limit the steering alone does not say
//! which orbit it is: orbits turn back in the amplitudes, and dc/dz becomes singular. The closed
//! orbits are therefore treated as a surface in (p, z). Steps go along its tangent space, with
//! orthonormal coordinates t in units of the scales, and an open lap is closed by the smallest
//! change of all numbers but speed and offset:
//!
//! ```text
//! J = dc/d(p, z),   J T = 0,   T'T = 1,   step (p, z) + T t,   correction (p, z) - J'(J J')^-1 c
//! ```
//!
//! (Keller, *Applications of Bifurcation Theory*, 1977, for the continuation along such a surface;
//! from memory.)
//!
//! T is the basis nearest to the axes of the design. With the projection `P = 1 - J'(J J')^-1 J`
//! onto the tangent space and N = P restricted to the columns of the design without the offset,
//!
//! ```text
//! T = N (N'N)^(-1/2)
//! ```
//!
//! (Loewdin, *J. Chem. Phys.* 18, 1950: symmetric orthogonalization; from memory). The offset moves
//! the whole path and nothing else: it is a direction of T by itself.

use axletree_numerics::symmetric_eigen;
use axletree_vehicle::model::layout::{POSITION, SPIN, VELOCITY};
use nalgebra::{DMatrix, DVector};

use super::orbit::{
    CLEARANCES, CONSTRAINTS, DIFFERENCE, Lap, OrbitDesign, Period, PeriodStart, SLOW_STATES,
    UNKNOWNS,
};
use super::plant::{LENGTH, PlantState, TIME};

/// Changes of the closure unknowns that matter about as much as one of the design's scales, in
/// their units.
const SLOW_SCALES: [f64; UNKNOWNS] = [0.04, 0.1, 1.0, 0.3, 0.05, 0.3, 1.0, 1.0, 0.02, 0.02];
/// Least eigenvalue of N'N at which the tangent space has a basis near the design's axes `[-]`.
const LEAST_EIGENVALUE: f64 = 1e-12;

/// Derivatives of a period by design and closure unknowns in units of their scales: first the
/// design's numbers, then z.
#[derive(Clone, Debug)]
pub(crate) struct Sensitivity {
    /// End state by design and z.
    end: DMatrix<f64>,
    /// Constraints by design and z.
    by_all: DMatrix<f64>,
    /// T: design and z by the coordinates of the tangent space. The second coordinate is the
    /// offset.
    pub tangent: DMatrix<f64>,
    /// Change of design and z that closes a gap of one.
    correction: DMatrix<f64>,
    /// Constraints by the coordinates of the tangent space.
    pub constraints: DMatrix<f64>,
}

/// Whether a state is carried over from period to period: neither slow nor position along the
/// course nor clock; the wheel spins follow the forward velocity.
fn is_fast(i: usize) -> bool {
    !(SLOW_STATES.contains(&i) || i == POSITION || i == TIME || (SPIN..SPIN + 4).contains(&i))
}

impl Period<'_> {
    /// Sensitivities at a lap, by forward differences along the same grid; none where a neighbor
    /// does not get through.
    ///
    /// Dual numbers would give the same figures, but a direction costs 1.7 to 2.2 times a period
    /// with them (measured) and once a period by differences.
    ///
    /// The fast states follow design and slow states; their response is taken from the
    /// sensitivities of an orbit nearby (`before`). Without it the hands alone, which are still
    /// turning at the start, change the derivatives by a percent and the search is much slower;
    /// where there is none, two rounds are made.
    pub fn sensitivity(&self, lap: &Lap, before: Option<&Sensitivity>) -> Option<Sensitivity> {
        match before {
            Some(before) => self.differentiate(lap, Some(before)),
            None => self.differentiate(lap, Some(&self.differentiate(lap, None)?)),
        }
    }

    fn differentiate(&self, lap: &Lap, before: Option<&Sensitivity>) -> Option<Sensitivity> {
        let designs = 2 + 2 * self.harmonics();
        let scales = OrbitDesign::scales(self.harmonics());
        let columns = designs + UNKNOWNS;
        let mut end = DMatrix::zeros(LENGTH, columns);
        let mut by_all = DMatrix::zeros(CONSTRAINTS, columns);
        let here = self.constraints(lap);
        // The lateral offset moves the whole path and nothing else.
        end[(POSITION + 1, 1)] = scales[1];
        for i in 0..CLEARANCES {
            by_all[(i, 1)] = lap.clearance_by_offset[i] * scales[1];
        }
        let others: Vec<usize> = (0..columns).filter(|j| *j != 1).collect();
        let starts: Vec<PeriodStart> = others.iter().map(|&j| self.moved(lap, j, before)).collect();
        for (j, moved) in others.into_iter().zip(self.laps(&starts)) {
            let moved = moved?;
            for i in 0..LENGTH {
                end[(i, j)] = (moved.end[i] - lap.end[i]) / DIFFERENCE;
            }
            let there = self.constraints(&moved);
            for i in 0..CONSTRAINTS {
                by_all[(i, j)] = (there[i] - here[i]) / DIFFERENCE;
            }
        }
        // Closure: end less start.
        let mut closure = DMatrix::from_fn(UNKNOWNS, columns, |k, j| end[(SLOW_STATES[k], j)]);
        closure[(0, 1)] = 0.0;
        for k in 1..UNKNOWNS {
            closure[(k, designs + k)] -= SLOW_SCALES[k];
        }
        let tangent = tangent(&closure, designs)?;
        let correction = correction(&closure)?;
        Some(Sensitivity {
            constraints: &by_all * &tangent,
            end,
            by_all,
            tangent,
            correction,
        })
    }

    /// Start of a lap with one number of the design, or of z behind them, moved by [`DIFFERENCE`]
    /// scales.
    fn moved(&self, lap: &Lap, j: usize, before: Option<&Sensitivity>) -> PeriodStart {
        let mut change = DVector::zeros(2 + 2 * self.harmonics() + UNKNOWNS);
        change[j] = DIFFERENCE;
        let mut state = lap.start;
        if let Some(before) = before {
            for i in (0..LENGTH).filter(|i| is_fast(*i)) {
                state[i] += DIFFERENCE * before.end[(i, j)];
            }
        }
        self.shifted(lap, &change, state, &lap.start)
    }

    /// Start of a lap with design and z changed; the rest of the state is given, the wheel spins
    /// keep the ratio to the forward velocity that they have in `spins`.
    fn shifted(
        &self,
        lap: &Lap,
        change: &DVector<f64>,
        mut state: PlantState,
        spins: &PlantState,
    ) -> PeriodStart {
        let designs = 2 + 2 * self.harmonics();
        let z = |k: usize| change[designs + k] * SLOW_SCALES[k];
        for (k, &i) in SLOW_STATES.iter().enumerate().skip(1) {
            state[i] = lap.start[i] + z(k);
        }
        let ratio = state[VELOCITY] / spins[VELOCITY];
        for i in SPIN..SPIN + 4 {
            state[i] = spins[i] * ratio;
        }
        PeriodStart {
            design: OrbitDesign::from_vector(&(lap.design.vector() + change.rows(0, designs))),
            constant: lap.constant + z(0),
            state,
        }
    }

    /// Closure of a lap: end less start of the slow states.
    fn gap(lap: &Lap) -> DVector<f64> {
        let gaps = SLOW_STATES.iter().map(|&i| lap.end[i] - lap.start[i]);
        DVector::from_iterator(UNKNOWNS, gaps)
    }

    /// Change of design and z that closes a lap.
    fn closing(lap: &Lap, s: &Sensitivity) -> DVector<f64> {
        -(&s.correction * Self::gap(lap))
    }

    /// Start that closes a lap, to first order.
    pub fn improved(&self, lap: &Lap, s: &Sensitivity) -> PeriodStart {
        let change = Self::closing(lap, s);
        let end = &s.end * &change;
        let state = std::array::from_fn(|i| lap.end[i] + end[i]);
        self.shifted(lap, &change, state, &lap.end)
    }

    /// Constraints of a lap whose small gap is closed, to first order.
    pub fn closed_constraints(&self, lap: &Lap, s: &Sensitivity) -> [f64; CONSTRAINTS] {
        let change = &s.by_all * Self::closing(lap, s);
        let c = self.constraints(lap);
        std::array::from_fn(|i| c[i] + change[i])
    }

    /// Start predicted for a step `t` in the tangent space from a closed lap.
    pub fn predict(&self, lap: &Lap, s: &Sensitivity, t: &DVector<f64>) -> PeriodStart {
        let change = &s.tangent * t;
        let end = &s.end * &change;
        let state = std::array::from_fn(|i| lap.start[i] + end[i]);
        self.shifted(lap, &change, state, &lap.start)
    }
}

/// Step from one lap to another in the coordinates of the tangent space.
pub(crate) fn step_between(from: &Lap, to: &Lap, s: &Sensitivity) -> DVector<f64> {
    let place = |lap: &Lap| {
        let z = SLOW_STATES.iter().zip(SLOW_SCALES).enumerate();
        let z = z.map(|(k, (&i, scale))| {
            let value = if k == 0 { lap.constant } else { lap.start[i] };
            value / scale
        });
        let p = lap.design.vector();
        DVector::from_iterator(p.len() + UNKNOWNS, p.iter().copied().chain(z))
    };
    s.tangent.transpose() * (place(to) - place(from))
}

/// Orthonormal basis of the closure's null space, T: the offset, and the basis nearest to the other
/// axes of the design.
fn tangent(closure: &DMatrix<f64>, designs: usize) -> Option<DMatrix<f64>> {
    let n = closure.ncols();
    let normal = (closure * closure.transpose()).cholesky()?;
    let project = DMatrix::identity(n, n) - closure.transpose() * normal.solve(closure);
    // The offset's axis lies in the null space and is orthogonal to all others.
    let axes: Vec<usize> = (0..designs).filter(|j| *j != 1).collect();
    let near = DMatrix::from_fn(n, axes.len(), |i, k| project[(i, axes[k])]);
    let eigen = symmetric_eigen(&(near.transpose() * &near));
    let least = *eigen.values.iter().next()?;
    if least.is_nan() || least < LEAST_EIGENVALUE {
        return None;
    }
    let orthonormal = near * eigen.map(|x| x.sqrt().recip());
    let mut tangent = DMatrix::zeros(n, designs);
    tangent[(1, 1)] = 1.0;
    for (k, &j) in axes.iter().enumerate() {
        tangent.set_column(j, &orthonormal.column(k));
    }
    Some(tangent)
}

/// Smallest change of all numbers but speed and offset that closes a gap of one, `J'(J J')^-1`.
fn correction(closure: &DMatrix<f64>) -> Option<DMatrix<f64>> {
    let mut free = closure.clone();
    free.fill_column(0, 0.0);
    free.fill_column(1, 0.0);
    let normal = (&free * free.transpose()).cholesky()?;
    Some(free.transpose() * normal.inverse())
}
