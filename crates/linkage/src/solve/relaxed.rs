//! Positions of an over-constrained linkage: the equilibrium of its strained links.
//!
//! More links than freedoms fit a rigid carrier only at static. Elsewhere the carrier takes the
//! position in which the energy of the strained link ends is least, at the travel given:
//!
//! ```text
//! E(x) = 1/2 sum k_i g_i(x)^2,      stationary:  sum k_i g_i J_i + sum lambda_j A_j = 0
//! ```
//!
//! with the stiffnesses k, the gaps g, and the rows J of the constraints and A of the drivers.
//! Gauss-Newton steps find it, as the gaps are small against the links. The rates differentiate the
//! stationary condition exactly, with dual numbers, so that they include the curvature of strained
//! links. By the envelope theorem the force of a driver is the slope of the energy:
//! `dE/dheave = -lambda_1`, `dE/droll = -lambda_2 cos(roll)`.

use axletree_numerics::SmallLu;
use axletree_scalar::{Dual, Mat3, Real, Vec3};

use crate::mechanism::{Mechanism, MechanismState, PerUnknown, UNKNOWNS, lift};
use crate::pose::Pose;
use crate::solve::position::{Position, Rates, SIZE, assemble, gaps, moved};
use crate::travel::Travel;

/// Gauss-Newton steps before an equilibrium counts as not found.
const EQUILIBRIUM_STEPS: usize = 40;
/// Gauss-Newton steps towards the position nearest to fitting.
const NEAREST_STEPS: usize = 60;
/// Largest step of an unknown at an equilibrium `[m], [rad]`.
const MAX_LAST_STEP: f64 = 1e-12;

/// Number with its derivatives by the unknowns and by the rack.
type D = Dual<f64, { UNKNOWNS + 1 }>;

/// The factorized matrix bordered by the drivers, and the right-hand side.
struct Bordered {
    lu: SmallLu<SIZE>,
    rhs: [f64; SIZE],
}

/// One Gauss-Newton system; the stiffnesses are relative to the largest.
fn gauss_newton(
    m: &Mechanism,
    state: &MechanismState<f64>,
    want: Travel,
    stiffness: &[f64],
) -> Bordered {
    let n = m.unknowns();
    let (rows, g, _) = assemble(m, state, want);
    let count = m.constraints.len();
    let drivers = m.carried.drivers();
    let (mut a, mut rhs) = ([[0.0; SIZE]; SIZE], [0.0; SIZE]);
    for c in 0..count {
        for i in 0..n {
            let kj = stiffness[c] * rows[c][i];
            rhs[i] -= kj * g[c];
            for j in 0..n {
                a[i][j] += kj * rows[c][j];
            }
        }
    }
    for j in 0..drivers {
        for i in 0..n {
            a[i][n + j] = rows[count + j][i];
            a[n + j][i] = rows[count + j][i];
        }
        rhs[n + j] = -g[count + j];
    }
    Bordered {
        lu: SmallLu::new(a, n + drivers),
        rhs,
    }
}

/// Position of least energy at a travel.
pub(crate) fn position(
    m: &Mechanism,
    from: &MechanismState<f64>,
    want: Travel,
) -> Option<Position> {
    let n = m.unknowns();
    let most = m.stiffness.iter().fold(0.0f64, |a, k| a.max(*k));
    let stiffness: Vec<f64> = m.stiffness.iter().map(|k| k / most).collect();
    let mut state = *from;
    for _ in 0..EQUILIBRIUM_STEPS {
        let system = gauss_newton(m, &state, want, &stiffness);
        let x = system.lu.solve(&system.rhs);
        let size = x[..n].iter().fold(0.0f64, |a, v| a.max(v.abs()));
        if !size.is_finite() || size > 0.5 {
            return None;
        }
        state = moved(m, &state, &x[..n]);
        if size < MAX_LAST_STEP {
            let lambda = [x[n], x[n + 1]];
            state.pose = state.pose.squared();
            let rates = rates(m, &state, want, &stiffness, lambda)?;
            return Some(Position {
                state,
                travel: want,
                rates,
                driver: [-lambda[0] * most, -lambda[1] * most * Real::cos(want.roll)],
            });
        }
    }
    None
}

