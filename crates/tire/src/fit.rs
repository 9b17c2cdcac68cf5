//! A least-squares fit of a tire's description to measured force-slip rows.
//!
//! Rows come from a rig, a trailer, or a table in a paper. The fit frees only the inputs that the
//! rows determine: how friction falls with load needs two loads, the shape of the curve needs slip
//! beyond the peak, and so on; every other input keeps its value at the start. The result lists the
//! fitted inputs with their standard errors, the residuals, and the inputs kept with the data they
//! lack.
//!
//! Forces are fitted first, the moment after them with the forces held, so that a moment that the
//! model cannot follow does not spoil the forces. Residuals are relative to each channel's own root
//! mean square, so that both forces weigh alike. Every input stays in the range of its declaration
//! ([`TIRE_INPUTS`](crate::inputs::TIRE_INPUTS)), so that a car accepts every fitted tire. The
//! minimum is found by [`least_squares`].
//!
//! - `forces`: the forces of a description at every row.
//! - `parameter`: the inputs that can be fitted and their coordinates.
//! - `report`: the result.
//! - `row`: a measured row, and the variety of a set of rows.

use nalgebra::DVector;

use axletree_numerics::{Interrupt, LeastSquares, least_squares, normal_matrix};

use crate::check::leaves_enough;
use crate::error::TireError;
use crate::pressure::PressureFolding;
use crate::slip::theoretical_slip;
use crate::spec::TireSpec;

mod forces;
mod parameter;
mod report;
mod row;

pub use report::{Fit, FitNote, FittedInput, MissingData, Residuals};
pub use row::ForceRow;

use forces::RowGroups;
use parameter::{FittedChannel, PARAMETERS, Parameter, RowReach};
use row::Coverage;

impl TireSpec {
    /// Fits a tire to measured rows, with `self` as the start.
    ///
    /// Inputs that the rows do not determine keep the value of the start.
    ///
    /// # Errors
    ///
    /// [`TireError::Row`] for a row with an impossible value, [`TireError::Spec`] for a start out
    /// of range or unusable at a pressure of the rows, [`TireError::TooFewValues`] for fewer
    /// measured values than inputs to fit, or none to fit.
    ///
    /// ```
    /// use axletree_tire::{ForceRow, TireSpec};
    ///
    /// // Cornering force at three loads, a tenth above the load at 0.2 rad.
    /// let rows: Vec<ForceRow> = [2000.0, 4000.0, 6000.0]
    ///     .into_iter()
    ///     .flat_map(|load| (1..=10).map(move |i| (load, 0.02 * f64::from(i))))
    ///     .map(|(load, slip_angle)| ForceRow {
    ///         slip_angle,
    ///         slip_ratio: 0.0,
    ///         load,
    ///         camber: 0.0,
    ///         pressure: 220e3,
    ///         fx: None,
    ///         fy: Some(1.2 * load * slip_angle / (0.02 + slip_angle)),
    ///         mz: None,
    ///     })
    ///     .collect();
    /// let fit = TireSpec::typical(0.31, 4000.0).fit(&rows)?;
    /// assert!(fit.converged && fit.residuals.fy.unwrap() < 100.0);
    /// assert!(fit.spec.check().is_ok());
    /// # Ok::<(), axletree_tire::TireError>(())
    /// ```
    pub fn fit(&self, rows: &[ForceRow]) -> Result<Fit, TireError> {
        self.fit_interruptible(rows, Interrupt::never())
    }

    /// The same, stopped when the caller asks to: many rows take seconds.
    ///
    /// # Errors
    ///
    /// Those of [`TireSpec::fit`], and [`TireError::Interrupted`].
    ///
    /// ```
    /// use axletree_numerics::Interrupt;
    /// use axletree_tire::{ForceRow, TireError, TireSpec};
    ///
    /// let row = ForceRow {
    ///     slip_angle: 0.1,
    ///     slip_ratio: 0.0,
    ///     load: 4000.0,
    ///     camber: 0.0,
    ///     pressure: 220e3,
    ///     fx: None,
    ///     fy: Some(3500.0),
    ///     mz: None,
    /// };
    /// let fit = TireSpec::typical(0.31, 4000.0)
    ///     .fit_interruptible(&[row; 100], Interrupt::when(&|| true));
    /// assert_eq!(fit, Err(TireError::Interrupted));
    /// ```
    pub fn fit_interruptible(
        &self,
        rows: &[ForceRow],
        interrupt: Interrupt<'_>,
    ) -> Result<Fit, TireError> {
        let start = self;
        start.check().map_err(TireError::Spec)?;
        row::check(rows)?;
        let problem = FitProblem::new(start, rows, interrupt).ok_or(TireError::Interrupted)?;
        if !rows.is_empty() {
            for pressure in problem.coverage.pressures {
                start.at(pressure)?;
            }
        }

        // A first pass without the inputs that shape the curve shows how far along it the rows
        // reach.
        let first = problem.choose(start, RowReach::Unknown);
        let near = match problem.solve(start, &first.forces, FORCES)? {
            Some(found) => found.spec,
            None => *start,
        };

        // Inputs that the reach rules out return to their start.
        let chosen = problem.choose(start, problem.reach(&near));
        let mut spec = *start;
        for p in &chosen.forces {
            if first.forces.iter().any(|q| q.input.key == p.input.key) {
                (p.input.set)(&mut spec, (p.input.get)(&near));
            }
        }

        let mut fit = Fit {
            spec,
            fitted: Vec::new(),
            residuals: problem.distances(start)?,
            notes: chosen.kept,
            converged: true,
            iterations: 0,
        };
        for (free, channels) in [(&chosen.forces, FORCES), (&chosen.moment, MOMENT)] {
            if let Some(found) = problem.solve(&fit.spec, free, channels)? {
                fit.take(free, &found);
            }
        }
        if fit.fitted.is_empty() {
            return Err(TireError::TooFewValues {
                values: problem.coverage.values,
                needed: row::LEAST_ROWS,
                inputs: 1,
            });
        }
        fit.residuals = problem.distances(&fit.spec)?;
        Ok(fit)
    }

