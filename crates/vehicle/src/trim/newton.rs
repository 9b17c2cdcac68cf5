//! Newton's method for equilibria.
//!
//! Derivatives cost as much as ten evaluations, so they are used again as long as every pass leaves only a
//! small share of the defect (the chord method): Newton's passes leave the square of what was left, and
//! passes with derivatives from a point nearby about twice the share that the last of Newton's left.

use super::Condition;
use super::equations::{Slowing, UNKNOWNS, defect, square};
use crate::lu::Lu;
use crate::model::{Lifted, Model};
use axletree_scalar::elementary;

/// Defect at which an equilibrium is found.
const TOLERANCE: f64 = 1e-11;
/// Defect that is accepted where rounding does not let it fall further.
const LOOSE: f64 = 1e-8;
/// Passes with new derivatives.
const MOST_PASSES: usize = 40;
/// The same where the equilibrium should be near.
const FEW_PASSES: usize = 5;
/// Passes that derivatives are used again for where that many are enough: they cost as much as new ones.
const MOST_AGAIN: f64 = 6.0;

/// How an equilibrium may be approached.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Care {
    /// In any way.
    Any,
    /// Straight: by whole passes and few of them, as from nearby.
    Near,
}

/// Work done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Work {
    /// Evaluations of the equations.
    pub evaluations: usize,
    /// Evaluations of all their derivatives.
    pub derivatives: usize,
    /// Solutions of the linear system.
    pub solutions: usize,
}

/// An equilibrium.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub unknowns: [f64; UNKNOWNS],
    /// The last derivatives, of a point nearby.
    pub slopes: Option<Lu<UNKNOWNS>>,
}

/// The method for one car.
pub(super) struct Newton<'a> {
    pub model: &'a Model,
    pub work: Work,
    lifted: Lifted,
}

impl<'a> Newton<'a> {
    pub fn new(model: &'a Model) -> Self {
        Newton {
            model,
            work: Work::default(),
            lifted: Lifted::of(&model.numbers),
        }
    }

    fn defect(&mut self, u: &[f64; UNKNOWNS], condition: &Condition) -> ([f64; UNKNOWNS], f64) {
        self.work.evaluations += 1;
        let r = defect(self.model, u, condition);
        let size = r.iter().map(|x| x * x).sum::<f64>().sqrt();
        (r, size)
    }

    /// From a guess, with derivatives of a point nearby if there are; `None` where it does not converge.
    pub fn solve(
        &mut self,
        guess: &[f64; UNKNOWNS],
        slopes: Option<&Lu<UNKNOWNS>>,
        condition: &Condition,
        care: Care,
    ) -> Option<Found> {
        let mut u = *guess;
        let (mut r, mut size) = self.defect(&u, condition);
        let mut slopes = slopes.cloned();
        // Along the tangent of the curve of equilibria, where its derivatives are known.
        let mut again = slopes.is_some();
        let most = match care {
            Care::Any => MOST_PASSES,
            Care::Near => FEW_PASSES,
        };
        let mut passes = 0;
        while size.is_finite() {
            if size < TOLERANCE {
                return Some(Found {
                    unknowns: u,
                    slopes,
                });
            }
            if again && let Some(known) = &slopes {
                self.work.solutions += 1;
                let step = known.solve(&r);
                let trial = moved(&u, &step, 1.0);
                let (trial_r, trial_size) = self.defect(&trial, condition);
                again = worth(trial_size, trial_size / size);
                if trial_size < size {
                    (u, r, size) = (trial, trial_r, trial_size);
                }
                continue;
            }
            if passes == most {
                break;
            }
            passes += 1;
            self.work.derivatives += 1;
            let square = square(self.model, &self.lifted, &u, condition, Slowing::Driveline);
            let new = Lu::new(square)?;
            self.work.solutions += 1;
            let step = new.solve(&r);
            slopes = Some(new);
            // Halve the step until the defect falls.
            let mut share = 1.0;
            loop {
                let trial = moved(&u, &step, share);
                let (trial_r, trial_size) = self.defect(&trial, condition);
                if trial_size < (1.0 - 0.1 * share) * size {
                    again = share == 1.0 && worth(trial_size, 2.0 * trial_size / size);
                    (u, r, size) = (trial, trial_r, trial_size);
                    break;
                }
                share *= 0.5;
                // As close as rounding allows.
                if share < 1e-3 || care == Care::Near {
                    return (size < LOOSE).then_some(Found {
                        unknowns: u,
                        slopes,
                    });
                }
            }
        }
        (size < LOOSE).then_some(Found {
            unknowns: u,
            slopes,
        })
    }
}

fn moved(u: &[f64; UNKNOWNS], step: &[f64; UNKNOWNS], share: f64) -> [f64; UNKNOWNS] {
    std::array::from_fn(|i| u[i] - share * step[i])
}

/// Whether a defect that falls to `share` of itself a pass gets small enough soon.
fn worth(size: f64, share: f64) -> bool {
    share < 1.0 && elementary::ln(TOLERANCE / size) / elementary::ln(share) < MOST_AGAIN
}
