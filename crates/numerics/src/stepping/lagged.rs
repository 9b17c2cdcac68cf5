//! The classical Runge-Kutta method of order four with exact pure lags, the fixed step of all
//! drives.
//!
//! A pure lag z follows its goal g within the time constant tau, `z' = (g(x, z) - z)/tau`. A
//! compliance modelled so is faster than all other motions of a car, and would limit the step of an
//! explicit method to 2.8 tau although its transient is of no interest. So the part `-z/tau` is
//! integrated exactly over every stage, the rest by the Runge-Kutta method (exponential time
//! differencing; Cox and Matthews, J. Comp. Phys. 176, 2002, with the stages of Krogstad,
//! *Generalized integrating factor methods for stiff PDEs*, J. Comp. Phys. 203, 2005; from memory).
//! With the step h, `l = -1/tau`, the stages 0, a, b, c with rates k1 to k4, and `phi_1(s) = (e^s -
//! 1)/s`, `phi_2 = (phi_1 - 1)/s`, `phi_3 = (phi_2 - 1/2)/s`, at `s = l h` unless given:
//!
//! ```text
//! a = x + h/2 phi_1(l h/2) k1
//! b = a + h phi_2(l h/2) (k2 - k1 + l (x - a))
//! c = x + h phi_1 k1 + 2 h phi_2 (k3 - k1 + l (x - b))
//! x + h F1 k1 + h F2 (k2 + k3 + l ((x - a) + (x - b))) + h F3 (k4 + l (x - c))
//! F1 = phi_1 - 3 phi_2 + 4 phi_3,   F2 = 2 phi_2 - 4 phi_3,   F3 = 4 phi_3 - phi_2
//! ```
//!
//! For `l = 0` that is the classical method (Hairer, Norsett, Wanner, *Solving Ordinary
//! Differential Equations I*, 2nd ed. 1993, table 1.2), which all other states get. The order is
//! four while `h/tau` is small. It falls to two where the lag is about a fifth of the step, and to
//! one for a much shorter lag: the first stage then has the goal of the step's start, half a step
//! old. The error stays small and bounded, a few parts in ten thousand per step of 10 ms for a
//! motion of 1 Hz.

use std::ops::Range;

use axletree_scalar::Real;

/// Weights of the stages for one step length and one time constant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weights<T> {
    /// Step h `[s]`.
    pub step: T,
    /// Half of the step `[s]`.
    pub half: T,
    /// A sixth of the step `[s]`.
    pub sixth: T,
    /// `l`, minus one over the time constant `[1/s]`.
    pub decay: T,
    /// `h/2 phi_1(l h/2)` and `h phi_2(l h/2)` `[s]`.
    pub middle: [T; 2],
    /// `h phi_1` and `2 h phi_2` `[s]`.
    pub whole: [T; 2],
    /// `h F1`, `h F2`, `h F3` `[s]`.
    pub last: [T; 3],
}

/// `phi_1, phi_2, phi_3` at `s <= 0`.
fn phi(s: f64) -> [f64; 3] {
    // The recursion cancels where s is small; there the series `sum of s^k/(k + j)!` is short.
    if s > -1.0 {
        let series = |j: i32| {
            let mut factorial = f64::from((1..=j).product::<i32>());
            let (mut sum, mut power) = (0.0, 1.0);
            for k in 0..18 {
                sum += power / factorial;
                power *= s;
                factorial *= f64::from(k + j + 1);
            }
            sum
        };
        return [series(1), series(2), series(3)];
    }
    let one = (Real::exp(s) - 1.0) / s;
    let two = (one - 1.0) / s;
    [one, two, (two - 0.5) / s]
}

