//! What a period depends on, and how orbits are closed.
//!
//! Newton's method with the sensitivities of a whole period, the fast states following by the
//! fixed-point iteration with the sensitivities of their end (Lust, Roose, Spence and Champneys,
//! SIAM J. Sci. Comput. 19, 1998, call this Newton-Picard). Near the limit the steering alone does not say
//! which orbit it is: orbits turn back in the amplitudes, and the closure's slopes by z become singular. So the
//! closed orbits are taken as a surface in p and z together. Steps go along its tangent space,
//! with orthonormal coordinates t in units of the scales, and a lap that is open is closed by the
//! smallest change of all numbers but speed and offset:
//!
//! ```text
//! J = d(closure)/d(p, z),   J T = 0,   T'T = 1,   (p, z) + T t,   then   (p, z) - J'(J J')^-1 closure
//! ```
//!
//! (Keller, *Applications of Bifurcation Theory*, 1977, for the continuation along such a surface; from
//! memory.)

use axletree_vehicle::model::layout::{POSITION, SPIN, VELOCITY};
use nalgebra::{DMatrix, DVector, SymmetricEigen};

use super::orbit::{
    CLEARANCES, CONSTRAINTS, DIFFERENCE, Design, Lap, Period, SLOW, Start, UNKNOWNS,
};
use super::plant::{LENGTH, State, TIME};

/// Size of a change of each that matters about like one of the design's scales [their units].
const SLOW_SCALES: [f64; UNKNOWNS] = [0.04, 0.1, 1.0, 0.3, 0.05, 0.3, 1.0, 1.0, 0.02, 0.02];
/// Sensitivities of a period, to design and z in units of their scales: first the design's numbers, then z.
#[derive(Clone, Debug)]
pub struct Sensitivity {
    /// End state by design and z.
    end: DMatrix<f64>,
    /// Constraints by design and z.
    by_all: DMatrix<f64>,
    /// T: design and z by the coordinates of the tangent space. The second coordinate is the offset.
    pub tangent: DMatrix<f64>,
    /// Change of design and z that closes a gap of one.
    correction: DMatrix<f64>,
    /// Constraints by the coordinates of the tangent space.
    pub constraints: DMatrix<f64>,
}

/// Whether a state is carried over from period to period: neither slow nor the place on the course nor
/// the clock; the spins go with the forward velocity.
fn is_fast(i: usize) -> bool {
    !(SLOW.contains(&i) || i == POSITION || i == TIME || (SPIN..SPIN + 4).contains(&i))
}

