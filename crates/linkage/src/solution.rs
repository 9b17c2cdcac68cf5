//! Solution of a linkage from its hardpoints: curves, figures, compliance, binding.

use crate::axle_linkage::{AxleLinkage, AxleRange};
use crate::axle_report::AxleReport;
use crate::binding::{Binding, FittedPotential, StoredEnergy};
use crate::compliance::EndCompliance;
use crate::corner_linkage::{CornerLinkage, CornerRange};
use crate::corner_report::CornerReport;
use crate::curves::{AxleCurves, CornerCurves, FitBound};
use crate::error::LinkageError;
use crate::motion_ratios::Longitudinal;
use crate::parts::Subframe;
use crate::solve::Solver;
use crate::travel::Travel;

/// A solved axle.
#[derive(Clone, Debug)]
pub struct AxleSolution {
    /// Solver, for exact positions.
    pub solver: Solver,
    /// Curves as polynomials.
    pub curves: AxleCurves,
    /// Kinematic figures.
    pub report: AxleReport,
    /// Compliance.
    pub compliance: EndCompliance,
    /// Binding, for exact energies.
    pub binding: Binding,
    /// Energy of binding as a smooth function of heave and roll.
    pub potential: FittedPotential,
}

/// A solved pair of corners.
#[derive(Clone, Debug)]
pub struct CornerSolution {
    /// Solver of the left corner, for exact positions.
    pub solver: Solver,
    /// Curves of the left corner as polynomials; those of the right are [`CornerCurves::mirrored`].
    pub curves: CornerCurves,
    /// Kinematic figures.
    pub report: CornerReport,
    /// Compliance of the pair.
    pub compliance: EndCompliance,
    /// Binding of one corner, for exact energies.
    pub binding: Binding,
    /// Energy of binding of one corner as a smooth function of its travel, at zero roll.
    pub potential: FittedPotential,
}

/// One point of the curve of the moment of binding over roll.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RollMoment {
    /// Roll of the axle, left side up positive `[rad]`.
    pub roll: f64,
    /// Moment against it `[N*m]`.
    pub moment: f64,
    /// Energy of strained links `[J]`.
    pub strain: f64,
    /// Energy of ends that run solid `[J]`.
    pub solid: f64,
}

impl AxleLinkage {
    /// Solves the axle over a range of travel.
    ///
    /// # Errors
    /// Faults of the description, travel out of reach, or a polynomial that is too far off.
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
    /// Exact moment of binding against roll, at constant heave.
    ///
    /// # Errors
    /// Errors of [`Solver::at`].
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

    /// Exact energy of binding at heave and roll.
    ///
    /// # Errors
    /// Errors of [`Solver::at`].
    pub fn stored(&self, heave: f64, roll: f64) -> Result<StoredEnergy, LinkageError> {
        let p = self.solver.at(Travel {
            heave,
            roll,
            rack: 0.0,
        })?;
        Ok(self.binding.stored(&self.solver, &p))
    }

    /// Roll stiffness of binding at static `[N*m/rad]`.
    ///
    /// # Errors
    /// Errors of [`Solver::at`].
    pub fn binding_roll_stiffness(&self) -> Result<f64, LinkageError> {
        let r = 1e-3;
        let [a, b] = [self.stored(0.0, r)?, self.stored(0.0, -r)?];
        Ok((a.by_roll - b.by_roll) / (2.0 * r))
    }
}

impl CornerLinkage {
    /// Solves the corner and its mirror image over a range of travel.
    ///
    /// # Errors
    /// Faults of the description, travel out of reach, or a polynomial that is too far off.
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::alignment::Alignment;
    use crate::axle::{FourLink, Panhard, Rod};
    use crate::corner::{DoubleWishbone, TieRod, Wishbone};
    use crate::elements::Side;
    use crate::material::Material;
    use crate::parts::{BodyId, Linkage};
    use crate::solve::work;

    const CAR: Longitudinal = Longitudinal {
        height: 0.5,
        wheelbase: 2.7,
        brake_share: 0.35,
    };

    fn axle_work(parts: Linkage) -> usize {
        let axle = AxleLinkage {
            parts,
            center: [0.0, 0.0, 0.31],
            half_track: 0.75,
            sides: [Side::default(), Side::default()],
        };
        work::take();
        axle.solve(AxleRange::default(), FitBound::default(), CAR)
            .unwrap();
        work::take()
    }

    fn corner_work() -> usize {
        let rubber = Material::Rubber.bushing();
        let wishbone = |inner, ball| Wishbone {
            on: BodyId::Body,
            inner,
            inner_bushings: [rubber; 2],
            ball,
            ball_bushing: Material::Spherical.bushing(),
        };
        let wishbones = DoubleWishbone {
            lower: wishbone(
                [[0.18, 0.36, 0.2], [-0.16, 0.36, 0.205]],
                [0.012, 0.705, 0.185],
            ),
            upper: wishbone(
                [[0.1, 0.43, 0.455], [-0.14, 0.43, 0.45]],
                [-0.02, 0.66, 0.48],
            ),
            tie_rod: TieRod {
                on: BodyId::Rack,
                inner: [-0.13, 0.35, 0.232],
                outer: [-0.135, 0.685, 0.22],
                bushings: [Material::Spherical.bushing(); 2],
            },
        };
        let corner = CornerLinkage {
            parts: wishbones.parts(),
            center: [0.0, 0.735, 0.31],
            side: Side::default(),
            steering_axis: Some(wishbones.steering_axis()),
            alignment: Alignment::default(),
        };
        work::take();
        corner
            .solve(CornerRange::default(), FitBound::default(), CAR, None)
            .unwrap();
        work::take()
    }

    /// Linear systems for a whole end: 123 positions of an axle, 27 of a corner (two of them near
    /// static, for the slope of the roll center) at about three systems each. An over-constrained
    /// axle needs one more at each position, for the rates. The numbers are the same on every
    /// machine.
    #[test]
    fn golden_work_of_a_whole_end() {
        let rubber = Material::Rubber.bushing();
        let lower = Rod::new([0.55, 0.5, 0.26], [0.0, 0.5, 0.22], rubber);
        let upper = Rod::new([0.3, 0.35, 0.42], [0.0, 0.1, 0.46], rubber);
        let triangulated = FourLink { lower, upper }.parts();
        let parallel = FourLink {
            lower,
            upper: Rod::new([0.3, 0.33, 0.415], [0.0, 0.33, 0.45], rubber),
        };
        let across = Panhard {
            rod: Rod::new([-0.12, -0.45, 0.31], [-0.12, 0.45, 0.3], rubber),
        };
        let over_constrained = parallel.parts().and(across.parts());
        assert_eq!(
            [
                axle_work(triangulated),
                axle_work(over_constrained),
                corner_work()
            ],
            [366, 562, 80]
        );
    }
}
