//! The smooth potential fitted to exact energies, with its errors.
//!
//! The polynomial is fitted to both derivatives of the energy without running solid, each times its
//! largest travel, by least squares. Then every link that runs solid gets a term of its own.

use axletree_scalar::Dual;

use crate::binding::energy::{Binding, along_rates, strain};
use crate::binding::potential::{EXPONENTS, Potential, SOLID, SolidTerm, TERMS, terms};
use crate::bushing::{ROUNDING, tilt_squared_at};
use crate::curves::NormalEquations;
use crate::error::LinkageError;
use crate::solve::{Position, Solver};

impl Binding {
    /// Energy as a smooth function of travel, fitted to exact positions.
    pub fn potential(&self, solver: &Solver, positions: &[Position]) -> FittedPotential {
        let sampled: Vec<Sample> = positions.iter().map(|p| self.sample(solver, p)).collect();
        let h_most = most(positions.iter().map(|p| p.travel.heave));
        let r_most = most(positions.iter().map(|p| p.travel.roll));
        let used: Vec<usize> = (0..TERMS)
            .filter(|&t| r_most > 0.0 || EXPONENTS[t].1 == 0)
            .collect();
        let basis: Vec<[[f64; 3]; TERMS]> = positions
            .iter()
            .map(|p| terms(p.travel.heave, p.travel.roll))
            .collect();
        // Both derivatives, each times its largest travel: in joules.
        let mut rows = Vec::new();
        let mut values = Vec::new();
        for (b, s) in basis.iter().zip(&sampled) {
            for (k, scale) in [(1, h_most), (2, r_most)] {
                if scale > 0.0 {
                    rows.push(used.iter().map(|&t| b[t][k] * scale).collect());
                    values.push(s.soft.d[k - 1] * scale);
                }
            }
        }
        let mut potential = Potential::none();
        for (&t, c) in used.iter().zip(NormalEquations::new(&rows).solve(&values)) {
            potential.c[t] = c;
        }
        potential.solid = solid_terms(&self.limits(), &sampled, &basis, &used, [h_most, r_most]);
        let exact = |p: &Sample| [p.full.d[0], p.full.d[1]];
        let (mut error, mut greatest) = ([0.0f64; 2], [0.0f64; 2]);
        for (p, s) in positions.iter().zip(&sampled) {
            let got = potential.at(p.travel.heave, p.travel.roll);
            for (k, want) in exact(s).into_iter().enumerate() {
                error[k] = error[k].max((got[k + 1] - want).abs());
                greatest[k] = greatest[k].max(want.abs());
            }
        }
        FittedPotential {
            potential,
            force_error: error[0],
            moment_error: error[1],
            greatest_force: greatest[0],
            greatest_moment: greatest[1],
        }
    }

    /// Tilt limit and solid stiffness of each link and joint: those of the end with the smaller
    /// limit, or of both ends where the limits are equal to 1 %.
    fn limits(&self) -> Vec<(f64, f64)> {
        let links = self.swings.iter().map(|s| {
            let [a, b] = s.seats.map(|s| (s.bushing.tilt_limit, s.bushing.solid));
            if (a.0 / b.0 - 1.0).abs() < 0.01 {
                (a.0, a.1 + b.1)
            } else if a.0 < b.0 {
                a
            } else {
                b
            }
        });
        links
            .chain(
                self.pivots
                    .iter()
                    .map(|p| (p.seat.bushing.tilt_limit, p.seat.bushing.solid)),
            )
            .collect()
    }

    /// Energies at one position.
    fn sample(&self, solver: &Solver, p: &Position) -> Sample {
        let bodies = solver.mechanism.bodies(&p.state, p.travel.rack);
        let state = along_rates(p);
        let varied = solver
            .mechanism
            .bodies(&state, Dual::constant(p.travel.rack));
        let mut soft = self.hinge_energy(&state);
        soft.re += strain(solver, p);
        soft.d[0] += p.driver[0];
        soft.d[1] += p.driver[1];
        let mut full = soft;
        let mut excess = Vec::with_capacity(self.swings.len() + self.pivots.len());
        for e in self.energies(&bodies, &varied) {
            soft += e.soft;
            full += e.full.soft + e.full.solid;
            excess.push((e.full.soft + e.full.solid - e.soft, e.reach));
        }
        Sample { soft, full, excess }
    }
}

/// Energies at one position.
struct Sample {
    soft: Dual<f64, 2>,
    full: Dual<f64, 2>,
    /// Of each link and joint: energy added by running solid, and square of the largest tilt over
    /// its limit.
    excess: Vec<(Dual<f64, 2>, f64)>,
}

