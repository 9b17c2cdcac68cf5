//! A least-squares fit from measured force-slip rows to a tire's description.
//!
//! Rows come from a rig, a trailer, or a table in a paper. The fit frees only what they can tell:
//! how friction falls with load needs two loads, the shape of the curve needs slip beyond the peak,
//! and so on; every other input keeps the value of the description given as a start. What was freed,
//! how well each value is known, how far the fitted tire is from the rows, and what had to be kept
//! are all in the result.
//!
//! Forces are fitted first, the moment after them with the forces held, so that a moment the model
//! cannot follow does not spoil the forces. Residuals are relative to each channel's own root mean
//! square, so that both forces weigh alike. The minimum is found by Levenberg and Marquardt's method ([`least_squares`]), in
//! coordinates that keep each input in its range ([`parameters`]).
//!
//! - [`rows`]: a measured row, and what a set of rows holds.
//! - [`parameters`]: the inputs that can be fitted.
//! - [`report`]: what a fit tells.
//! - [`least_squares`]: the minimum of a sum of squares.

use nalgebra::{DMatrix, DVector};

use crate::error::TireError;
use crate::slip;
use crate::spec::TireSpec;

pub mod least_squares;
pub mod parameters;
pub mod report;
pub mod rows;

pub use least_squares::Ending;
pub use report::{Fit, Fitted, Need, Note, Residuals};
pub use rows::ForceRow;

use parameters::{PARAMETERS, Parameter, Part, Reach};
use rows::Holdings;

/// Fits a tire to rows, starting from a description.
pub fn fit(start: &TireSpec, rows: &[ForceRow]) -> Result<Fit, TireError> {
    start.check().map_err(TireError::Spec)?;
    rows::check(rows)?;
    let problem = Problem::new(start, rows);
    for &pressure in &problem.holdings.pressures {
        start.at(pressure)?;
    }

    // A first pass without what shapes the curve tells how far along it the rows reach.
    let first = problem.choose(start, Reach::Unknown);
    let near = match problem.solve(start, &first.forces, FORCES)? {
        Some(found) => found.spec,
        None => *start,
    };

    // Inputs that the reach rules out return to their start.
    let chosen = problem.choose(start, problem.reach(&near));
    let mut spec = *start;
    for p in &chosen.forces {
        if first.forces.iter().any(|q| q.name == p.name) {
            (p.set)(&mut spec, (p.get)(&near));
        }
    }

    let mut fit = Fit {
        spec,
        fitted: Vec::new(),
        residuals: distances(start, rows),
        notes: chosen.kept,
        ending: Ending::Converged,
        iterations: 0,
    };
    for (free, channels) in [(&chosen.forces, FORCES), (&chosen.moment, MOMENT)] {
        if let Some(found) = problem.solve(&fit.spec, free, channels)? {
            fit.take(free, &found);
        }
    }
    if fit.fitted.is_empty() {
        return Err(TireError::TooFewValues {
            values: problem.holdings.values,
            needed: rows::LEAST_ROWS,
            inputs: 1,
        });
    }
    fit.residuals = distances(&fit.spec, rows);
    Ok(fit)
}

/// The channels of the forces and of the moment among (F_x, F_y, M_z).
const FORCES: [bool; 3] = [true, true, false];
const MOMENT: [bool; 3] = [false, false, true];

impl Fit {
    /// Takes over one search's result.
    fn take(&mut self, free: &[&'static Parameter], found: &Found) {
        self.spec = found.spec;
        self.iterations += found.solution.iterations;
        if found.solution.ending == Ending::StepsUsedUp {
            self.ending = Ending::StepsUsedUp;
        }
        for ((p, &standard_error), &x) in
            free.iter().zip(&found.errors).zip(found.solution.x.iter())
        {
            let (name, value) = (p.name, (p.get)(&self.spec));
            let fitted = Fitted {
                name,
                value,
                standard_error,
            };
            if p.scale.at_limit(x) {
                self.notes.push(Note::AtLimit { name, value });
            } else if is_weak(&fitted) {
                self.notes.push(Note::Weak {
                    name,
                    value,
                    standard_error,
                });
            }
            self.fitted.push(fitted);
        }
    }
}

/// Whether a standard error is as large as half the value; coefficients near zero count from 0.1.
fn is_weak(f: &Fitted) -> bool {
    f.standard_error.is_nan() || f.standard_error > 0.5 * f.value.abs().max(0.1)
}

/// The inputs to fit, and why the others are kept.
struct Chosen {
    forces: Vec<&'static Parameter>,
    moment: Vec<&'static Parameter>,
    kept: Vec<Note>,
}

/// The result of one search.
struct Found {
    spec: TireSpec,
    solution: least_squares::Solution,
    /// Standard errors of the inputs.
    errors: Vec<f64>,
}

/// The rows with what is derived from them once.
struct Problem<'a> {
    rows: &'a [ForceRow],
    holdings: Holdings,
    /// Reciprocal root mean square of each channel's measurements.
    weights: [f64; 3],
}

impl<'a> Problem<'a> {
    fn new(start: &TireSpec, rows: &'a [ForceRow]) -> Self {
        let weights = [0, 1, 2].map(|channel| {
            let squares: Vec<f64> = rows
                .iter()
                .filter_map(|r| r.measured()[channel])
                .map(|v| v * v)
                .collect();
            let mean = squares.iter().sum::<f64>() / squares.len().max(1) as f64;
            if mean > 0.0 { mean.sqrt().recip() } else { 1.0 }
        });
        Problem {
            rows,
            holdings: Holdings::of(rows, start),
            weights,
        }
    }

