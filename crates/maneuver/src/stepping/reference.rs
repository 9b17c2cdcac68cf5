//! An independent adaptive integrator as the oracle for the library's own stepping.
//!
//! It drives the general-purpose crate `ode_solvers` (version 0.6) only where that is sound: accepted
//! steps as output, time counted from zero, one call for each stretch between two wanted times, so
//! that nothing is interpolated. Rates that are not finite, which the crate reports as a step that
//! became too small, are reported as such.

use std::cell::Cell;

use ode_solvers::dopri5::Dopri5 as Independent;
use ode_solvers::{OutputType, SVector, System};

use super::dopri5::SteppingError;

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
pub fn reference<const N: usize>(
    rate: &impl Fn(f64, &[f64; N]) -> [f64; N],
    times: &[f64],
    x: &[f64; N],
    (relative, absolute): (f64, f64),
) -> Result<Vec<[f64; N]>, SteppingError> {
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
                return Err(SteppingError::StepTooSmall {
                    time: start,
                    step: 0.0,
                });
            }
        }
    }
    Ok(states)
}