    /// The residuals of this description against measured rows.
    ///
    /// # Errors
    ///
    /// [`TireError::Row`] for a row with an impossible value, [`TireError::Spec`] for a description
    /// out of range or unusable at a pressure of the rows.
    pub fn residuals(&self, rows: &[ForceRow]) -> Result<Residuals, TireError> {
        row::check(rows)?;
        let problem =
            FitProblem::new(self, rows, Interrupt::never()).ok_or(TireError::Interrupted)?;
        if !rows.is_empty() {
            for pressure in problem.coverage.pressures {
                self.at(pressure)?;
            }
        }
        problem.distances(self)
    }
}

/// The channels of the forces among (F_x, F_y, M_z).
const FORCES: [bool; 3] = [true, true, false];
/// The channel of the moment among (F_x, F_y, M_z).
const MOMENT: [bool; 3] = [false, false, true];

impl Fit {
    /// Takes over the result of one search.
    fn take(&mut self, free: &[&'static Parameter], found: &SearchResult) {
        self.spec = found.spec;
        self.iterations += found.solution.iterations;
        self.converged &= found.solution.converged;
        for ((p, &standard_error), &x) in
            free.iter().zip(&found.errors).zip(found.solution.x.iter())
        {
            let (name, value) = (p.input.key, (p.input.get)(&self.spec));
            let fitted = FittedInput {
                name,
                value,
                standard_error,
            };
            if p.at_limit(x) {
                self.notes.push(FitNote::AtLimit { name, value });
            } else if is_weak(&fitted) {
                self.notes.push(FitNote::Weak {
                    name,
                    value,
                    standard_error,
                });
            }
            self.fitted.push(fitted);
        }
    }
}

/// Whether a standard error is above half the value; coefficients near zero count from 0.1.
fn is_weak(f: &FittedInput) -> bool {
    f.standard_error.is_nan() || f.standard_error > 0.5 * f.value.abs().max(0.1)
}

/// The inputs to fit, and the notes on the others.
struct Selection {
    forces: Vec<&'static Parameter>,
    moment: Vec<&'static Parameter>,
    kept: Vec<FitNote>,
}

/// The result of one search.
struct SearchResult {
    spec: TireSpec,
    solution: LeastSquares,
    /// Standard errors of the inputs.
    errors: Vec<f64>,
}

/// The rows, with their variety and the weights of their channels.
struct FitProblem<'a> {
    rows: &'a [ForceRow],
    groups: RowGroups,
    interrupt: Interrupt<'a>,
    coverage: Coverage,
    /// Reciprocal root mean square of each channel's measurements.
    weights: [f64; 3],
}

impl<'a> FitProblem<'a> {
    /// The problem of some rows; `None` when interrupted.
    fn new(start: &TireSpec, rows: &'a [ForceRow], interrupt: Interrupt<'a>) -> Option<Self> {
        let weights = [0, 1, 2].map(|channel| {
            let squares: Vec<f64> = rows
                .iter()
                .filter_map(|r| r.measured()[channel])
                .map(|v| v * v)
                .collect();
            let mean = squares.iter().sum::<f64>() / squares.len().max(1) as f64;
            if mean > 0.0 { mean.sqrt().recip() } else { 1.0 }
        });
        Some(FitProblem {
            rows,
            groups: RowGroups::of(rows, interrupt)?,
            interrupt,
            coverage: Coverage::of(rows, start, interrupt)?,
            weights,
        })
    }

    /// Sorts the inputs into those that the rows determine, given how far along the curve they
    /// reach, and those that are kept.
    fn choose(&self, start: &TireSpec, reach: RowReach) -> Selection {
        let mut chosen = Selection {
            forces: Vec::new(),
            moment: Vec::new(),
            kept: Vec::new(),
        };
        for p in &PARAMETERS {
            match self.coverage.missing(p, reach) {
                None if p.channel == FittedChannel::Moment => chosen.moment.push(p),
                None => chosen.forces.push(p),
                Some(missing) => chosen.kept.push(FitNote::Kept {
                    name: p.input.key,
                    value: (p.input.get)(start),
                    missing,
                }),
            }
        }
        chosen
    }