    /// Which inputs the rows can tell, given how far along the curve they reach.
    fn choose(&self, start: &TireSpec, reach: Reach) -> Chosen {
        let mut chosen = Chosen {
            forces: Vec::new(),
            moment: Vec::new(),
            kept: Vec::new(),
        };
        for p in &PARAMETERS {
            match self.holdings.lacks(p, reach) {
                None if p.part == Part::Moment => chosen.moment.push(p),
                None => chosen.forces.push(p),
                Some(needs) => chosen.kept.push(Note::Kept {
                    name: p.name,
                    value: (p.get)(start),
                    needs,
                }),
            }
        }
        chosen
    }

    /// The residuals of one tire in the order of the rows, weighed. `None` where the description
    /// leaves its ranges.
    fn weighed(&self, spec: &TireSpec, channels: [bool; 3]) -> Option<DVector<f64>> {
        if self
            .holdings
            .pressures
            .iter()
            .any(|&p| !spec.faults_at(p).is_empty())
        {
            return None;
        }
        let mut all = Vec::with_capacity(self.holdings.values);
        for row in self.rows {
            let model = evaluate(spec, row);
            for (channel, measured) in row.measured().into_iter().enumerate() {
                if let (Some(measured), true) = (measured, channels[channel]) {
                    all.push((model[channel] - measured) * self.weights[channel]);
                }
            }
        }
        Some(DVector::from_vec(all))
    }

    /// The best values of some inputs for some channels; `None` if there are no inputs.
    fn solve(
        &self,
        start: &TireSpec,
        free: &[&'static Parameter],
        channels: [bool; 3],
    ) -> Result<Option<Found>, TireError> {
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
                (p.set)(&mut spec, p.scale.value(x));
            }
            spec
        };
        let x0 = free.iter().map(|p| p.scale.coordinate((p.get)(start)));
        let solution = least_squares::minimize(
            DVector::from_iterator(free.len(), x0),
            |i, x| free[i].scale.held(x),
            |x| self.weighed(&spec_at(x), channels),
        );
        let spare = (values - free.len()) as f64;
        Ok(Some(Found {
            spec: spec_at(&solution.x),
            errors: standard_errors(free, &solution, spare),
            solution,
        }))
    }

    /// The largest normalized slip among the rows of each direction.
    fn reach(&self, spec: &TireSpec) -> Reach {
        let mut reached = [0.0f64; 2];
        for row in self.rows {
            let tire = spec.fold(row.pressure);
            let contact = tire.contact(row.load, row.camber, 1.0);
            let slip = slip::theoretical(row.slip_ratio, row.slip_angle);
            let normalization = [tire.x.normalization, tire.y.normalization];
            for i in 0..2 {
                if row.measured()[i].is_some() {
                    let s = (slip[i] * contact.elastic[i] * normalization[i]).abs();
                    reached[i] = reached[i].max(s);
                }
            }
        }
        Reach::Known(reached)
    }
}

/// How far a description is from rows.
pub fn residuals(spec: &TireSpec, rows: &[ForceRow]) -> Result<Residuals, TireError> {
    rows::check(rows)?;
    for row in rows {
        spec.at(row.pressure)?;
    }
    Ok(distances(spec, rows))
}

fn distances(spec: &TireSpec, rows: &[ForceRow]) -> Residuals {
    let rms = |channel: usize| {
        let squares: Vec<f64> = rows
            .iter()
            .filter_map(|r| {
                let d = evaluate(spec, r)[channel] - r.measured()[channel]?;
                Some(d * d)
            })
            .collect();
        (!squares.is_empty()).then(|| (squares.iter().sum::<f64>() / squares.len() as f64).sqrt())
    };
    Residuals {
        fx: rms(0),
        fy: rms(1),
        mz: rms(2),
    }
}

/// Standard errors: the covariance is the variance of the residuals, over the spare values, times the
/// inverse of J^T J, carried over to the inputs by the slope of their coordinates. Infinite at a limit
/// and where the rows do not tell the input.
fn standard_errors(
    free: &[&'static Parameter],
    solution: &least_squares::Solution,
    spare: f64,
) -> Vec<f64> {
    let variance = solution.sum_of_squares / spare;
    let normal: DMatrix<f64> = solution.jacobian.transpose() * &solution.jacobian;
    let inverse = normal.try_inverse();
    free.iter()
        .zip(solution.x.iter())
        .enumerate()
        .map(|(i, (p, &x))| match &inverse {
            Some(m) if m[(i, i)] >= 0.0 && !p.scale.at_limit(x) => {
                (variance * m[(i, i)]).sqrt() * p.scale.slope(x).abs()
            }
            _ => f64::INFINITY,
        })
        .collect()
}

/// The model's (F_x, F_y, M_z) for a row.
fn evaluate(spec: &TireSpec, row: &ForceRow) -> [f64; 3] {
    let slip = slip::theoretical(row.slip_ratio, row.slip_angle);
    let force = spec
        .fold(row.pressure)
        .force(slip, row.load, row.camber, 1.0);
    [force.fx, force.fy, force.mz]
}
