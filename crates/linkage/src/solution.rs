//! From hardpoints to everything at once: curves, figures, compliance, binding.

use crate::axle_curves::AxleCurves;
use crate::binding::{Binding, Stored};
use crate::compliance::{EndCompliance, Subframe};
use crate::curves::{AxleLinkage, AxleRange, CornerCurves, CornerLinkage, CornerRange};
use crate::error::{LinkageError, Travel};
use crate::fit::FitBound;
use crate::potential_fit::FittedPotential;
use crate::report::{AxleReport, CornerReport, Longitudinal};
use crate::solve::Solver;

/// A solved axle.
#[derive(Clone, Debug)]
pub struct AxleSolution {
    /// The equations, for exact positions.
    pub solver: Solver,
    /// Polynomial curves.
    pub curves: AxleCurves,
    /// Figures for people.
    pub report: AxleReport,
    /// How it yields.
    pub compliance: EndCompliance,
    /// What binds, for exact energies.
    pub binding: Binding,
    /// The energy of binding as a smooth function of heave and roll.
    pub potential: FittedPotential,
}

/// A solved pair of corners.
#[derive(Clone, Debug)]
pub struct CornerSolution {
    /// The equations of the left corner, for exact positions.
    pub solver: Solver,
    /// Polynomial curves of the left corner; the right one's are [`CornerCurves::mirrored`].
    pub curves: CornerCurves,
    /// Figures for people.
    pub report: CornerReport,
    /// How the pair yields.
    pub compliance: EndCompliance,
    /// What binds in one corner.
    pub binding: Binding,
    /// The energy of binding of one corner as a smooth function of its travel (roll zero).
    pub potential: FittedPotential,
}

/// One point of a roll-moment curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RollMoment {
    /// Roll of the axle, left side up positive [rad].
    pub roll: f64,
    /// Moment that resists it [N m].
    pub moment: f64,
    /// Of the energy stored, the part by straining links [J].
    pub strain: f64,
    /// Of the energy stored, the part by ends that run solid [J].
    pub solid: f64,
}

impl AxleLinkage {
    /// Solves the axle over a range of travel.
    pub fn solve(
        &self,
        range: AxleRange,
        bound: FitBound,
        car: Longitudinal,
    ) -> Result<AxleSolution, LinkageError> {
        let solver = self.solver()?;
        let positions = self.positions(&solver, range)?;
        let curves = self.curves_through(&solver, &positions, bound)?;
        let report = self.report(&solver, car, &positions)?;
        let compliance = self.compliance(&solver)?;
        let binding = Binding::new(&solver)?;
        let potential = binding.potential(&solver, &positions);
        potential.check()?;
        Ok(AxleSolution {
            solver,
            curves,
            report,
            compliance,
            binding,
            potential,
        })
    }
}

impl AxleSolution {
    /// The moment of binding against roll at constant heave, exact.
    pub fn roll_moments(&self, heave: f64, rolls: &[f64]) -> Result<Vec<RollMoment>, LinkageError> {
        rolls
            .iter()
            .map(|&roll| {
                let stored = self.stored(heave, roll)?;
                Ok(RollMoment {
                    roll,
                    moment: stored.by_roll,
                    strain: stored.strain,
                    solid: stored.solid,
                })
            })
            .collect()
    }

    /// What binding stores at heave and roll, exact.
    pub fn stored(&self, heave: f64, roll: f64) -> Result<Stored, LinkageError> {
        let p = self.solver.at(Travel {
            heave,
            roll,
            rack: 0.0,
        })?;
        Ok(self.binding.stored(&self.solver, &p))
    }

    /// Roll stiffness by binding at static [N m/rad].
    pub fn binding_roll_stiffness(&self) -> Result<f64, LinkageError> {
        let r = 1e-3;
        let [a, b] = [self.stored(0.0, r)?, self.stored(0.0, -r)?];
        Ok((a.by_roll - b.by_roll) / (2.0 * r))
    }
}

impl CornerLinkage {
    /// Solves the corner and its mirror image over a range of travel.
    pub fn solve(
        &self,
        range: CornerRange,
        bound: FitBound,
        car: Longitudinal,
        subframe: Option<&Subframe>,
    ) -> Result<CornerSolution, LinkageError> {
        let solver = self.solver()?;
        let positions = self.positions(&solver, range)?;
        let curves = self.curves_through(&solver, &positions, bound)?;
        let report = self.report(&solver, car, &positions)?;
        let compliance = self.compliance(&solver, subframe)?;
        let binding = Binding::new(&solver)?;
        let potential = binding.potential(&solver, &positions);
        potential.check()?;
        Ok(CornerSolution {
            solver,
            curves,
            report,
            compliance,
            binding,
            potential,
        })
    }
}
