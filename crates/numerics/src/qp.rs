//! Small dense quadratic programs by the dual active-set method.
//!
//! ```text
//! least 1/2 x'Gx + g'x   with   a_i'x >= b_i
//! ```
//!
//! G is symmetric and positive definite. The method starts at the unconstrained minimum and adds
//! the most violated constraint, so it needs no feasible start and reports constraints that
//! contradict each other (Goldfarb and Idnani, *Mathematical Programming* 27, 1983, pp. 1-33).
//! Matrices are factored anew in every pass: with a dozen unknowns that is cheaper than updates.
//!
//! An own method rather than a library's: the searches promise the same bits on every machine, and
//! an active-set method ends at a vertex found exactly, where an interior-point method ends within
//! a tolerance.

use nalgebra::{Cholesky, DMatrix, DVector};

/// Violation of a constraint, per length of its row, from which on it counts as violated, times
/// `1 + |x|`.
const VIOLATION: f64 = 1e-12;
/// Curvature along a step, per squared length of the constraint's row, below which the active
/// constraints leave no such step.
const DEPENDENT: f64 = 1e-13;
/// Passes per constraint after which the method gives up: it would cycle.
const PASSES_PER_ROW: usize = 50;

/// A quadratic program.
///
/// ```
/// use axletree_numerics::qp::Program;
/// use nalgebra::{DMatrix, DVector};
///
/// // The point of the half plane x + y >= 2 nearest to the origin.
/// let program = Program {
///     curvature: DMatrix::identity(2, 2),
///     slope: DVector::zeros(2),
///     rows: DMatrix::from_row_slice(1, 2, &[1.0, 1.0]),
///     bounds: DVector::from_row_slice(&[2.0]),
/// };
/// let solution = program.solve().unwrap();
/// assert!((solution.x[0] - 1.0).abs() < 1e-12 && (solution.multipliers[0] - 1.0).abs() < 1e-12);
/// ```
#[derive(Clone, Debug)]
pub struct Program {
    /// Curvature G.
    pub curvature: DMatrix<f64>,
    /// Slope g.
    pub slope: DVector<f64>,
    /// Rows a_i'.
    pub rows: DMatrix<f64>,
    /// Right-hand sides b_i.
    pub bounds: DVector<f64>,
}

/// The solution of a quadratic program.
#[derive(Clone, Debug, PartialEq)]
pub struct QpSolution {
    /// Unknowns.
    pub x: DVector<f64>,
    /// Multiplier of each row, zero where it is not active: `G x + g = sum of multiplier a_i`.
    pub multipliers: DVector<f64>,
}

impl Program {
    /// The solution; none where the constraints contradict each other or G is not positive
    /// definite.
    pub fn solve(&self) -> Option<QpSolution> {
        let factor = Cholesky::new(self.curvature.clone())?;
        let (m, mut x) = (self.rows.nrows(), factor.solve(&-&self.slope));
        let scale: Vec<f64> = (0..m)
            .map(|i| self.rows.row(i).norm().max(1e-300))
            .collect();
        let mut active: Vec<usize> = Vec::new();
        // Multipliers of the active rows.
        let mut u: Vec<f64> = Vec::new();
        for _ in 0..PASSES_PER_ROW * (m + 1) {
            let Some(p) = self.most_violated(&x, &active, &scale) else {
                let mut multipliers = DVector::zeros(m);
                for (i, value) in active.iter().zip(&u) {
                    multipliers[*i] = *value;
                }
                return Some(QpSolution { x, multipliers });
            };
            let normal = self.rows.row(p).transpose();
            let mut own = 0.0;
            loop {
                // Direction in the unknowns that keeps the active rows, and in their multipliers.
                let inner = factor.solve(&normal);
                let (z, r) = if active.is_empty() {
                    (inner, DVector::zeros(0))
                } else {
                    let n =
                        DMatrix::from_fn(x.len(), active.len(), |i, j| self.rows[(active[j], i)]);
                    let gn = factor.solve(&n);
                    let r = Cholesky::new(n.transpose() * &gn)?.solve(&(n.transpose() * &inner));
                    (inner - gn * &r, r)
                };
                // The longest step that keeps the multipliers positive.
                let mut dual = f64::INFINITY;
                let mut leaves = None;
                for (j, rj) in r.iter().enumerate() {
                    if *rj > 0.0 && u[j] / rj < dual {
                        dual = u[j] / rj;
                        leaves = Some(j);
                    }
                }
                let along = z.dot(&normal);
                let primal = if along > DEPENDENT * normal.norm_squared() {
                    (self.bounds[p] - normal.dot(&x)) / along
                } else {
                    f64::INFINITY
                };
                let step = dual.min(primal);
                if !step.is_finite() {
                    return None;
                }
                for (uj, rj) in u.iter_mut().zip(r.iter()) {
                    *uj -= step * rj;
                }
                own += step;
                if primal.is_finite() {
                    x += z * step;
                }
                if primal <= dual {
                    active.push(p);
                    u.push(own);
                    break;
                }
                let j = leaves?;
                active.remove(j);
                u.remove(j);
            }
        }
        None
    }

