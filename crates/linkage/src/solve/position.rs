//! A position with its rates, and the linear system of one step towards it.

use axletree_numerics::SmallMatrix;
use axletree_scalar::Vec3;

use crate::mechanism::{Mechanism, MechanismState, PerUnknown, UNKNOWNS};
use crate::travel::Travel;

/// Room for the unknowns and their multipliers.
pub(crate) const SIZE: usize = 14;

/// Derivatives of all unknowns by each travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rates {
    /// By heave or wheel travel `[1/m]`.
    pub heave: PerUnknown<f64>,
    /// By roll; zero for a corner `[1/rad]`.
    pub roll: PerUnknown<f64>,
    /// By displacement of the rack `[1/m]`.
    pub rack: PerUnknown<f64>,
}

impl Rates {
    /// Velocity of the center and angular velocity for one set of rates.
    pub fn twist(row: &PerUnknown<f64>) -> (Vec3<f64>, Vec3<f64>) {
        (
            Vec3([row[0], row[1], row[2]]),
            Vec3([row[3], row[4], row[5]]),
        )
    }
}

/// A position with its travel and its rates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// Pose and member angles.
    pub state: MechanismState<f64>,
    /// Its travel.
    pub travel: Travel,
    /// Its derivatives by travel.
    pub rates: Rates,
    /// Forces of the drivers in an over-constrained linkage; zero in an exactly constrained one
    /// `[N, N*m]`.
    pub driver: [f64; 2],
}

/// Rows of constraints and drivers, their values, and the number of both.
pub(crate) fn assemble(
    m: &Mechanism,
    state: &MechanismState<f64>,
    want: Travel,
) -> (SmallMatrix<SIZE>, [f64; SIZE], usize) {
    #[cfg(test)]
    work::count();
    let bodies = m.bodies(state, want.rack);
    let (mut a, mut g) = ([[0.0; SIZE]; SIZE], [0.0; SIZE]);
    let count = m.constraints.len();
    for i in 0..count {
        let (value, row) = m.constraint(&bodies, i);
        g[i] = value;
        a[i][..UNKNOWNS].copy_from_slice(&row);
    }
    for j in 0..m.carried.drivers() {
        let (value, row) = m.driver(state, want, j);
        g[count + j] = value;
        a[count + j][..UNKNOWNS].copy_from_slice(&row);
    }
    (a, g, count + m.carried.drivers())
}

/// A state moved by small changes of the unknowns.
pub(crate) fn moved(m: &Mechanism, state: &MechanismState<f64>, d: &[f64]) -> MechanismState<f64> {
    let mut next = *state;
    next.pose = state
        .pose
        .step(Vec3([d[0], d[1], d[2]]), Vec3([d[3], d[4], d[5]]));
    for k in 0..m.hinges.len() {
        next.angle[k] += d[6 + k];
    }
    next
}

/// Largest absolute value.
pub(crate) fn largest(g: &[f64]) -> f64 {
    g.iter().fold(0.0, |m, x| m.max(x.abs()))
}

/// Value of every constraint: a link's change of length `[m]`.
pub(crate) fn gaps(m: &Mechanism, state: &MechanismState<f64>, rack: f64) -> Vec<f64> {
    let bodies = m.bodies(state, rack);
    (0..m.constraints.len())
        .map(|i| m.constraint(&bodies, i).0)
        .collect()
}

/// Count of the linear systems assembled on this thread, for tests that pin work.
#[cfg(test)]
pub(crate) mod work {
    use std::cell::Cell;

    thread_local! {
        static SYSTEMS: Cell<usize> = const { Cell::new(0) };
    }

    pub(super) fn count() {
        SYSTEMS.set(SYSTEMS.get() + 1);
    }

    /// Systems assembled since the last call.
    pub(crate) fn take() -> usize {
        SYSTEMS.take()
    }
}