    /// The weighted residuals of one tire in the order of the rows; `None` where the description
    /// cannot be used at a pressure of the rows, and when interrupted.
    fn weighted(&self, spec: &TireSpec, channels: [bool; 3]) -> Option<DVector<f64>> {
        if !leaves_enough(spec, self.coverage.pressures) {
            return None;
        }
        let forces = self.groups.forces(spec, self.interrupt)?;
        let mut all = Vec::with_capacity(self.coverage.values);
        for (row, model) in self.rows.iter().zip(forces) {
            for (channel, measured) in row.measured().into_iter().enumerate() {
                if let (Some(measured), true) = (measured, channels[channel]) {
                    all.push((model[channel] - measured) * self.weights[channel]);
                }
            }
        }
        Some(DVector::from_vec(all))
    }

    /// Root mean squares of the differences between a description and the rows, by channel.
    fn distances(&self, spec: &TireSpec) -> Result<Residuals, TireError> {
        let forces = self.groups.forces(spec, self.interrupt);
        let forces = forces.ok_or(TireError::Interrupted)?;
        let rms = |channel: usize| {
            let differences = self.rows.iter().zip(&forces).filter_map(|(row, model)| {
                let d = model[channel] - row.measured()[channel]?;
                Some(d * d)
            });
            let (count, sum) = differences.fold((0, 0.0), |(n, sum), square| (n + 1, sum + square));
            (count > 0).then(|| (sum / f64::from(count)).sqrt())
        };
        Ok(Residuals {
            fx: rms(0),
            fy: rms(1),
            mz: rms(2),
        })
    }

    /// The best values of some inputs for some channels; `None` if there are no inputs.
    fn solve(
        &self,
        start: &TireSpec,
        free: &[&'static Parameter],
        channels: [bool; 3],
    ) -> Result<Option<SearchResult>, TireError> {
        if free.is_empty() {
            return Ok(None);
        }
        let values = self
            .rows
            .iter()
            .flat_map(|r| r.measured().into_iter().zip(channels))
            .filter(|(measured, counts)| measured.is_some() && *counts)
            .count();
        if values <= free.len() {
            return Err(TireError::TooFewValues {
                values,
                needed: free.len() + 1,
                inputs: free.len(),
            });
        }
        let spec_at = |x: &DVector<f64>| {
            let mut spec = *start;
            for (p, &x) in free.iter().zip(x.iter()) {
                (p.input.set)(&mut spec, p.value(x));
            }
            spec
        };
        let x0 = free.iter().map(|p| p.to_coordinate((p.input.get)(start)));
        let limits: Vec<[f64; 2]> = free.iter().map(|p| p.limits()).collect();
        let solution = least_squares(
            DVector::from_iterator(free.len(), x0),
            &limits,
            |x| self.weighted(&spec_at(x), channels),
            self.interrupt,
        )
        .ok_or(TireError::Interrupted)?;
        let spare = (values - free.len()) as f64;
        Ok(Some(SearchResult {
            spec: spec_at(&solution.x),
            errors: standard_errors(free, &solution, spare, self.interrupt)
                .ok_or(TireError::Interrupted)?,
            solution,
        }))
    }

    /// The largest normalized slip among the rows of each direction.
    fn reach(&self, spec: &TireSpec) -> RowReach {
        let mut reached = [0.0f64; 2];
        let folding = PressureFolding::of(spec);
        for row in self.rows {
            let tire = folding.slip_numbers(row.pressure);
            let contact = tire.contact(row.load, row.camber, 1.0);
            let slip = theoretical_slip(row.slip_ratio, row.slip_angle);
            let normalization = [tire.x.normalization, tire.y.normalization];
            for i in 0..2 {
                if row.measured()[i].is_some() {
                    let s = (slip[i] * contact.elastic[i] * normalization[i]).abs();
                    reached[i] = reached[i].max(s);
                }
            }
        }
        RowReach::Known(reached)
    }
}

/// Standard errors: the covariance is the variance of the residuals, over the spare values, times
/// the inverse of J^T J, carried over to the inputs by the slope of their coordinates. Infinite at
/// a limit and where the rows do not determine the input; `None` when interrupted.
fn standard_errors(
    free: &[&'static Parameter],
    solution: &LeastSquares,
    spare: f64,
    interrupt: Interrupt<'_>,
) -> Option<Vec<f64>> {
    let variance = solution.sum_of_squares / spare;
    let inverse = normal_matrix(&solution.jacobian, interrupt)?.try_inverse();
    let errors = free
        .iter()
        .zip(solution.x.iter())
        .enumerate()
        .map(|(i, (p, &x))| match &inverse {
            Some(m) if m[(i, i)] >= 0.0 && !p.at_limit(x) => {
                (variance * m[(i, i)]).sqrt() * p.slope(x).abs()
            }
            _ => f64::INFINITY,
        })
        .collect();
    Some(errors)
}
