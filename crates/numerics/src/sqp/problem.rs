//! Function, settings and results of a search.

use nalgebra::{DMatrix, DVector};

/// The reason for which a search ended without a result.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum Stopped {
    /// The caller asked to stop.
    #[error("interrupted")]
    Interrupted,
    /// The start has no value, or a neighbor of it has none.
    #[error("the start has no value, or a neighbor of it has none")]
    NoStart,
}

/// Value of the function at a point.
#[derive(Clone, Debug, PartialEq)]
pub struct SqpSample<T = ()> {
    /// Objective, to be as large as possible.
    pub objective: f64,
    /// Constraints, each to be at least zero.
    pub constraints: DVector<f64>,
    /// Checkpoints that speed up evaluations of neighbors.
    pub hints: T,
}

/// A function of a few unknowns, each in units of its scale.
pub trait SqpProblem {
    /// Checkpoints that an evaluation leaves for those of its neighbors.
    type Hints;
    /// Reason for which an evaluation ends the search; the search's own reasons convert to it.
    type Error: From<Stopped>;

    /// The value at a point; none where the simulation does not reach its end.
    ///
    /// # Errors
    /// A reason to end the search.
    fn evaluate(&self, p: &DVector<f64>) -> Result<Option<SqpSample<Self::Hints>>, Self::Error>;

    /// The values at several neighbors of a point, in their order: objective and constraints as
    /// [`Self::evaluate`] finds them, faster where they can be simulated side by side.
    ///
    /// # Errors
    /// A reason to end the search.
    fn evaluate_neighbors(
        &self,
        _point: &SqpPoint<Self::Hints>,
        neighbors: &[DVector<f64>],
    ) -> Result<Vec<Option<SqpSample>>, Self::Error> {
        let bare = |sample: SqpSample<Self::Hints>| SqpSample {
            objective: sample.objective,
            constraints: sample.constraints,
            hints: (),
        };
        neighbors
            .iter()
            .map(|p| Ok(self.evaluate(p)?.map(bare)))
            .collect()
    }
}

/// Settings of a search.
#[derive(Clone, Debug)]
pub struct SqpSettings {
    /// Weight w of the penalty, objective per constraint; it must exceed the constraints'
    /// multipliers.
    pub penalty_weight: f64,
    /// Weights R on the unknowns.
    pub regularization: DMatrix<f64>,
    /// Step of the forward differences `[scales]`.
    pub difference_step: f64,
    /// Predicted gain of the merit below which the search has converged.
    pub tolerance: f64,
    /// Steps tried from one start, at most.
    pub most_steps: usize,
    /// Unknowns that stay fixed while a feasible point is sought.
    pub fixed_while_infeasible: Vec<usize>,
}

/// A point with its value.
#[derive(Clone, Debug, PartialEq)]
pub struct SqpPoint<T = ()> {
    /// Unknowns.
    pub p: DVector<f64>,
    /// Value there.
    pub sample: SqpSample<T>,
}

impl<T> SqpPoint<T> {
    /// The least of the constraints.
    pub fn least_constraint(&self) -> f64 {
        self.sample.constraints.min()
    }
}

/// Result of a search.
#[derive(Clone, Debug, PartialEq)]
pub struct SqpResult<T = ()> {
    /// The best point.
    pub point: SqpPoint<T>,
    /// Multipliers of the constraints: objective that a constraint costs per unit.
    pub multipliers: DVector<f64>,
    /// Steps tried.
    pub steps: usize,
    /// Whether no step gains more than the tolerance.
    pub converged: bool,
}
