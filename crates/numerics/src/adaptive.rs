//! Adaptive time integration, the reference for the fixed step.
//!
//! The method of Dormand and Prince (order five with error control) of the general-purpose crate
//! `ode_solvers`, used where that is sound: accepted steps as output, time counted from zero, one call for
//! each stretch between two wanted times, so that nothing is interpolated. The crate reports rates that are
//! not finite as a step that became too small; here they are an error of their own.

use std::cell::Cell;

use ode_solvers::dopri5::Dopri5 as Independent;
use ode_solvers::{OutputType, SVector, System};

/// An adaptive integration that could not go on.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error(
    "the integration stopped in the stretch from t = {from} s: the solution is singular or not finite there"
)]
pub struct AdaptiveError {
    /// Start of the stretch `[s]`.
    pub from: f64,
}

struct Shifted<'a, F, const N: usize> {
    rate: &'a F,
    start: f64,
    finite: &'a Cell<bool>,
}

impl<F: Fn(f64, &[f64; N]) -> [f64; N], const N: usize> System<f64, SVector<f64, N>>
    for Shifted<'_, F, N>
{
    fn system(&self, t: f64, x: &SVector<f64, N>, dx: &mut SVector<f64, N>) {
        let rate = (self.rate)(self.start + t, &x.data.0[0]);
        if rate.iter().any(|v| !v.is_finite()) {
            self.finite.set(false);
        }
        dx.as_mut_slice().copy_from_slice(&rate);
    }
}

/// The states at `times` (rising, the first the initial one), each from the one before by `ode_solvers`'
/// method of Dormand and Prince with the given tolerances.
///
/// Put every jump or kink of the input among the times.
pub fn adaptive<const N: usize>(
    rate: &impl Fn(f64, &[f64; N]) -> [f64; N],
    times: &[f64],
    x: &[f64; N],
    (relative, absolute): (f64, f64),
) -> Result<Vec<[f64; N]>, AdaptiveError> {
    let mut states = Vec::with_capacity(times.len());
    states.push(*x);
    let finite = Cell::new(true);
    for pair in times.windows(2) {
        let (start, span) = (pair[0], pair[1] - pair[0]);
        let from = SVector::<f64, N>::from_column_slice(&states[states.len() - 1]);
        let system = Shifted {
            rate,
            start,
            finite: &finite,
        };
        let mut stepper = Independent::from_param(
            system,
            0.0,
            span,
            span,
            from,
            relative,
            absolute,
            0.9,
            0.04,
            0.2,
            10.0,
            span,
            0.0,
            1_000_000,
            1_000_000_000,
            OutputType::Sparse,
        );
        let failed = stepper.integrate().is_err();
        let last = stepper.results().get().1.last();
        match last {
            Some(y) if !failed && finite.get() && y.iter().all(|v| v.is_finite()) => {
                let mut state = [0.0; N];
                state.copy_from_slice(y.as_slice());
                states.push(state);
            }
            _ => {
                return Err(AdaptiveError { from: start });
            }
        }
    }
    Ok(states)
}
