//! Preview steering: gains of MacAdam and of linear-quadratic preview.
//!
//! Both laws are linear in the car's state and in the path ahead,
//!
//! ```text
//! u = sum_j w_j f(t + t_j) - (k_y y + k_v v_y + k_psi psi + k_r r)
//! ```
//!
//! with u the steering angle, f the lateral offset of the path where the car will be after the time
//! t_j, and (y, v_y, psi, r) the state of [`LateralCar`]. The law is invariant to a motion of path
//! and car together: `sum w_j = k_y` and `V sum w_j t_j = k_psi`, so that it may be evaluated in
//! the car's own axes, where y and psi are zero.

use nalgebra::{DMatrix, DVector};

use super::lateral::{LateralCar, discretize};
use axletree_numerics::riccati::{RiccatiError, dare, discrete_gain};

/// Gains of a preview driver.
#[derive(Clone, Debug, PartialEq)]
pub struct PreviewGains {
    /// Gains on y, v_y, psi, r `[rad/m, rad*s/m, -, s]`.
    pub state: [f64; 4],
    /// Times ahead of the previewed path offsets, rising `[s]`.
    pub ahead: Vec<f64>,
    /// Weight of each offset `[rad/m]`.
    pub path: Vec<f64>,
}

impl PreviewGains {
    /// Steering angle `[rad]` from the offset of the path in the car's axes at each time ahead
    /// `[m, left positive]`, the car's lateral velocity `[m/s]` and its yaw rate `[rad/s]`.
    pub fn steer(&self, offset: impl Fn(f64) -> f64, lateral_velocity: f64, yaw_rate: f64) -> f64 {
        let road: f64 = self
            .path
            .iter()
            .zip(&self.ahead)
            .map(|(weight, ahead)| weight * offset(*ahead))
            .sum();
        road - self.state[1] * lateral_velocity - self.state[3] * yaw_rate
    }
}

/// Free and forced response of a linear system's output: `c' exp(A t)` and the response to a unit
/// step of the input, at `intervals + 1` equally spaced times from zero to `span`.
fn responses(
    a: &DMatrix<f64>,
    b: &DVector<f64>,
    c: &DVector<f64>,
    span: f64,
    intervals: usize,
) -> (Vec<DVector<f64>>, Vec<f64>) {
    let (ad, bd) = discretize(a, b, span / intervals as f64);
    let mut free = vec![c.clone()];
    let mut forced = vec![0.0];
    let mut step = DVector::zeros(a.nrows());
    for i in 0..intervals {
        free.push(ad.transpose() * &free[i]);
        step = &ad * step + &bd;
        forced.push(c.dot(&step));
    }
    (free, forced)
}

/// Simpson's weights over equally spaced times.
fn simpson(span: f64, intervals: usize) -> Vec<f64> {
    let h = span / intervals as f64;
    (0..=intervals)
        .map(|i| match i {
            _ if i == 0 || i == intervals => h / 3.0,
            _ if i % 2 == 1 => 4.0 * h / 3.0,
            _ => 2.0 * h / 3.0,
        })
        .collect()
}

/// Gains of MacAdam's optimal preview for `x' = A x + B u`, output `c' x`: the held control of
/// least mean square of the previewed error,
///
/// ```text
/// u = int_0^T (f(t + s) - c' exp(A s) x) F(s) ds / int_0^T F(s)^2 ds,   F = unit step response
/// ```
///
/// The result is the gains on the state, the times ahead and the weights of the path there; the
/// weights are the integral over f by Simpson's rule. `intervals` is even.
///
/// Source: MacAdam, "An optimal preview control for linear systems", J. Dyn. Sys. Meas. Control
/// 102, 1980; "Application of an optimal preview control for simulation of closed-loop automobile
/// driving", IEEE Trans. SMC-11(6), 1981.
pub fn macadam_gains(
    a: &DMatrix<f64>,
    b: &DVector<f64>,
    c: &DVector<f64>,
    preview: f64,
    intervals: usize,
) -> (DVector<f64>, Vec<f64>, Vec<f64>) {
    let (free, forced) = responses(a, b, c, preview, intervals);
    let weights = simpson(preview, intervals);
    let below: f64 = weights.iter().zip(&forced).map(|(w, f)| w * f * f).sum();
    let path: Vec<f64> = weights
        .iter()
        .zip(&forced)
        .map(|(w, f)| w * f / below)
        .collect();
    let mut gains = DVector::zeros(a.nrows());
    for (w, row) in path.iter().zip(&free) {
        gains += row * *w;
    }
    let ahead = (0..=intervals)
        .map(|i| preview * i as f64 / intervals as f64)
        .collect();
    (gains, ahead, path)
}

