//! Newton's method for equilibria, with the chord method where it pays.
//!
//! A Jacobian costs as much as ten evaluations, so it is reused while the residual keeps falling
//! (the chord method): a Newton pass converges quadratically, a chord pass linearly, with about
//! twice the ratio of residuals of the last Newton pass.

use axletree_numerics::Lu;
use axletree_scalar::lone;

use super::condition::Condition;
use super::equations::{Slowing, TRIM_UNKNOWNS, residual, square};
use crate::model::{Linearizer, Model};

/// Norm of the residual at which an equilibrium is found.
const TOLERANCE: f64 = 1e-11;
/// Norm of the residual that is accepted where rounding keeps it from falling further.
const ROUNDING_TOLERANCE: f64 = 1e-8;
/// Most passes with a new Jacobian.
const MOST_PASSES: usize = 40;
/// The same where the equilibrium is near.
const MOST_NEAR_PASSES: usize = 5;
/// The same beside a kink.
const MOST_KINK_PASSES: usize = 12;
/// Most chord passes that are predicted to cost less than a new Jacobian.
const MOST_CHORD_PASSES: f64 = 6.0;
/// Share of a Newton step below which the line search ends.
const LEAST_STEP_SHARE: f64 = 1e-3;

/// Distance of the equilibrium from the guess.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum GuessDistance {
    /// Any: with a line search and many passes.
    Far,
    /// Near: by whole steps and few passes; gives up early.
    Near,
    /// Near, with a kink of the equations between: by whole steps whether the residual falls or not.
    ///
    /// Where plates of a differential begin to slip, a wheel lifts or a bump stop is met, the slopes
    /// jump. Newton's method still converges from nearby, with the slopes of either side in turn, but
    /// the residual may grow on the way, and a search along the step then ends on the kink.
    BesideKink,
}

/// Work of Newton's method.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct NewtonWork {
    /// Evaluations of the equations.
    pub evaluations: usize,
    /// Evaluations of the whole Jacobian.
    pub derivatives: usize,
    /// Solutions of the linear system.
    pub solutions: usize,
}

/// A solution.
#[derive(Clone, Debug)]
pub(super) struct NewtonSolution {
    pub unknowns: [f64; TRIM_UNKNOWNS],
    /// The last Jacobian, at a point nearby.
    pub jacobian: Option<Lu<TRIM_UNKNOWNS>>,
}

/// The method for one car.
pub(super) struct Newton<'a> {
    pub model: &'a Model,
    pub work: NewtonWork,
    linearizer: Linearizer,
}

impl<'a> Newton<'a> {
    pub fn new(model: &'a Model) -> Self {
        Newton {
            model,
            work: NewtonWork::default(),
            linearizer: Linearizer::of(&model.numbers),
        }
    }

    /// The residual and its norm.
    fn residual(
        &mut self,
        u: &[f64; TRIM_UNKNOWNS],
        condition: &Condition,
    ) -> ([f64; TRIM_UNKNOWNS], f64) {
        self.work.evaluations += 1;
        let r = residual(self.model, u, condition, Slowing::Driveline);
        let norm = r.iter().map(|x| x * x).sum::<f64>().sqrt();
        (r, norm)
    }

    /// Solves from a guess, with the Jacobian of a point nearby if there is one; `None` where the
    /// method does not converge.
    pub fn solve(
        &mut self,
        guess: &[f64; TRIM_UNKNOWNS],
        jacobian: Option<&Lu<TRIM_UNKNOWNS>>,
        condition: &Condition,
        reach: GuessDistance,
    ) -> Option<NewtonSolution> {
        let mut u = *guess;
        let (mut r, mut norm) = self.residual(&u, condition);
        let mut jacobian = jacobian.cloned();
        // The first chord pass goes along the tangent of the curve of equilibria.
        let mut chord = jacobian.is_some();
        let most = match reach {
            GuessDistance::Far => MOST_PASSES,
            GuessDistance::Near => MOST_NEAR_PASSES,
            GuessDistance::BesideKink => MOST_KINK_PASSES,
        };
        let mut passes = 0;
        while norm.is_finite() {
            if norm < TOLERANCE {
                return Some(NewtonSolution {
                    unknowns: u,
                    jacobian,
                });
            }
            if chord && let Some(known) = &jacobian {
                self.work.solutions += 1;
                let step = known.solve(&r);
                let trial = stepped(&u, &step, 1.0);
                let (trial_r, trial_norm) = self.residual(&trial, condition);
                chord = chord_pays(trial_norm, trial_norm / norm);
                if trial_norm < norm {
                    (u, r, norm) = (trial, trial_r, trial_norm);
                }
                continue;
            }
            if passes == most {
                break;
            }
            passes += 1;
            self.work.derivatives += 1;
            let square = square(
                self.model,
                &self.linearizer,
                &u,
                condition,
                Slowing::Driveline,
            );
            let new = Lu::new(square)?;
            self.work.solutions += 1;
            let step = new.solve(&r);
            jacobian = Some(new);
            // Halve the step until the residual falls.
            let mut share = 1.0;
            let mut whole = true;
            loop {
                let trial = stepped(&u, &step, share);
                let (trial_r, trial_norm) = self.residual(&trial, condition);
                let falls = trial_norm < (1.0 - 0.1 * share) * norm;
                if falls || reach == GuessDistance::BesideKink {
                    chord = whole && chord_pays(trial_norm, 2.0 * trial_norm / norm);
                    (u, r, norm) = (trial, trial_r, trial_norm);
                    break;
                }
                share *= 0.5;
                whole = false;
                // As close as rounding allows.
                if share < LEAST_STEP_SHARE || reach == GuessDistance::Near {
                    return (norm < ROUNDING_TOLERANCE).then_some(NewtonSolution {
                        unknowns: u,
                        jacobian,
                    });
                }
            }
        }
        (norm < ROUNDING_TOLERANCE).then_some(NewtonSolution {
            unknowns: u,
            jacobian,
        })
    }
}

fn stepped(
    u: &[f64; TRIM_UNKNOWNS],
    step: &[f64; TRIM_UNKNOWNS],
    share: f64,
) -> [f64; TRIM_UNKNOWNS] {
    std::array::from_fn(|i| u[i] - share * step[i])
}

/// Whether a residual that falls by the factor `ratio` a pass reaches the tolerance in few chord
/// passes.
fn chord_pays(norm: f64, ratio: f64) -> bool {
    ratio < 1.0 && lone::ln(TOLERANCE / norm) / lone::ln(ratio) < MOST_CHORD_PASSES
}
