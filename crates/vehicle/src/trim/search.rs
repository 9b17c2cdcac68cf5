//! The approach to an equilibrium in steps from straight running.

use super::condition::{Condition, Trim, TrimError};
use super::equations::{Slowing, TRIM_SCALES, TRIM_UNKNOWNS, pack, unpack};
use super::newton::{GuessDistance, Newton, NewtonSolution, NewtonWork};
use crate::model::{Inputs, Model};

/// Largest step of acceleration of the approach `[m/s^2]`.
const APPROACH_STEP: f64 = 3.0;
/// The same for the first attempt, which gives up early `[m/s^2 at the reference friction]`.
const LONG_APPROACH_STEP: f64 = 5.0;
/// Steps tried past a kink, each twice the one before.
const KINK_ATTEMPTS: u32 = 5;
/// Largest distance of the equilibria on both sides of a kink, see [`TRIM_SCALES`] `[-]`.
const KINK_REACH: f64 = 0.3;
/// Least step of the approach, as a share of the prescribed acceleration `[-]`.
const LEAST_APPROACH_STEP: f64 = 1e-3;

/// Solves for an equilibrium near a given one, without the approach in steps; `None` where Newton's
/// method does not converge or the condition is out of range.
pub fn refine(model: &Model, from: &Trim, condition: Condition) -> Option<Trim> {
    condition.check().ok()?;
    let mut newton = Newton::new(model);
    let start = pack(&from.state, &from.inputs);
    let solution = newton.solve(&start, None, &condition, GuessDistance::Far)?;
    Some(trim(&solution.unknowns, condition))
}

/// Finds the equilibrium that continues from straight running at constant speed.
///
/// # Errors
/// [`TrimError::Condition`] where the condition is out of range; [`TrimError::NoEquilibrium`] where
/// the car cannot hold it.
///
/// ```
/// use axletree_vehicle::{bundled, trim::{Condition, TrimError, solve}};
///
/// let model = bundled("bramble-solid").unwrap()?.assemble()?;
/// let corner = solve(&model, Condition::cornering(20.0, 6.0))?;
/// assert!((corner.observe(&model).yaw_rate - 0.3).abs() < 1e-3);
/// let beyond = solve(&model, Condition::cornering(20.0, 20.0));
/// assert!(matches!(beyond, Err(TrimError::NoEquilibrium { .. })));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn solve(model: &Model, condition: Condition) -> Result<Trim, TrimError> {
    Equilibria::of(model).solve(condition)
}

fn trim(u: &[f64; TRIM_UNKNOWNS], condition: Condition) -> Trim {
    let (state, inputs) = unpack(u, condition.friction, Slowing::Driveline);
    Trim {
        condition,
        state,
        inputs,
    }
}

/// Equilibria of one car, one after another: each has the bits that [`solve`] gives, and straight
/// running at the same speed on the same surface is solved once.
pub struct Equilibria<'a> {
    newton: Newton<'a>,
    straight: Option<(Condition, NewtonSolution)>,
}

impl<'a> Equilibria<'a> {
    /// Equilibria of a car.
    pub fn of(model: &'a Model) -> Self {
        Equilibria {
            newton: Newton::new(model),
            straight: None,
        }
    }

    /// Work done so far.
    pub fn work(&self) -> NewtonWork {
        self.newton.work
    }

    /// As [`solve`].
    ///
    /// # Errors
    /// As [`solve`].
    pub fn solve(&mut self, condition: Condition) -> Result<Trim, TrimError> {
        condition.check()?;
        let failed = |reached: f64| TrimError::NoEquilibrium {
            speed: condition.speed,
            asked: condition.lateral_acceleration,
            reached: reached * condition.lateral_acceleration,
        };
        let straight = Condition {
            lateral_acceleration: 0.0,
            longitudinal_acceleration: 0.0,
            ..condition
        };
        if self
            .straight
            .as_ref()
            .is_none_or(|known| known.0 != straight)
        {
            let model = self.newton.model;
            let start = pack(&model.rolling_state(condition.speed), &Inputs::coasting());
            let solution = self
                .newton
                .solve(&start, None, &straight, GuessDistance::Far);
            self.straight = Some((straight, solution.ok_or_else(|| failed(0.0))?));
        }
        let Some((_, known)) = &self.straight else {
            return Err(failed(0.0));
        };
        if condition == straight {
            return Ok(trim(&known.unknowns, condition));
        }

        // Approach in shares of the prescribed accelerations.
        let (lateral, longitudinal) = (
            condition.lateral_acceleration,
            condition.longitudinal_acceleration,
        );
        let whole = lateral.abs().max(longitudinal.abs());
        let careful = 1.0 / (1.0 + (whole / APPROACH_STEP).floor());
        let grip = condition.friction.min(1.0);
        let mut step = 1.0 / (1.0 + (whole / (LONG_APPROACH_STEP * grip)).floor());
        let mut at = known.clone();
        let mut reached = 0.0;
        while reached < 1.0 {
            let share = f64::min(reached + step, 1.0);
            let now = Condition {
                lateral_acceleration: lateral * share,
                longitudinal_acceleration: longitudinal * share,
                ..condition
            };
            let reach = if step > careful {
                GuessDistance::Near
            } else {
                GuessDistance::Far
            };
            let solution = self
                .newton
                .solve(&at.unknowns, at.jacobian.as_ref(), &now, reach);
            if let Some(solution) = solution {
                at = solution;
                reached = share;
            } else {
                step = if step > careful { careful } else { 0.5 * step };
                if step < LEAST_APPROACH_STEP {
                    let Some((solution, share)) = self.past_kink(&at, reached, condition) else {
                        return Err(failed(reached));
                    };
                    (at, reached, step) = (solution, share, careful);
                }
            }
        }
        Ok(trim(&at.unknowns, condition))
    }

    /// The equilibrium a little farther than a share of a condition, past a kink of the equations,
    /// and its share; `None` where there is none nearby. An equilibrium farther away lies on another
    /// branch, such as that of a wheel that spins.
    fn past_kink(
        &mut self,
        at: &NewtonSolution,
        reached: f64,
        condition: Condition,
    ) -> Option<(NewtonSolution, f64)> {
        (0..KINK_ATTEMPTS).find_map(|doublings| {
            let step = LEAST_APPROACH_STEP * f64::from(1 << doublings);
            let share = f64::min(reached + step, 1.0);
            let there = Condition {
                lateral_acceleration: condition.lateral_acceleration * share,
                longitudinal_acceleration: condition.longitudinal_acceleration * share,
                ..condition
            };
            let beside = GuessDistance::BesideKink;
            let solution = self.newton.solve(&at.unknowns, None, &there, beside)?;
            (distance(&at.unknowns, &solution.unknowns) < KINK_REACH).then_some((solution, share))
        })
    }
}

/// Distance of two equilibria, in changes that matter to a cornering car `[-]`.
fn distance(from: &[f64; TRIM_UNKNOWNS], to: &[f64; TRIM_UNKNOWNS]) -> f64 {
    let changes = (0..TRIM_UNKNOWNS).map(|i| (to[i] - from[i]) / TRIM_SCALES[i]);
    changes.map(|change| change * change).sum::<f64>().sqrt()
}