/// MacAdam's driver of a car, with the offset y of O as output and a preview time `[s]`.
pub fn macadam(car: &LateralCar, preview: f64, intervals: usize) -> PreviewGains {
    let output = DVector::from_row_slice(&[1.0, 0.0, 0.0, 0.0]);
    let (gains, ahead, path) = macadam_gains(&car.a, &car.b, &output, preview, intervals);
    PreviewGains {
        state: [gains[0], gains[1], gains[2], gains[3]],
        ahead,
        path,
    }
}

/// Linear-quadratic preview for a discrete system with a scalar input and an output `c' x` that is
/// to follow a path: least sum of `q (y - f)^2 + r u^2`. The result is the feedback gains K and the
/// weights of the path 1, 2, ... steps ahead,
///
/// ```text
/// K = B'PA/(r + B'PB),   w_j = B' (A_cl')^(j-1) c q/(r + B'PB),   A_cl = A - B K
/// ```
///
/// Source: Sharp and Valtetsiotis, "Optimal preview car steering control", Vehicle System Dynamics
/// Suppl. 35, 2001, pp. 101-117 (from memory): the weights fall to zero at a finite distance,
/// beyond which preview gains nothing.
///
/// # Errors
/// [`RiccatiError`] where the system cannot be stabilized.
pub fn lq_gains(
    a: &DMatrix<f64>,
    b: &DVector<f64>,
    c: &DVector<f64>,
    (q, r): (f64, f64),
    steps: usize,
) -> Result<(DVector<f64>, Vec<f64>), RiccatiError> {
    let n = a.nrows();
    let input = DMatrix::from_column_slice(n, 1, b.as_slice());
    let p = dare(
        a,
        &input,
        &(c * c.transpose() * q),
        &DMatrix::from_element(1, 1, r),
    )?;
    let gains = discrete_gain(a, b, r, &p);
    let closed = a - b * gains.transpose();
    let weight = r + (b.transpose() * &p * b)[(0, 0)];
    let mut back = c * (q / weight);
    let mut path = Vec::with_capacity(steps);
    for _ in 0..steps {
        path.push(b.dot(&back));
        back = closed.transpose() * back;
    }
    Ok((gains, path))
}

/// Linear-quadratic preview driver of a car, with a weight of 1/m^2 on the offset of O and of
/// `effort` `[1/rad^2]` on the steering angle, and a preview of so many steps of a time `[s]`.
///
/// # Errors
/// [`RiccatiError`] where the car cannot be stabilized.
pub fn lq_preview(
    car: &LateralCar,
    effort: f64,
    step: f64,
    steps: usize,
) -> Result<PreviewGains, RiccatiError> {
    let (a, b) = discretize(&car.a, &car.b, step);
    let output = DVector::from_row_slice(&[1.0, 0.0, 0.0, 0.0]);
    let (gains, path) = lq_gains(&a, &b, &output, (1.0, effort), steps)?;
    Ok(PreviewGains {
        state: [gains[0], gains[1], gains[2], gains[3]],
        ahead: (1..=steps).map(|j| step * j as f64).collect(),
        path,
    })
}