/// Exact rates, from the derivative of the stationary condition.
fn rates(
    m: &Mechanism,
    state: &MechanismState<f64>,
    at: Travel,
    stiffness: &[f64],
    lambda: [f64; 2],
) -> Option<Rates> {
    let n = m.unknowns();
    let drivers = m.carried.drivers();
    let gradient = gradient(m, state, at, stiffness, lambda);
    let (rows, _, _) = assemble(m, state, at);
    let count = m.constraints.len();
    let mut a = [[0.0; SIZE]; SIZE];
    for i in 0..n {
        a[i][..n].copy_from_slice(&gradient[i].d[..n]);
        for j in 0..drivers {
            a[i][n + j] = rows[count + j][i];
            a[n + j][i] = rows[count + j][i];
        }
    }
    let lu = SmallLu::new(a, n + drivers);
    let take = |b: &[f64; SIZE]| -> PerUnknown<f64> {
        let x = lu.solve(b);
        std::array::from_fn(|i| if i < n { x[i] } else { 0.0 })
    };
    let mut b = [0.0; SIZE];
    b[n] = 1.0;
    let heave = take(&b);
    let mut roll = [0.0; UNKNOWNS];
    if drivers == 2 {
        b[n] = 0.0;
        b[n + 1] = Real::cos(at.roll);
        roll = take(&b);
    }
    b = [0.0; SIZE];
    for i in 0..n {
        b[i] = -gradient[i].d[UNKNOWNS];
    }
    let rack = if b.iter().any(|x| *x != 0.0) {
        take(&b)
    } else {
        [0.0; UNKNOWNS]
    };
    let all = Rates { heave, roll, rack };
    let finite = heave
        .iter()
        .chain(&roll)
        .chain(&rack)
        .all(|x| x.is_finite());
    finite.then_some(all)
}

/// The stationary condition with its derivatives by the unknowns and the rack.
fn gradient(
    m: &Mechanism,
    state: &MechanismState<f64>,
    at: Travel,
    stiffness: &[f64],
    lambda: [f64; 2],
) -> [D; UNKNOWNS] {
    let lifted = varied(state);
    let bodies = m.bodies(&lifted, D::variable(at.rack, UNKNOWNS));
    let mut sum = [D::zero(); UNKNOWNS];
    for (c, k) in stiffness.iter().enumerate() {
        let (g, row) = m.constraint(&bodies, c);
        let f = g.scale(*k);
        for (s, r) in sum.iter_mut().zip(row) {
            *s += f * r;
        }
    }
    for (j, l) in lambda.iter().enumerate().take(m.carried.drivers()) {
        let (_, row) = m.driver(&lifted, at, j);
        for (s, r) in sum.iter_mut().zip(row) {
            *s += r.scale(*l);
        }
    }
    sum
}

/// A state with its first variation in every unknown.
fn varied(state: &MechanismState<f64>) -> MechanismState<D> {
    let center: Vec3<D> = Vec3(std::array::from_fn(|i| {
        D::variable(state.pose.center.0[i], i)
    }));
    let w: Vec3<D> = Vec3(std::array::from_fn(|i| D::variable(0.0, 3 + i)));
    let turn = Mat3(state.pose.turn.0.map(|column| {
        let column: Vec3<D> = lift(column);
        column + w.cross(column)
    }));
    MechanismState {
        pose: Pose { center, turn },
        angle: std::array::from_fn(|k| D::variable(state.angle[k], 6 + k)),
    }
}

/// State with the least sum of squared gaps, for an error message.
pub(crate) fn nearest(
    m: &Mechanism,
    from: &MechanismState<f64>,
    want: Travel,
) -> MechanismState<f64> {
    let n = m.unknowns();
    let stiffness = vec![1.0; m.constraints.len()];
    let cost =
        |s: &MechanismState<f64>| -> f64 { gaps(m, s, want.rack).into_iter().map(Real::sq).sum() };
    let mut state = *from;
    for _ in 0..NEAREST_STEPS {
        let system = gauss_newton(m, &state, want, &stiffness);
        let x = system.lu.solve(&system.rhs);
        let size = x[..n].iter().fold(0.0f64, |a, v| a.max(v.abs()));
        if !size.is_finite() || size < 1e-10 {
            break;
        }
        let mut k = (0.1 / size).min(1.0);
        let now = cost(&state);
        let better = loop {
            let d: Vec<f64> = x[..n].iter().map(|v| k * v).collect();
            let next = moved(m, &state, &d);
            if cost(&next) < now {
                break Some(next);
            }
            k *= 0.5;
            if k < 1e-5 {
                break None;
            }
        };
        match better {
            Some(next) => state = next,
            None => break,
        }
    }
    state
}
