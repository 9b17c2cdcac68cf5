//! Newton's method on an exactly constrained linkage.

use axletree_numerics::SmallLu;
use axletree_scalar::Real;

use crate::mechanism::{Mechanism, MechanismState, PerUnknown, UNKNOWNS};
use crate::solve::position::{Rates, SIZE, assemble, largest, moved};
use crate::travel::Travel;

/// Steps before Newton's method counts as not converged.
const NEWTON_STEPS: usize = 10;
/// Damped steps before the lengths given count as unreachable.
const SETTLING_STEPS: usize = 60;
/// Largest value of a constraint at a solution `[m]`.
const MAX_GAP: f64 = 1e-13;

/// Newton's method on an exactly constrained linkage: the state and its factorized rows.
pub(crate) fn newton(
    m: &Mechanism,
    from: &MechanismState<f64>,
    want: Travel,
) -> Option<(MechanismState<f64>, SmallLu<SIZE>)> {
    let n = m.unknowns();
    let mut state = *from;
    let mut before = f64::INFINITY;
    for _ in 0..NEWTON_STEPS {
        let (a, g, rows) = assemble(m, &state, want);
        let miss = largest(&g[..rows]);
        let lu = SmallLu::new(a, n);
        if miss < MAX_GAP {
            state.pose = state.pose.squared();
            return Some((state, lu));
        }
        // Quadratic convergence or nothing; rounding may hold the last digit.
        if !miss.is_finite() || (miss > 0.5 * before && miss > 4.0 * MAX_GAP) || miss > 1.0 {
            return None;
        }
        if miss >= before {
            return Some((state, lu));
        }
        before = miss;
        if lu.pivot_ratio() < 1e-12 {
            return None;
        }
        let mut d = lu.solve(&g);
        for x in &mut d {
            *x = -*x;
        }
        if largest(&d[..n]) > 0.5 {
            return None;
        }
        state = moved(m, &state, &d[..n]);
    }
    None
}

/// Rates from the factorized rows: a driver moves by one, or a constraint by the rack.
pub(crate) fn exact_rates(
    m: &Mechanism,
    state: &MechanismState<f64>,
    at: Travel,
    lu: &SmallLu<SIZE>,
) -> Rates {
    let count = m.constraints.len();
    let take = |b: &[f64; SIZE]| -> PerUnknown<f64> {
        let x = lu.solve(b);
        std::array::from_fn(|i| x[i])
    };
    let mut b = [0.0; SIZE];
    b[count] = 1.0;
    let heave = take(&b);
    let mut roll = [0.0; UNKNOWNS];
    if m.carried.drivers() == 2 {
        b[count] = 0.0;
        b[count + 1] = Real::cos(at.roll);
        roll = take(&b);
    }
    Rates {
        heave,
        roll,
        rack: rack_rates(m, state, at, lu),
    }
}

fn rack_rates(
    m: &Mechanism,
    state: &MechanismState<f64>,
    at: Travel,
    lu: &SmallLu<SIZE>,
) -> PerUnknown<f64> {
    let mut b = [0.0; SIZE];
    let bodies = m.bodies(state, at.rack);
    let mut any = false;
    for (i, x) in b.iter_mut().enumerate().take(m.constraints.len()) {
        *x = -m.constraints[i].by_rack(&bodies);
        any |= *x != 0.0;
    }
    if !any {
        return [0.0; UNKNOWNS];
    }
    let x = lu.solve(&b);
    std::array::from_fn(|i| x[i])
}

/// The state described brought to the lengths given, by damped Newton steps.
pub(crate) fn settle(
    m: &Mechanism,
    described: &MechanismState<f64>,
    at: Travel,
) -> Option<MechanismState<f64>> {
    let n = m.unknowns();
    let mut state = *described;
    for _ in 0..SETTLING_STEPS {
        let (a, g, rows) = assemble(m, &state, at);
        let miss = largest(&g[..rows]);
        if miss < 1e-9 {
            return Some(state);
        }
        let d = SmallLu::new(a, n).solve(&g);
        let size = largest(&d[..n]);
        if !size.is_finite() {
            return None;
        }
        // Halve the step until the constraints come nearer.
        let mut k = (0.2 / size).min(1.0);
        loop {
            let tried: Vec<f64> = d[..n].iter().map(|x| -k * x).collect();
            let next = moved(m, &state, &tried);
            let (_, g, _) = assemble(m, &next, at);
            if largest(&g[..rows]) < miss {
                state = next;
                break;
            }
            k *= 0.5;
            if k < 1e-4 {
                return None;
            }
        }
    }
    None
}
