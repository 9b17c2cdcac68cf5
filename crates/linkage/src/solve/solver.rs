//! Positions along the travel, followed from static.
//!
//! An exactly constrained linkage has as many constraints and drivers as unknowns: Newton's method
//! with the analytic rows converges to rounding in a few steps. An over-constrained linkage moves
//! only by deflection of its link ends: see the module `relaxed`.
//!
//! From a known position the next one is predicted with the rates and corrected. The step is halved
//! where the correction does not converge, or where the determinant of the rows changes sign or
//! almost vanishes (a branch point would have been passed). When no step is left, the linkage locks
//! or has reached a dead center, and the error names the links that oppose each other.

use axletree_scalar::elementary;

use crate::error::LinkageError;
use crate::mechanism::{Mechanism, MechanismState, PerUnknown};
use crate::range::check_travel;
use crate::solve::diagnose;
use crate::solve::newton::{exact_rates, newton, settle};
use crate::solve::position::{Position, gaps, largest, moved};
use crate::solve::relaxed;
use crate::travel::Travel;

/// Longest step of heave or rack `[m]`.
const MAX_STEP: f64 = 0.025;
/// Longest step of roll `[rad]`.
const MAX_ROLL_STEP: f64 = 0.05;
/// Halvings of a step before the travel counts as ended.
const MAX_HALVINGS: i32 = 16;
/// Largest change of a link's length in an over-constrained linkage `[m]`.
const MAX_STRETCH: f64 = 0.01;
/// Smallest determinant, as a share of its value at static.
const MIN_DETERMINANT_SHARE: f64 = 1e-3;

/// A mechanism with its static position, from which others are followed.
///
/// ```
/// use axletree_linkage::axle::{FourLink, Rod};
/// use axletree_linkage::{Carried, Material, Mechanism, Solver, Travel};
///
/// let end = Material::Rubber.bushing();
/// let parts = FourLink {
///     lower: Rod::new([0.55, 0.50, 0.26], [0.0, 0.50, 0.22], end),
///     upper: Rod::new([0.30, 0.35, 0.42], [0.0, 0.10, 0.46], end),
/// }
/// .parts();
/// let solver = Solver::new(Mechanism::new(parts, Carried::Axle, [0.0, 0.0, 0.31])?)?;
/// let position = solver.at(Travel::roll(0.05))?;
/// let angles = position.state.pose.angles();
/// assert!((angles.roll - 0.05).abs() < 1e-12 && angles.yaw > 0.003);
/// # Ok::<(), axletree_linkage::LinkageError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Solver {
    /// Equations.
    pub mechanism: Mechanism,
    /// Static position.
    pub start: Position,
    /// Determinant of the rows at static; zero for an over-constrained linkage.
    determinant: f64,
}

impl Solver {
    /// Assembles the linkage at static.
    ///
    /// # Errors
    /// [`LinkageError::FreedomLeft`] or [`LinkageError::CannotAssemble`].
    pub fn new(mechanism: Mechanism) -> Result<Self, LinkageError> {
        let m = &mechanism;
        let at = Travel::STATIC;
        let described = m.described();
        let not_assembled = || not_assembled(m, &described, at);
        diagnose::freedom_left(m, &described, at)?;
        if m.over_constrained() {
            let start = relaxed::position(m, &described, at).ok_or_else(not_assembled)?;
            return Ok(Solver {
                start,
                determinant: 0.0,
                mechanism,
            });
        }
        let state = settle(m, &described, at).ok_or_else(not_assembled)?;
        diagnose::freedom_left(m, &state, at)?;
        let (state, lu) = newton(m, &state, at).ok_or_else(not_assembled)?;
        let start = Position {
            state,
            travel: at,
            rates: exact_rates(m, &state, at, &lu),
            driver: [0.0; 2],
        };
        Ok(Solver {
            start,
            determinant: lu.determinant(),
            mechanism,
        })
    }

