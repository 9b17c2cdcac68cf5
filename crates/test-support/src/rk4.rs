//! The classical Runge-Kutta method of order four.
//!
//! Source: Kutta 1901; Hairer, Norsett, Wanner, *Solving Ordinary Differential Equations I*, 2nd
//! ed. 1993, section II.1, table 1.2. Four evaluations a step, stable for `|h lambda|` up to 2.78
//! on the negative real axis.

use std::ops::ControlFlow;

use axletree_scalar::Real;

/// One step of length `h` from the state `x` at time `t`, given the rate `k1` there.
///
/// The rate at the start is an argument, because whoever records accelerations has it already.
#[inline(always)]
pub fn rk4_step<T: Real, const N: usize>(
    rate: &mut impl FnMut(T, &[T; N]) -> [T; N],
    t: T,
    x: &[T; N],
    k1: &[T; N],
    h: T,
) -> [T; N] {
    let half = h.scale(0.5);
    let k2 = rate(t + half, &moved(x, half, k1));
    let k3 = rate(t + half, &moved(x, half, &k2));
    let k4 = rate(t + h, &moved(x, h, &k3));
    let sixth = h.scale(1.0 / 6.0);
    let mut next = *x;
    for i in 0..N {
        next[i] += sixth * (k1[i] + k4[i] + (k2[i] + k3[i]).scale(2.0));
    }
    next
}

/// `x + h k`.
#[inline(always)]
fn moved<T: Real, const N: usize>(x: &[T; N], h: T, k: &[T; N]) -> [T; N] {
    let mut y = *x;
    for i in 0..N {
        y[i] += h * k[i];
    }
    y
}

/// `steps` steps of equal length from `start` to `end`; `each` sees the number of steps taken, the
/// time, the state and the rate before every step and once at the end, and may break off.
///
/// Returns the last time and state. Times are computed from the step number, so that the end is met
/// exactly.
pub fn rk4_run<const N: usize>(
    rate: &mut impl FnMut(f64, &[f64; N]) -> [f64; N],
    (start, end): (f64, f64),
    x: &[f64; N],
    steps: usize,
    each: &mut impl FnMut(usize, f64, &[f64; N], &[f64; N]) -> ControlFlow<()>,
) -> (f64, [f64; N], ControlFlow<()>) {
    let h = (end - start) / steps as f64;
    let mut x = *x;
    for i in 0..=steps {
        let t = if i == steps {
            end
        } else {
            start + h * i as f64
        };
        let k1 = rate(t, &x);
        if each(i, t, &x, &k1).is_break() {
            return (t, x, ControlFlow::Break(()));
        }
        if i < steps {
            x = rk4_step(rate, t, &x, &k1, h);
        }
    }
    (end, x, ControlFlow::Continue(()))
}