impl Weights<f64> {
    /// The weights for a step and a time constant, both above zero `[s]`.
    pub fn new(step: f64, lag: f64) -> Self {
        let decay = -1.0 / lag;
        let [one, two, three] = phi(decay * step);
        let [one_half, two_half, _] = phi(0.5 * decay * step);
        Weights {
            step,
            half: 0.5 * step,
            sixth: step / 6.0,
            decay,
            middle: [0.5 * step * one_half, step * two_half],
            whole: [step * one, 2.0 * step * two],
            last: [
                step * (one - 3.0 * two + 4.0 * three),
                step * (2.0 * two - 4.0 * three),
                step * (4.0 * three - two),
            ],
        }
    }
}

/// First stage of one state, in the middle of the step; `lag` says whether it is a pure lag.
#[inline(always)]
pub fn stage_a<T: Real>(lag: bool, w: &Weights<T>, x: T, k1: T) -> T {
    let weight = if lag { w.middle[0] } else { w.half };
    x + weight * k1
}

/// Second stage of one state, in the middle of the step.
#[inline(always)]
pub fn stage_b<T: Real>(lag: bool, w: &Weights<T>, x: T, a: T, [k1, k2]: [T; 2]) -> T {
    if lag {
        a + w.middle[1] * (k2 - k1 + w.decay * (x - a))
    } else {
        x + w.half * k2
    }
}

/// Third stage of one state, at the end of the step.
#[inline(always)]
pub fn stage_c<T: Real>(lag: bool, w: &Weights<T>, x: T, b: T, [k1, k3]: [T; 2]) -> T {
    x + if lag {
        w.whole[0] * k1 + w.whole[1] * (k3 - k1 + w.decay * (x - b))
    } else {
        w.step * k3
    }
}

/// One state after the step.
#[inline(always)]
pub fn stage_end<T: Real>(
    lag: bool,
    w: &Weights<T>,
    x: T,
    [a, b, c]: [T; 3],
    [k1, k2, k3, k4]: [T; 4],
) -> T {
    x + if lag {
        let pull = w.decay * ((x - a) + (x - b));
        w.last[0] * k1 + w.last[1] * (k2 + k3 + pull) + w.last[2] * (k4 + w.decay * (x - c))
    } else {
        w.sixth * (k1 + k4 + (k2 + k3).scale(2.0))
    }
}

/// One stage of every state.
#[inline(always)]
fn each<T: Real, const N: usize>(
    lags: &Range<usize>,
    mut stage: impl FnMut(usize, bool) -> T,
) -> [T; N] {
    let mut y = [T::zero(); N];
    for i in 0..N {
        y[i] = stage(i, lags.contains(&i));
    }
    y
}

/// One step from `x` with the rate `k1` there; `rate` gives the rate from the number of half steps
/// since the start and the state.
///
/// ```
/// use axletree_numerics::stepping::{Weights, lagged_step};
///
/// // A pure lag with a constant goal of 3 is exact, however long the step.
/// let (step, lag) = (1.0, 0.01);
/// let rate = |x: &[f64; 1]| [(3.0 - x[0]) / lag];
/// let weights = Weights::new(step, lag);
/// let [z] = lagged_step(&mut |_, x| rate(x), &(0..1), &weights, &[1.0], &rate(&[1.0]));
/// assert!((z - 3.0).abs() < 1e-12);
/// ```
#[inline(always)]
pub fn lagged_step<T: Real, const N: usize>(
    rate: &mut impl FnMut(usize, &[T; N]) -> [T; N],
    lags: &Range<usize>,
    w: &Weights<T>,
    x: &[T; N],
    k1: &[T; N],
) -> [T; N] {
    let a = each(lags, |i, lag| stage_a(lag, w, x[i], k1[i]));
    let k2 = rate(1, &a);
    let b = each(lags, |i, lag| stage_b(lag, w, x[i], a[i], [k1[i], k2[i]]));
    let k3 = rate(1, &b);
    let c = each(lags, |i, lag| stage_c(lag, w, x[i], b[i], [k1[i], k3[i]]));
    let k4 = rate(2, &c);
    each(lags, |i, lag| {
        let rates = [k1[i], k2[i], k3[i], k4[i]];
        stage_end(lag, w, x[i], [a[i], b[i], c[i]], rates)
    })
}

