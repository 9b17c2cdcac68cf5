//! The fifth-order method of Dormand and Prince with error control and dense output.
//!
//! Source: Dormand and Prince, J. Comp. Appl. Math. 6, 1980, pp. 19-26; step control and the
//! fourth-order interpolant after Hairer, Norsett, Wanner, *Solving Ordinary Differential Equations
//! I*, 2nd ed. 1993, sections II.4 to II.6.

use axletree_scalar::elementary;
use std::ops::ControlFlow;

use axletree_scalar::Real;

/// Nodes.
const C: [f64; 7] = [0.0, 0.2, 0.3, 0.8, 8.0 / 9.0, 1.0, 1.0];
/// Stage weights; the last row is the fifth-order solution.
const A: [[f64; 6]; 7] = [
    [0.0; 6],
    [0.2, 0.0, 0.0, 0.0, 0.0, 0.0],
    [3.0 / 40.0, 9.0 / 40.0, 0.0, 0.0, 0.0, 0.0],
    [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0, 0.0, 0.0, 0.0],
    [
        19372.0 / 6561.0,
        -25360.0 / 2187.0,
        64448.0 / 6561.0,
        -212.0 / 729.0,
        0.0,
        0.0,
    ],
    [
        9017.0 / 3168.0,
        -355.0 / 33.0,
        46732.0 / 5247.0,
        49.0 / 176.0,
        -5103.0 / 18656.0,
        0.0,
    ],
    [
        35.0 / 384.0,
        0.0,
        500.0 / 1113.0,
        125.0 / 192.0,
        -2187.0 / 6784.0,
        11.0 / 84.0,
    ],
];
/// Difference of the fifth- and the fourth-order weights.
const E: [f64; 7] = [
    71.0 / 57600.0,
    0.0,
    -71.0 / 16695.0,
    71.0 / 1920.0,
    -17253.0 / 339200.0,
    22.0 / 525.0,
    -1.0 / 40.0,
];
/// Weights of the last term of the interpolant.
const D: [f64; 7] = [
    -12715105075.0 / 11282082432.0,
    0.0,
    87487479700.0 / 32700410799.0,
    -10690763975.0 / 1880347072.0,
    701980252875.0 / 199316789632.0,
    -1453857185.0 / 822651844.0,
    69997945.0 / 29380423.0,
];

/// The seven stage rates and the fifth-order state after a step of length `h` from `x` at `t`, given
/// the rate `k1` there. The seventh stage is the rate at the new state.
#[inline(always)]
pub fn dopri5_stages<T: Real, const N: usize>(
    rate: &mut impl FnMut(T, &[T; N]) -> [T; N],
    t: T,
    x: &[T; N],
    k1: &[T; N],
    h: T,
) -> ([[T; N]; 7], [T; N]) {
    let mut k = [[T::zero(); N]; 7];
    k[0] = *k1;
    let mut y = *x;
    for stage in 1..7 {
        y = *x;
        for (j, kj) in k.iter().enumerate().take(stage) {
            let weight = A[stage][j];
            if weight != 0.0 {
                let hw = h.scale(weight);
                for i in 0..N {
                    y[i] += hw * kj[i];
                }
            }
        }
        k[stage] = rate(t + h.scale(C[stage]), &y);
    }
    (k, y)
}

/// Why an adaptive integration could not reach its end.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum SteppingError {
    /// The step shrank to the rounding of the time: a singularity, or rates that are not finite.
    #[error(
        "the step at t = {time} s shrank to {step} s: the solution is singular or not finite there"
    )]
    StepTooSmall {
        /// Where [s].
        time: f64,
        /// The step that was refused [s].
        step: f64,
    },
    /// The allowed number of steps is used up.
    #[error("{steps} steps did not reach the end; stopped at t = {time} s")]
    TooManySteps {
        /// Where [s].
        time: f64,
        /// The number allowed.
        steps: usize,
    },
}

/// Tolerances and bounds of the adaptive method.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dopri5 {
    /// Error of each step allowed relative to the size of each state [-].
    pub relative: f64,
    /// Error of each step allowed besides [unit of the state].
    pub absolute: f64,
    /// Longest step [s].
    pub longest: f64,
    /// Most steps, refused ones included.
    pub most_steps: usize,
}

