//! The car's lateral motion as a small linear system in ground axes.
//!
//! ```text
//! x = (y, v_y, psi, r),   x' = A x + B u,   y' = v_y + V psi,   psi' = r
//! ```
//!
//! y is the offset, v_y the lateral velocity of O in the car's axes, psi the heading, r the yaw
//! rate (all to the left positive), V the constant speed, u the steering angle; angles are small.
//! The rows of v_y' and r' come from the car's linearization with all faster motions (roll,
//! travels, tires, lags) at rest.

use axletree_vehicle::Linearization;
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, RATE, STATES, VELOCITY};
use nalgebra::{DMatrix, DVector};

/// A linear car in ground axes: `x' = A x + B u`, x = (y, v_y, psi, r).
#[derive(Clone, Debug, PartialEq)]
pub struct LateralCar {
    /// Speed V `[m/s]`.
    pub speed: f64,
    /// Matrix A.
    pub a: DMatrix<f64>,
    /// Column B, per steering angle of the steering wheel or of the road wheels, as the rows were
    /// given `[1/rad]`.
    pub b: DVector<f64>,
}

impl LateralCar {
    /// From the two rows of v_y' and r': `[v_y', r'] = a [v_y, r] + b u`.
    pub fn from_rows(speed: f64, a: [[f64; 2]; 2], b: [f64; 2]) -> Self {
        let mut full = DMatrix::zeros(4, 4);
        full[(0, 1)] = 1.0;
        full[(0, 2)] = speed;
        full[(2, 3)] = 1.0;
        for (i, row) in [1, 3].into_iter().enumerate() {
            for (j, column) in [1, 3].into_iter().enumerate() {
                full[(row, column)] = a[i][j];
            }
        }
        LateralCar {
            speed,
            a: full,
            b: DVector::from_row_slice(&[0.0, b[0], 0.0, b[1]]),
        }
    }

    /// From a car's linearization about straight running, per steering-wheel angle; none where the
    /// faster motions have no equilibrium.
    pub fn of(linearization: &Linearization) -> Option<Self> {
        let (a, b) = residualize(linearization, &[VELOCITY + 1, RATE + 2])?;
        Some(LateralCar::from_rows(
            linearization.trim.condition.speed,
            [[a[(0, 0)], a[(0, 1)]], [a[(1, 0)], a[(1, 1)]]],
            [b[0], b[1]],
        ))
    }

    /// Steady (v_y, r) per steering angle; none where there is no steady state.
    pub fn steady(&self) -> Option<[f64; 2]> {
        let a = DMatrix::from_fn(2, 2, |i, j| self.a[(2 * i + 1, 2 * j + 1)]);
        let b = DVector::from_row_slice(&[-self.b[1], -self.b[3]]);
        let x = a.lu().solve(&b)?;
        Some([x[0], x[1]])
    }
}

/// The slow motion of the states `keep` of a linearization under the steering-wheel angle, with
/// every other state at rest (residualization): `A_11 - A_12 A_22^-1 A_21`, `B_1 - A_12 A_22^-1
/// B_2`.
///
/// Position and heading, on which no rate depends, and the forward velocity, which is held, are
/// left out unless kept. None where the other states have no equilibrium.
pub fn residualize(
    linearization: &Linearization,
    keep: &[usize],
) -> Option<(DMatrix<f64>, DVector<f64>)> {
    let held = [POSITION, POSITION + 1, ATTITUDE, VELOCITY];
    let fast: Vec<usize> = (0..STATES)
        .filter(|i| !keep.contains(i) && !held.contains(i) && !linearization.resting.contains(i))
        .collect();
    let (a, b) = (&linearization.a, &linearization.b);
    let block = |rows: &[usize], columns: &[usize]| {
        DMatrix::from_fn(rows.len(), columns.len(), |i, j| a[(rows[i], columns[j])])
    };
    let input = |rows: &[usize]| DVector::from_fn(rows.len(), |i, _| b[(rows[i], 0)]);
    let lu = block(&fast, &fast).lu();
    let from_slow = lu.solve(&block(&fast, keep))?;
    let from_input = lu.solve(&input(&fast))?;
    let to_slow = block(keep, &fast);
    Some((
        block(keep, keep) - &to_slow * from_slow,
        input(keep) - to_slow * from_input,
    ))
}

/// The exact step of `x' = A x + B u` over a time h with u held: Ad and Bd of `x <- Ad x + Bd u`.
pub fn discretize(a: &DMatrix<f64>, b: &DVector<f64>, h: f64) -> (DMatrix<f64>, DVector<f64>) {
    let n = a.nrows();
    let mut joint = DMatrix::zeros(n + 1, n + 1);
    joint.view_mut((0, 0), (n, n)).copy_from(a);
    joint.view_mut((0, n), (n, 1)).copy_from(b);
    let e = axletree_numerics::exponential(&(joint * h));
    (
        e.view((0, 0), (n, n)).into_owned(),
        e.view((0, n), (n, 1)).column(0).into_owned(),
    )
}