/// A potential with its errors at the positions it was fitted to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FittedPotential {
    /// The potential.
    pub potential: Potential<f64>,
    /// Largest error of the force on heave `[N]`.
    pub force_error: f64,
    /// Largest error of the moment on roll `[N*m]`.
    pub moment_error: f64,
    /// Largest force on heave `[N]`.
    pub greatest_force: f64,
    /// Largest moment on roll `[N*m]`.
    pub greatest_moment: f64,
}

/// Accepted error of force and moment, as a share of their largest value `[-]`.
const ERROR_SHARE: f64 = 0.08;
/// Accepted error of force and moment, in addition `[N], [N*m]`.
const ERROR_FLOOR: f64 = 5.0;

impl FittedPotential {
    /// Refuses a potential whose force or moment is off by more than 8 % of its largest value plus
    /// 5 N or 5 N*m: the stiffnesses of link ends are not known better than that (our choice).
    ///
    /// # Errors
    /// [`LinkageError::Fit`].
    pub fn check(&self) -> Result<(), LinkageError> {
        for (quantity, error, greatest, unit) in [
            (
                "the force of binding",
                self.force_error,
                self.greatest_force,
                "N",
            ),
            (
                "the moment of binding",
                self.moment_error,
                self.greatest_moment,
                "N*m",
            ),
        ] {
            let bound = ERROR_SHARE * greatest + ERROR_FLOOR;
            if error.is_nan() || error > bound {
                return Err(LinkageError::Fit {
                    quantity,
                    error,
                    bound,
                    unit,
                });
            }
        }
        Ok(())
    }
}

/// Largest absolute value.
fn most(values: impl Iterator<Item = f64>) -> f64 {
    values.fold(0.0, |m, x| m.max(x.abs()))
}

/// The links with the largest energy of running solid, each as one term.
fn solid_terms(
    limits: &[(f64, f64)],
    sampled: &[Sample],
    basis: &[[[f64; 3]; TERMS]],
    used: &[usize],
    travel: [f64; 2],
) -> [SolidTerm<f64>; SOLID] {
    let mut out = [SolidTerm::none(); SOLID];
    let mut order: Vec<(f64, usize)> = (0..limits.len())
        .map(|l| (most(sampled.iter().map(|s| s.excess[l].0.re)), l))
        .filter(|(e, l)| *e > 1e-3 && limits[*l].1 > 0.0)
        .collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0));
    for (slot, &(_, l)) in out.iter_mut().zip(&order) {
        let (limit, rate) = limits[l];
        *slot = SolidTerm {
            tilt_squared: solid_term(limits[l], l, sampled, basis, used, travel),
            limit,
            rate,
        };
    }
    out
}

/// Square of one link's tilt as a polynomial. Where the link runs solid, it is fitted to energy,
/// force and moment; elsewhere to the tilt itself with a small weight, or with a large one where it
/// would otherwise exceed the onset of running solid.
fn solid_term(
    (limit, stiffness): (f64, f64),
    l: usize,
    sampled: &[Sample],
    basis: &[[[f64; 3]; TERMS]],
    used: &[usize],
    travel: [f64; 2],
) -> [f64; TERMS] {
    let onset = limit * limit * (1.0 - 2.0 * ROUNDING);
    let loose = 1e-3 * stiffness;
    let mut c = [0.0; TERMS];
    let mut strict = vec![false; sampled.len()];
    for _ in 0..4 {
        let (mut rows, mut values) = (Vec::new(), Vec::new());
        let mut push = |b: &[[f64; 3]; TERMS], k: usize, weight: f64, target: f64| {
            rows.push(used.iter().map(|&t| weight * b[t][k]).collect::<Vec<f64>>());
            values.push(target);
        };
        for ((s, b), strict) in sampled.iter().zip(basis).zip(&strict) {
            let (energy, reach) = s.excess[l];
            if energy.re > 1e-6 {
                let e = (2.0 * energy.re / stiffness).sqrt();
                let (target, slope) = tilt_squared_at(e, limit);
                // Energy per square of tilt.
                let weight = stiffness * e * slope;
                push(b, 0, weight + loose, (weight + loose) * target);
                for (k, (travel, slope)) in travel.into_iter().zip(energy.d).enumerate() {
                    push(b, k + 1, weight * travel, slope * travel);
                }
            } else {
                let weight = if *strict { 0.3 * stiffness } else { loose };
                push(b, 0, weight, weight * (reach * limit * limit).min(onset));
            }
        }
        for (&t, x) in used.iter().zip(NormalEquations::new(&rows).solve(&values)) {
            c[t] = x;
        }
        let mut changed = false;
        for ((s, b), strict) in sampled.iter().zip(basis).zip(&mut strict) {
            let fitted: f64 = c.iter().zip(b).map(|(c, t)| c * t[0]).sum();
            if s.excess[l].0.re <= 1e-6 && fitted > onset && !*strict {
                *strict = true;
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
    c
}