impl Default for Dopri5 {
    fn default() -> Self {
        Dopri5 {
            relative: 1e-10,
            absolute: 1e-10,
            longest: f64::INFINITY,
            most_steps: 1_000_000,
        }
    }
}

/// One accepted step with its interpolant.
#[derive(Clone, Copy, Debug)]
pub struct Step<const N: usize> {
    /// Time at its start [s].
    pub start: f64,
    /// Time at its end [s].
    pub end: f64,
    /// State at its start.
    pub from: [f64; N],
    /// State at its end.
    pub to: [f64; N],
    /// Rate at its start.
    pub rate_from: [f64; N],
    /// Rate at its end.
    pub rate_to: [f64; N],
    fourth: [f64; N],
}

impl<const N: usize> Step<N> {
    /// The state at a time inside the step, to fourth order.
    pub fn at(&self, t: f64) -> [f64; N] {
        let h = self.end - self.start;
        let s = (t - self.start) / h;
        let mut x = self.from;
        for (i, value) in x.iter_mut().enumerate() {
            let rise = self.to[i] - self.from[i];
            let bulge = h * self.rate_from[i] - rise;
            let skew = rise - h * self.rate_to[i] - bulge;
            *value += s * (rise + (1.0 - s) * (bulge + s * (skew + (1.0 - s) * self.fourth[i])));
        }
        x
    }
}

/// How an adaptive integration went.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arrival<const N: usize> {
    /// The last time [s].
    pub time: f64,
    /// The state there.
    pub state: [f64; N],
    /// Accepted steps.
    pub accepted: usize,
    /// Refused steps.
    pub refused: usize,
    /// Evaluations of the rate.
    pub evaluations: usize,
    /// Whether the caller broke off.
    pub broken_off: bool,
}

impl Dopri5 {
    /// Integrates from `start` to the later `end`; `each` sees every accepted step and may break off.
    pub fn integrate<const N: usize>(
        &self,
        rate: &mut impl FnMut(f64, &[f64; N]) -> [f64; N],
        (start, end): (f64, f64),
        x: &[f64; N],
        each: &mut impl FnMut(&Step<N>) -> ControlFlow<()>,
    ) -> Result<Arrival<N>, SteppingError> {
        let mut at = Arrival {
            time: start,
            state: *x,
            accepted: 0,
            refused: 0,
            evaluations: 2,
            broken_off: false,
        };
        if end <= start {
            return Ok(at);
        }
        let mut k1 = rate(start, x);
        let mut h = self
            .first_step(rate, start, x, &k1, end - start)
            .min(self.longest);
        // Error of the last accepted step, for the proportional-integral control.
        let mut last_error: f64 = 1e-4;
        let mut after_refusal = false;
        while at.time < end {
            if at.accepted + at.refused >= self.most_steps {
                return Err(SteppingError::TooManySteps {
                    time: at.time,
                    steps: self.most_steps,
                });
            }
            // The last step ends on the end, and the one before it does not leave a sliver.
            let left = end - at.time;
            let last = h >= left * (1.0 - 1e-12);
            let step = if last {
                left
            } else if h > 0.5 * left {
                0.5 * left
            } else {
                h
            };
            let smallest = 16.0 * f64::EPSILON * at.time.abs().max(end.abs());
            // Written so that NaN ends here too.
            if !last && (step.is_nan() || step <= smallest) {
                return Err(SteppingError::StepTooSmall {
                    time: at.time,
                    step,
                });
            }
            let (k, y) = dopri5_stages(rate, at.time, &at.state, &k1, step);
            at.evaluations += 6;
            let error = self.error(&at.state, &y, &k, step);
            if error <= 1.0 {
                let mut fourth = [0.0; N];
                for (i, value) in fourth.iter_mut().enumerate() {
                    *value = step * D.iter().zip(&k).map(|(d, k)| d * k[i]).sum::<f64>();
                }
                let done = Step {
                    start: at.time,
                    end: if last { end } else { at.time + step },
                    from: at.state,
                    to: y,
                    rate_from: k1,
                    rate_to: k[6],
                    fourth,
                };
                at.time = done.end;
                at.state = y;
                at.accepted += 1;
                k1 = k[6];
                if each(&done).is_break() {
                    at.broken_off = true;
                    return Ok(at);
                }
                let grow = 0.9
                    * elementary::pow(error.max(1e-10), -0.17)
                    * elementary::pow(last_error, 0.04);
                let most = if after_refusal { 1.0 } else { 10.0 };
                h = (step * grow.clamp(0.2, most)).min(self.longest);
                last_error = error.max(1e-4);
                after_refusal = false;
            } else {
                // Also where the error is not finite.
                let shrink = if error.is_finite() {
                    (0.9 * elementary::pow(error, -0.2)).clamp(0.1, 0.9)
                } else {
                    0.1
                };
                h = step * shrink;
                at.refused += 1;
                after_refusal = true;
                if h <= smallest {
                    return Err(SteppingError::StepTooSmall {
                        time: at.time,
                        step: h,
                    });
                }
            }
        }
        Ok(at)
    }