impl Period<'_> {
    /// Sensitivities at a lap, by forward differences along the same grid.
    ///
    /// Dual numbers would give the same figures; with them a direction costs 1.7 to 2.2 times a period
    /// (measured), without one.
    ///
    /// The fast states follow design and slow states; how, is taken from the sensitivities of an orbit
    /// nearby (`before`). Without that the hands alone, which are still turning at the start, cost the
    /// slopes a percent and the search most of its speed; where there is none, two rounds are made.
    pub fn sensitivity(&self, lap: &Lap, before: Option<&Sensitivity>) -> Option<Sensitivity> {
        match before {
            Some(before) => self.round(lap, Some(before)),
            None => self.round(lap, Some(&self.round(lap, None)?)),
        }
    }

    fn round(&self, lap: &Lap, before: Option<&Sensitivity>) -> Option<Sensitivity> {
        let designs = 2 + 2 * self.harmonics();
        let scales = Design::scales(self.harmonics());
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
        let starts: Vec<Start> = others.iter().map(|&j| self.moved(lap, j, before)).collect();
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
        let mut closure = DMatrix::from_fn(UNKNOWNS, columns, |k, j| end[(SLOW[k], j)]);
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

    /// A lap's start with one number of the design, or of z behind them, moved by [`DIFFERENCE`] scales.
    fn moved(&self, lap: &Lap, j: usize, before: Option<&Sensitivity>) -> Start {
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

    /// A lap's start with design and z changed; the rest of the state is given, the spins go with the forward
    /// velocity from `spins`.
    fn shifted(&self, lap: &Lap, change: &DVector<f64>, mut state: State, spins: &State) -> Start {
        let designs = 2 + 2 * self.harmonics();
        let z = |k: usize| change[designs + k] * SLOW_SCALES[k];
        for (k, &i) in SLOW.iter().enumerate().skip(1) {
            state[i] = lap.start[i] + z(k);
        }
        let ratio = state[VELOCITY] / spins[VELOCITY];
        for i in SPIN..SPIN + 4 {
            state[i] = spins[i] * ratio;
        }
        Start {
            design: Design::from_vector(&(lap.design.vector() + change.rows(0, designs))),
            constant: lap.constant + z(0),
            state,
        }
    }

    /// What is left to close: end less start of the slow states.
    fn gap(lap: &Lap) -> DVector<f64> {
        DVector::from_iterator(UNKNOWNS, SLOW.iter().map(|&i| lap.end[i] - lap.start[i]))
    }

    /// The change of design and z that closes a lap.
    fn closing(lap: &Lap, s: &Sensitivity) -> DVector<f64> {
        -(&s.correction * Self::gap(lap))
    }

    /// The constraints as they will be once the lap's small gap is closed.
    pub fn closed_constraints(&self, lap: &Lap, s: &Sensitivity) -> [f64; CONSTRAINTS] {
        let change = &s.by_all * Self::closing(lap, s);
        let c = self.constraints(lap);
        std::array::from_fn(|i| c[i] + change[i])
    }

    /// How far one lap is from another in the coordinates of the tangent space.
    pub fn between(&self, from: &Lap, to: &Lap, s: &Sensitivity) -> DVector<f64> {
        let place = |lap: &Lap| {
            let z = SLOW.iter().zip(SLOW_SCALES).enumerate();
            let z = z.map(|(k, (&i, scale))| {
                let value = if k == 0 { lap.constant } else { lap.start[i] };
                value / scale
            });
            let p = lap.design.vector();
            DVector::from_iterator(p.len() + UNKNOWNS, p.iter().copied().chain(z))
        };
        s.tangent.transpose() * (place(to) - place(from))
    }

    /// The start predicted for a step `t` in the tangent space from a closed lap.
    pub fn predict(&self, lap: &Lap, s: &Sensitivity, t: &DVector<f64>) -> Start {
        let change = &s.tangent * t;
        let end = &s.end * &change;
        let state = std::array::from_fn(|i| lap.start[i] + end[i]);
        self.shifted(lap, &change, state, &lap.start)
    }

    /// Closes the orbit of a start's design, with given sensitivities. The last lap run, closed to
    /// `tolerance` or not; none where the car does not get through or the passes diverge.
    pub fn close(
        &self,
        start: Start,
        s: &Sensitivity,
        tolerance: f64,
        passes: usize,
    ) -> Option<Lap> {
        self.close_all(vec![start], s, tolerance, passes)
            .pop()
            .flatten()
    }

    /// Closes several side by side.
    pub fn close_all(
        &self,
        starts: Vec<Start>,
        s: &Sensitivity,
        tolerance: f64,
        passes: usize,
    ) -> Vec<Option<Lap>> {
        let mut closed: Vec<Option<Lap>> = starts.iter().map(|_| None).collect();
        let mut open: Vec<(usize, Start, f64)> = starts
            .into_iter()
            .enumerate()
            .map(|(i, start)| (i, start, f64::INFINITY))
            .collect();
        for pass in 0..passes.max(1) {
            let starts: Vec<Start> = open.iter().map(|(_, start, _)| start.clone()).collect();
            let before = std::mem::take(&mut open);
            for ((i, _, last), lap) in before.into_iter().zip(self.laps(&starts)) {
                let Some(lap) = lap else { continue };
                // No headway: another pass does not help.
                let stuck = lap.open > 0.7 * last && pass >= 3;
                if lap.open < tolerance || pass + 1 == passes || stuck {
                    closed[i] = Some(lap);
                } else if !(lap.open > 4.0 * last && lap.open > 1e-2) {
                    open.push((i, self.improved(&lap, s), lap.open));
                }
            }
            if open.is_empty() {
                break;
            }
        }
        closed
    }

    /// The next start after a lap that is not closed.
    pub fn improved(&self, lap: &Lap, s: &Sensitivity) -> Start {
        let change = Self::closing(lap, s);
        let end = &s.end * &change;
        let state = std::array::from_fn(|i| lap.end[i] + end[i]);
        // Spins keep the ratio to the forward velocity that they end with.
        self.shifted(lap, &change, state, &lap.end)
    }
}

/// An orthonormal basis of the closure's null space: the offset, and what is nearest to the axes of the rest
/// of the design (Loewdin's symmetric orthogonalization).
fn tangent(closure: &DMatrix<f64>, designs: usize) -> Option<DMatrix<f64>> {
    let n = closure.ncols();
    let normal = (closure * closure.transpose()).cholesky()?;
    let project = DMatrix::identity(n, n) - closure.transpose() * normal.solve(closure);
    // The offset's axis lies in the null space and is square to all others.
    let axes: Vec<usize> = (0..designs).filter(|j| *j != 1).collect();
    let near = DMatrix::from_fn(n, axes.len(), |i, k| project[(i, axes[k])]);
    let mut eigen = SymmetricEigen::new(near.transpose() * &near);
    let least = eigen.eigenvalues.min();
    if least.is_nan() || least < 1e-12 {
        return None;
    }
    eigen.eigenvalues.apply(|x| *x = x.sqrt().recip());
    let orthonormal = near * eigen.recompose();
    let mut tangent = DMatrix::zeros(n, designs);
    tangent[(1, 1)] = 1.0;
    for (k, &j) in axes.iter().enumerate() {
        tangent.set_column(j, &orthonormal.column(k));
    }
    Some(tangent)
}

/// The smallest change of all numbers but speed and offset that closes a gap of one.
fn correction(closure: &DMatrix<f64>) -> Option<DMatrix<f64>> {
    let mut free = closure.clone();
    free.fill_column(0, 0.0);
    free.fill_column(1, 0.0);
    let normal = (&free * free.transpose()).cholesky()?;
    Some(free.transpose() * normal.inverse())
}
