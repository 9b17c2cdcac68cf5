//! Adaptive time integration: the method of Dormand and Prince, order five with error control.
//!
//! The stages and the step-size control are those of the general-purpose crate `ode_solvers`
//! (Dormand and Prince, *A family of embedded Runge-Kutta formulae*, J. Comp. Appl. Math. 6, 1980;
//! Hairer, Norsett, Wanner, *Solving Ordinary Differential Equations I*, 2nd ed. 1993, II.4). A
//! step is accepted where the error estimate e satisfies
//!
//! ```text
//! sqrt(mean over i of (e_i/(absolute + relative max(|x_i|, |y_i|)))^2) <= 1
//! ```
//!
//! Every call integrates one stretch from its start to its end, so that nothing is interpolated and
//! no step crosses a jump or a kink that lies between two calls. Time counts from zero inside a
//! stretch: the solver compares its steps with the time, and would call them too small late in a
//! run.
//!
//! The solver raises powers by the platform's function: results of this module may differ in the
//! last bits between machines. The fixed step of [`stepping`](crate::stepping) does not.

use std::cell::Cell;

use ode_solvers::dopri5::Dopri5;
use ode_solvers::{OutputType, SVector, System};

/// Steps of one stretch of [`adaptive`], at most.
const MOST_STEPS: u32 = 1_000_000;
/// Number of steps between tests for stiffness: never, a stiff stretch is only slow.
const STIFFNESS_INTERVAL: u32 = 1_000_000_000;

/// Failure of an adaptive integration.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum AdaptiveError {
    /// A rate is not finite, however short the step.
    #[error(
        "the rate of component {component} is not finite in the stretch from t = {from} s, however short the step"
    )]
    NotFinite {
        /// Start of the stretch `[s]`.
        from: f64,
        /// First component whose rate or state is not finite.
        component: usize,
    },
    /// The tolerance asks for a shorter step than there is, or for more steps than are allowed.
    #[error(
        "the step became too small for the tolerance in the stretch from t = {from} s: the solution is singular there, or the tolerance too fine"
    )]
    StepTooSmall {
        /// Start of the stretch `[s]`.
        from: f64,
    },
}

/// The rate as `ode_solvers` asks for it, with the time counted from the start of the stretch.
struct Stretch<'a, F, const N: usize> {
    rate: &'a F,
    from: f64,
    not_finite: &'a Cell<Option<usize>>,
}

impl<F: Fn(f64, &[f64; N]) -> [f64; N], const N: usize> System<f64, SVector<f64, N>>
    for Stretch<'_, F, N>
{
    fn system(&self, t: f64, x: &SVector<f64, N>, dx: &mut SVector<f64, N>) {
        let rate = (self.rate)(self.from + t, &x.data.0[0]);
        if let Some(component) = rate.iter().position(|v| !v.is_finite()) {
            self.not_finite.set(Some(component));
        }
        dx.as_mut_slice().copy_from_slice(&rate);
    }
}

/// The state a `span` after the time `from`, from the state `x` there, within a relative and an
/// absolute tolerance and at most so many steps.
///
/// The rate must be smooth over the stretch.
///
/// # Errors
/// [`AdaptiveError`] where no step, however short, meets the tolerance.
///
/// ```
/// use axletree_numerics::adaptive::adaptive_step;
///
/// let fall = |_: f64, x: &[f64; 1]| [-x[0]];
/// let [x] = adaptive_step(&fall, 0.0, 1.0, &[1.0], (1e-10, 1e-10), 1000)?;
/// assert!((x * std::f64::consts::E - 1.0).abs() < 1e-9);
/// # Ok::<(), axletree_numerics::adaptive::AdaptiveError>(())
/// ```
pub fn adaptive_step<const N: usize>(
    rate: &impl Fn(f64, &[f64; N]) -> [f64; N],
    from: f64,
    span: f64,
    x: &[f64; N],
    (relative, absolute): (f64, f64),
    most_steps: u32,
) -> Result<[f64; N], AdaptiveError> {
    let not_finite = Cell::new(None);
    let system = Stretch {
        rate,
        from,
        not_finite: &not_finite,
    };
    let mut stepper = Dopri5::from_param(
        system,
        0.0,
        span,
        span,
        SVector::<f64, N>::from_column_slice(x),
        relative,
        absolute,
        // Safety factor, smoothing and bounds of the step-size control: the solver's defaults.
        0.9,
        0.04,
        0.2,
        10.0,
        span,
        0.0,
        most_steps,
        STIFFNESS_INTERVAL,
        OutputType::Sparse,
    );
    // A rate that is not finite in a trial only shortens the step; one that stays so ends the
    // stretch.
    if stepper.integrate().is_err() {
        return Err(match not_finite.get() {
            Some(component) => AdaptiveError::NotFinite { from, component },
            None => AdaptiveError::StepTooSmall { from },
        });
    }
    let mut state = *x;
    if let Some(last) = stepper.results().get().1.last() {
        state.copy_from_slice(last.as_slice());
    }
    match state.iter().position(|v| !v.is_finite()) {
        Some(component) => Err(AdaptiveError::NotFinite { from, component }),
        None => Ok(state),
    }
}

/// The states at `times` (rising, the first the initial one), each from the one before.
///
/// Put every jump or kink of the input among the times.
///
/// # Errors
/// [`AdaptiveError`] where no step, however short, meets the tolerance.
pub fn adaptive<const N: usize>(
    rate: &impl Fn(f64, &[f64; N]) -> [f64; N],
    times: &[f64],
    x: &[f64; N],
    tolerances: (f64, f64),
) -> Result<Vec<[f64; N]>, AdaptiveError> {
    let mut state = *x;
    let mut states = vec![state];
    for pair in times.windows(2) {
        let span = pair[1] - pair[0];
        state = adaptive_step(rate, pair[0], span, &state, tolerances, MOST_STEPS)?;
        states.push(state);
    }
    Ok(states)
}