    /// Root mean square of the errors over what is allowed.
    fn error<const N: usize>(&self, x: &[f64; N], y: &[f64; N], k: &[[f64; N]; 7], h: f64) -> f64 {
        let mut sum = 0.0;
        for i in 0..N {
            let allowed = self.absolute + self.relative * x[i].abs().max(y[i].abs());
            let error = h * E.iter().zip(k).map(|(e, k)| e * k[i]).sum::<f64>();
            sum += Real::sq(error / allowed);
        }
        let error = (sum / N as f64).sqrt();
        if y.iter().all(|v| v.is_finite()) {
            error
        } else {
            f64::NAN
        }
    }

    /// A first step from the sizes of the state, its rate and its second derivative (Hairer and
    /// others 1993, section II.4).
    fn first_step<const N: usize>(
        &self,
        rate: &mut impl FnMut(f64, &[f64; N]) -> [f64; N],
        t: f64,
        x: &[f64; N],
        k1: &[f64; N],
        span: f64,
    ) -> f64 {
        let norm = |v: &[f64; N]| {
            let mut sum = 0.0;
            for i in 0..N {
                sum += Real::sq(v[i] / (self.absolute + self.relative * x[i].abs()));
            }
            (sum / N as f64).sqrt()
        };
        let (size, speed) = (norm(x), norm(k1));
        let mut h = if size < 1e-5 || speed < 1e-5 {
            1e-6
        } else {
            0.01 * size / speed
        };
        h = h.min(span);
        let mut y = *x;
        for i in 0..N {
            y[i] += h * k1[i];
        }
        let mut bend = rate(t + h, &y);
        for i in 0..N {
            bend[i] -= k1[i];
        }
        let bend = norm(&bend) / h;
        let largest = speed.max(bend);
        let fine = if largest <= 1e-15 {
            (1e-3 * h).max(1e-6)
        } else {
            elementary::pow(0.01 / largest, 0.2)
        };
        (100.0 * h).min(fine).min(span)
    }
}

/// A sign change inside a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event<const N: usize> {
    /// When [s].
    pub time: f64,
    /// The interpolated state then.
    pub state: [f64; N],
    /// Whether the function rises through zero.
    pub rising: bool,
}

/// Where `g(t, x)` changes sign between the two ends of a step; none if it has the same sign at both.
///
/// Solved on the step's interpolant by the Illinois form of the false-position method, to the
/// rounding of the time. Two changes inside one step cancel and are not seen: bound the step.
pub fn locate<const N: usize>(
    step: &Step<N>,
    g: &impl Fn(f64, &[f64; N]) -> f64,
) -> Option<Event<N>> {
    let before = g(step.start, &step.from);
    let after = g(step.end, &step.to);
    // A zero at the start belonged to the step before.
    if !(before * after < 0.0 || (after == 0.0 && before != 0.0)) {
        return None;
    }
    let time =
        axletree_numerics::root::zero_between((step.start, before), (step.end, after), &|t| {
            g(t, &step.at(t))
        });
    Some(Event {
        time,
        state: step.at(time),
        rising: after > before,
    })
}