    /// The most violated row that is not active.
    fn most_violated(&self, x: &DVector<f64>, active: &[usize], scale: &[f64]) -> Option<usize> {
        let mut worst = None;
        let mut least = -VIOLATION * (1.0 + x.norm());
        for i in (0..self.rows.nrows()).filter(|i| !active.contains(i)) {
            let short = (self.rows.row(i).transpose().dot(x) - self.bounds[i]) / scale[i];
            if short < least {
                least = short;
                worst = Some(i);
            }
        }
        worst
    }
}

/// Updates a curvature after a step along which the slope changed by `y`, by damped BFGS: the
/// result stays positive definite (Powell's damping; Nocedal and Wright, *Numerical Optimization*,
/// 2nd ed. 2006, procedure 18.2).
pub fn damped_update(curvature: &mut DMatrix<f64>, step: &DVector<f64>, y: &DVector<f64>) {
    let bs = &*curvature * step;
    let (sbs, sy) = (step.dot(&bs), step.dot(y));
    if sbs < 1e-14 {
        return;
    }
    let share = if sy >= 0.2 * sbs {
        1.0
    } else {
        0.8 * sbs / (sbs - sy)
    };
    let r = y * share + &bs * (1.0 - share);
    *curvature += &r * r.transpose() / step.dot(&r) - &bs * bs.transpose() / sbs;
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(got: &DVector<f64>, want: &[f64], tolerance: f64) {
        assert_eq!(got.len(), want.len());
        for (g, w) in got.iter().zip(want) {
            assert!((g - w).abs() < tolerance, "{got} against {want:?}");
        }
    }

    /// Nocedal and Wright, *Numerical Optimization*, 2nd ed. 2006, example 16.4 (validation case
    /// N5, from memory; 1e-10 absolute). Their objective is twice the form here.
    #[test]
    fn val_n5_five_inequalities() {
        let program = Program {
            curvature: DMatrix::identity(2, 2) * 2.0,
            slope: DVector::from_row_slice(&[-2.0, -5.0]),
            rows: DMatrix::from_row_slice(
                5,
                2,
                &[1.0, -2.0, -1.0, -2.0, -1.0, 2.0, 1.0, 0.0, 0.0, 1.0],
            ),
            bounds: DVector::from_row_slice(&[-2.0, -6.0, -2.0, 0.0, 0.0]),
        };
        let s = program.solve().unwrap();
        near(&s.x, &[1.4, 1.7], 1e-10);
        near(&s.multipliers, &[0.8, 0.0, 0.0, 0.0, 0.0], 1e-10);
    }

    /// The same book, example 16.2, its two equations as pairs of inequalities (case N5, from
    /// memory; 1e-12 absolute).
    #[test]
    fn val_n5_two_equations() {
        let program = Program {
            curvature: DMatrix::from_row_slice(3, 3, &[6., 2., 1., 2., 5., 2., 1., 2., 4.]),
            slope: DVector::from_row_slice(&[-8.0, -3.0, -3.0]),
            rows: DMatrix::from_row_slice(
                4,
                3,
                &[1., 0., 1., -1., 0., -1., 0., 1., 1., 0., -1., -1.],
            ),
            bounds: DVector::from_row_slice(&[3.0, -3.0, 0.0, 0.0]),
        };
        let s = program.solve().unwrap();
        near(&s.x, &[2.0, -1.0, 1.0], 1e-12);
        near(&s.multipliers, &[3.0, 0.0, 0.0, 2.0], 1e-12);
    }

    /// The three-variable example of Goldfarb and Idnani's method as its common implementations
    /// document it (case N5, checked there with a general-purpose solver; 1e-10 absolute).
    #[test]
    fn val_n5_dual_method_example() {
        let program = Program {
            curvature: DMatrix::identity(3, 3),
            slope: DVector::from_row_slice(&[0.0, -5.0, 0.0]),
            rows: DMatrix::from_row_slice(3, 3, &[-4., -3., 0., 2., 1., 0., 0., -2., 1.]),
            bounds: DVector::from_row_slice(&[-8.0, 2.0, 0.0]),
        };
        let s = program.solve().unwrap();
        near(&s.x, &[10.0 / 21.0, 22.0 / 21.0, 44.0 / 21.0], 1e-10);
        let objective = 0.5 * s.x.norm_squared() - 5.0 * s.x[1];
        assert!((objective + 2.38095238095).abs() < 1e-10);
    }

    #[test]
    fn contradicting_constraints_have_no_solution() {
        let program = Program {
            curvature: DMatrix::identity(1, 1),
            slope: DVector::zeros(1),
            rows: DMatrix::from_row_slice(2, 1, &[1.0, -1.0]),
            bounds: DVector::from_row_slice(&[1.0, 0.0]),
        };
        assert_eq!(program.solve(), None);
    }
}