    /// Position at the travel `want`, reached from `from` along a straight path of travels.
    ///
    /// # Errors
    /// [`LinkageError::Range`] for a travel out of range; [`LinkageError::Locks`],
    /// [`LinkageError::Toggles`] or [`LinkageError::Strained`] for one out of reach.
    pub fn follow(&self, from: &Position, want: Travel) -> Result<Position, LinkageError> {
        check_travel(want)?;
        let m = &self.mechanism;
        let mut here = *from;
        let mut halvings = 0;
        loop {
            let (dh, dr, dk) = (
                want.heave - here.travel.heave,
                want.roll - here.travel.roll,
                want.rack - here.travel.rack,
            );
            let steps = (dh.abs() / MAX_STEP)
                .max(dr.abs() / MAX_ROLL_STEP)
                .max(dk.abs() / MAX_STEP)
                .max(1.0);
            let share = (1.0 / steps) * elementary::powi(0.5, halvings);
            let last = share >= 1.0;
            let next = if last {
                want
            } else {
                Travel {
                    heave: here.travel.heave + share * dh,
                    roll: here.travel.roll + share * dr,
                    rack: here.travel.rack + share * dk,
                }
            };
            let (h, r, k) = (share * dh, share * dr, share * dk);
            let rates = &here.rates;
            let d: PerUnknown<f64> =
                std::array::from_fn(|i| h * rates.heave[i] + r * rates.roll[i] + k * rates.rack[i]);
            let found = if largest(&d) < 0.3 {
                self.correct(&moved(m, &here.state, &d), next)
            } else {
                None
            };
            if let Some(position) = found {
                here = position;
                self.check_strain(&here)?;
                if last {
                    return Ok(here);
                }
                halvings = 0.max(halvings - 1);
            } else {
                halvings += 1;
                if halvings > MAX_HALVINGS {
                    return Err(diagnose::stopped(m, &here.state, here.travel, want));
                }
            }
        }
    }

    /// Position at the travel `want`, reached from static.
    ///
    /// # Errors
    /// As [`Solver::follow`].
    pub fn at(&self, want: Travel) -> Result<Position, LinkageError> {
        self.follow(&self.start, want)
    }

    /// The position at `want` near a guess; none if there is none on this branch.
    fn correct(&self, guess: &MechanismState<f64>, want: Travel) -> Option<Position> {
        let m = &self.mechanism;
        if m.over_constrained() {
            return relaxed::position(m, guess, want);
        }
        let (state, lu) = newton(m, guess, want)?;
        // On the branch of the static position the determinant keeps its sign.
        if lu.determinant() / self.determinant < MIN_DETERMINANT_SHARE {
            return None;
        }
        Some(Position {
            state,
            travel: want,
            rates: exact_rates(m, &state, want, &lu),
            driver: [0.0; 2],
        })
    }

    /// Refuses an over-constrained position that strains its links too much.
    fn check_strain(&self, position: &Position) -> Result<(), LinkageError> {
        if !self.mechanism.over_constrained() {
            return Ok(());
        }
        let gaps = self.gaps(position);
        let stretch = largest(&gaps);
        if stretch <= MAX_STRETCH {
            return Ok(());
        }
        Err(LinkageError::Strained {
            links: diagnose::with_share(&self.mechanism, &gaps),
            stretch,
            bound: MAX_STRETCH,
            travel: position.travel,
        })
    }

    /// Value of every constraint at a position: a link's change of length `[m]`.
    pub fn gaps(&self, position: &Position) -> Vec<f64> {
        gaps(&self.mechanism, &position.state, position.travel.rack)
    }
}

/// Error for a linkage that does not fit together, with the gaps of the position nearest to
/// fitting.
fn not_assembled(m: &Mechanism, described: &MechanismState<f64>, at: Travel) -> LinkageError {
    let state = relaxed::nearest(m, described, at);
    let gaps = gaps(m, &state, at.rack);
    LinkageError::CannotAssemble {
        links: diagnose::with_share(m, &gaps),
        gap: largest(&gaps),
    }
}
