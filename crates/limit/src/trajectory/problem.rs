//! A trajectory search as a problem of sequential quadratic programming.

use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::sqp::{SqpPoint, SqpProblem, SqpSample};
use axletree_simulation::{Ending, Outcome, Recorder};
use nalgebra::{DMatrix, DVector};

use super::course::SplineCourse;
use super::drive::{BaseDrive, drive_design, drive_neighbors};

/// Objective and constraints of a drive.
pub(crate) struct TrajectoryScore {
    /// Objective, to be made as large as possible.
    pub objective: f64,
    /// Constraints, each at least zero where it is kept.
    pub constraints: Vec<f64>,
}

/// Objective and constraints on a course.
pub(crate) trait TrajectoryObjective: SplineCourse {
    /// Design of a vector of unknowns, in units of their scales.
    fn design(&self, unknowns: &DVector<f64>) -> Self::Design;

    /// Ending of a drive.
    fn ending(result: &Self::Result) -> Ending;

    /// Objective and constraints of a drive that reached the end of the course.
    fn evaluate(&self, design: &Self::Design, result: &Self::Result) -> TrajectoryScore;
}

/// Designs on a course, evaluated by simulation.
pub(crate) struct TrajectoryProblem<'c, C> {
    /// The course for one car.
    pub course: &'c C,
    /// Cancellation.
    pub interrupt: Interrupt<'c>,
}

impl<C: TrajectoryObjective> TrajectoryProblem<'_, C> {
    /// Value of a drive; none where the car does not reach the end.
    fn value<T>(
        &self,
        design: &C::Design,
        result: &C::Result,
        hints: T,
    ) -> Result<Option<SqpSample<T>>, Outcome> {
        match C::ending(result).outcome {
            Outcome::Interrupted => Err(Outcome::Interrupted),
            Outcome::Completed => {
                let TrajectoryScore {
                    objective,
                    constraints,
                } = self.course.evaluate(design, result);
                Ok(Some(SqpSample {
                    objective,
                    constraints: DVector::from_vec(constraints),
                    hints,
                }))
            }
            _ => Ok(None),
        }
    }
}

impl<C: TrajectoryObjective> SqpProblem for TrajectoryProblem<'_, C> {
    type Hints = BaseDrive<C::Log>;
    type Error = Outcome;

    fn evaluate(&self, p: &DVector<f64>) -> Result<Option<SqpSample<Self::Hints>>, Outcome> {
        let design = self.course.design(p);
        let recorder = Recorder::of(&[]);
        let driven = drive_design(self.course, &design, recorder, self.interrupt)?;
        self.value(&design, &driven.result, driven.base)
    }

    fn evaluate_neighbors(
        &self,
        point: &SqpPoint<Self::Hints>,
        neighbors: &[DVector<f64>],
    ) -> Result<Vec<Option<SqpSample>>, Outcome> {
        let designs: Vec<C::Design> = neighbors.iter().map(|p| self.course.design(p)).collect();
        let base = (&self.course.design(&point.p), &point.sample.hints);
        let results = drive_neighbors(self.course, base, &designs, self.interrupt)?;
        let pairs = designs.iter().zip(&results);
        pairs.map(|(d, r)| self.value(d, r, ())).collect()
    }
}

/// Weight on each unknown that keeps the matrix of [`smoothing`] regular [objective per squared
/// scale].
const REGULARIZATION: f64 = 1e-6;

/// Matrix of weights on the squared second differences of the unknowns from number `from` on.
pub(crate) fn smoothing(unknowns: usize, from: usize, weight: f64) -> DMatrix<f64> {
    let mut smooth = DMatrix::identity(unknowns, unknowns) * REGULARIZATION;
    for i in from + 1..unknowns - 1 {
        let row = DVector::from_fn(unknowns, |j, _| match j {
            j if j == i => -2.0,
            j if j + 1 == i || j == i + 1 => 1.0,
            _ => 0.0,
        });
        smooth += weight * &row * row.transpose();
    }
    smooth
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The weights give the sum of the squared second differences: none for a line, 2^2 a row for a
    /// parabola; the unknowns before `from` are free of them.
    #[test]
    fn law_second_differences() {
        let smooth = smoothing(8, 2, 3.0);
        let cost = |p: &DVector<f64>| p.dot(&(&smooth * p)) - REGULARIZATION * p.norm_squared();
        let line = DVector::from_fn(8, |i, _| if i < 2 { 50.0 } else { 1.5 * i as f64 });
        assert!(cost(&line).abs() < 1e-9);
        let parabola = DVector::from_fn(8, |i, _| (i * i) as f64);
        // Rows for unknowns 3 to 6.
        assert!((cost(&parabola) - 3.0 * 4.0 * 4.0).abs() < 1e-9);
    }
}