#[cfg(test)]
#[expect(
    clippy::disallowed_methods,
    reason = "the platform's functions are what is compared with"
)]
mod tests {
    use super::*;

    /// A pendulum with a force that follows the angle and itself through a lag: nonlinear, lag and
    /// motion coupled both ways.
    fn swing(lag: f64, x: &[f64; 3]) -> [f64; 3] {
        let goal = -x[0].sin() - 0.02 * x[1] + 0.1 * x[2];
        let turn = -30.0 * x[0].sin() - 0.5 * x[1] + 3.0 * x[2];
        [x[1], turn, (goal - x[2]) / lag]
    }

    fn after(lag: f64, steps: usize, exact: bool) -> [f64; 3] {
        let h = 1.0 / steps as f64;
        let w = Weights::new(h, lag);
        let lags = if exact { 2..3 } else { 0..0 };
        // The force stands at its goal for the angle.
        let mut x = [1.0, 0.0, -1f64.sin() / 0.9];
        for _ in 0..steps {
            let k1 = swing(lag, &x);
            x = lagged_step(&mut |_, x| swing(lag, x), &lags, &w, &x, &k1);
        }
        x
    }

    /// Order four where the step resolves the lag. With a lag a fifth of the step the error is a
    /// tenth of a part in a thousand and falls with the second order; with a lag of a fiftieth it
    /// is no larger and falls with the first; the classical method has then left the numbers.
    #[test]
    #[expect(clippy::float_cmp, reason = "the same bits are meant")]
    fn val_lags_are_exact_and_the_order_is_kept() {
        let truth = after(0.05, 20_000, false);
        let error = |steps| (after(0.05, steps, true)[0] - truth[0]).abs();
        let order = (error(100) / error(200)).log2();
        assert!((3.7..4.6).contains(&order), "order {order}");
        assert!((after(0.05, 20_000, true)[0] - truth[0]).abs() < 1e-12);

        for (lag, fine, least) in [(1e-3, 20_000, 3.0), (1e-4, 100_000, 2.0)] {
            let truth = after(lag, fine, false);
            let stiff = |steps| (after(lag, steps, true)[0] - truth[0]).abs();
            assert!(stiff(200) < 1e-4, "{lag}: {}", stiff(200));
            assert!(
                stiff(100) / stiff(200) > least,
                "{lag}: {} {}",
                stiff(100),
                stiff(200)
            );
            assert!((after(lag, 200, false)[0] - truth[0]).abs().min(1.0) == 1.0);
        }
    }

    /// A lag with a constant goal is exact at every length of step.
    #[test]
    fn val_a_constant_goal_is_met_exactly() {
        for ratio in [1e-4, 0.03, 0.9999, 1.0001, 7.0, 300.0] {
            let lag = 0.01;
            let w = Weights::new(ratio * lag, lag);
            let rate = |x: &[f64; 1]| [(3.0 - x[0]) / lag];
            let got = lagged_step(&mut |_, x| rate(x), &(0..1), &w, &[1.0], &rate(&[1.0]));
            let want = 3.0 - 2.0 * (-ratio).exp();
            assert!(
                (got[0] - want).abs() < 1e-14 * (1.0 + ratio),
                "{ratio}: {} {want}",
                got[0]
            );
        }
    }

    /// Without lags it is the classical method, to the last digits of its weights.
    #[test]
    fn val_no_lag_is_the_classical_method() {
        let x = [0.3, -0.2, 0.9];
        let k1 = swing(0.05, &x);
        let slow = Weights::new(0.02, 1e9);
        let as_lag = lagged_step(&mut |_, x| swing(0.05, x), &(0..3), &slow, &x, &k1);
        let plain =
            axletree_test_support::rk4::rk4_step(&mut |_, x| swing(0.05, x), 0.0, &x, &k1, 0.02);
        for i in 0..3 {
            assert!((as_lag[i] - plain[i]).abs() < 1e-9, "{i}");
        }
    }
}
