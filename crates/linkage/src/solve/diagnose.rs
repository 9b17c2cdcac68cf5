//! Reasons why a linkage has no solution, with the names of the links responsible.
//!
//! At a singular position the rows of constraints and drivers have a left null vector w,
//! `w^T J = 0`: forces of the links that are in equilibrium on the carrier without a load. The
//! links with a large share of it are named. If the drivers have a share of it, the links oppose
//! the travel itself: the linkage locks. If they have none, the links alone have become dependent:
//! a dead center. The right null vector is the motion that remains free. Turns are weighted by 0.5
//! m to make them comparable with displacements.

use nalgebra::{DMatrix, SVD};

use crate::error::{FreeMotion, LinkageError, PartNames};
use crate::mechanism::{Mechanism, MechanismState, PerUnknown};
use crate::travel::Travel;

/// Lever that makes turns comparable with displacements `[m]`.
const LEVER: f64 = 0.5;
/// Singular values below this count as zero; the rows are of order one.
const SINGULAR: f64 = 1e-7;
/// Smallest component of a null vector for which a link is named, as a share of the largest.
const NAMED_SHARE: f64 = 0.1;

/// Rows of constraints and drivers, with turns weighted.
fn rows(m: &Mechanism, state: &MechanismState<f64>, at: Travel) -> DMatrix<f64> {
    let n = m.unknowns();
    let bodies = m.bodies(state, at.rack);
    let mut all: Vec<PerUnknown<f64>> = (0..m.constraints.len())
        .map(|i| m.constraint(&bodies, i).1)
        .collect();
    all.extend((0..m.carried.drivers()).map(|j| m.driver(state, at, j).1));
    // At least as many rows as unknowns, so that every null vector shows.
    DMatrix::from_fn(all.len().max(n), n, |i, j| {
        let x = all.get(i).map_or(0.0, |r| r[j]);
        if j < 3 { x } else { x / LEVER }
    })
}

/// The motion of the carrier in a null vector.
fn motion(vector: &[f64]) -> FreeMotion {
    let most = vector.iter().take(6).fold(0.0f64, |m, x| m.max(x.abs()));
    let scale = if most > 1e-6 { 1.0 / most } else { 0.0 };
    FreeMotion {
        shift: std::array::from_fn(|i| vector[i] * scale),
        turn: std::array::from_fn(|i| vector[3 + i] * scale),
    }
}

/// Names of the parts with a large component in `w`.
pub(crate) fn with_share(m: &Mechanism, w: &[f64]) -> PartNames {
    let count = m.constraints.len();
    let most = w.iter().take(count).fold(0.0f64, |a, x| a.max(x.abs()));
    let mut names: Vec<String> = Vec::new();
    for (name, x) in m.owner.iter().zip(w) {
        if x.abs() >= NAMED_SHARE * most && !names.contains(name) {
            names.push(name.clone());
        }
    }
    PartNames(names)
}

/// Refuses a position in which the carrier has a freedom besides its travel.
pub(crate) fn freedom_left(
    m: &Mechanism,
    state: &MechanismState<f64>,
    at: Travel,
) -> Result<(), LinkageError> {
    let n = m.unknowns();
    let svd = SVD::new(rows(m, state, at), true, true);
    let (Some(u), Some(vt)) = (&svd.u, &svd.v_t) else {
        return Ok(());
    };
    let small: Vec<usize> = (0..n)
        .filter(|&k| svd.singular_values[k] < SINGULAR)
        .collect();
    let Some(&k) = small.first() else {
        return Ok(());
    };
    let count = m.constraints.len() + m.carried.drivers();
    let links = if count >= n {
        let w: Vec<f64> = u.column(k).iter().copied().collect();
        with_share(m, &w)
    } else {
        m.all_names()
    };
    let v: Vec<f64> = vt.row(k).iter().copied().collect();
    Err(LinkageError::FreedomLeft {
        free: small.len(),
        links,
        travel: at,
        motion: motion(&v),
    })
}

/// Error for a travel that ends at `at`.
pub(crate) fn stopped(
    m: &Mechanism,
    state: &MechanismState<f64>,
    at: Travel,
    wanted: Travel,
) -> LinkageError {
    let svd = SVD::new(rows(m, state, at), true, false);
    let count = m.constraints.len();
    let drivers = m.carried.drivers();
    let least = svd
        .singular_values
        .iter()
        .enumerate()
        .min_by(|a, b| a.1.total_cmp(b.1))
        .map_or(0, |(k, _)| k);
    let w: Vec<f64> = svd
        .u
        .map(|u| u.column(least).iter().copied().collect())
        .unwrap_or_default();
    let most = w.iter().fold(0.0f64, |a, x| a.max(x.abs()));
    let driven = w
        .iter()
        .skip(count)
        .take(drivers)
        .fold(0.0f64, |a, x| a.max(x.abs()));
    let links = with_share(m, &w);
    if driven >= NAMED_SHARE * most {
        LinkageError::Locks {
            travel: at,
            wanted,
            links,
        }
    } else {
        LinkageError::Toggles {
            travel: at,
            wanted,
            links,
        }
    }
}
