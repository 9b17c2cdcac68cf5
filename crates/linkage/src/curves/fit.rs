//! Polynomials fitted to exact positions, with their errors.
//!
//! Value and slopes at static are the exact ones; the other coefficients are least squares over the
//! travel.

use axletree_scalar::elementary;
use nalgebra::{DMatrix, DVector};

use crate::curves::polynomial::{Curve, Surface};

/// Error of a polynomial against the exact solution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FitError {
    /// The quantity.
    pub quantity: &'static str,
    /// Largest error over the travel `[unit]`.
    pub error: f64,
    /// Its unit, m or rad.
    pub unit: &'static str,
}

/// Largest errors of polynomials that are accepted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FitBound {
    /// For positions of wheel and axle centers `[m]`.
    pub length: f64,
    /// For compressions of springs and dampers and the travel of bar ends `[m]`.
    pub compression: f64,
    /// For angles `[rad]`.
    pub angle: f64,
}

impl Default for FitBound {
    /// 0.5 mm and 0.05 deg, less than a workshop can measure on a car; 1 mm of the roughly 100 mm
    /// that springs, dampers and bar ends travel, 1 % of their force (our choice).
    fn default() -> Self {
        FitBound {
            length: 0.5e-3,
            compression: 1e-3,
            angle: 0.05f64.to_radians(),
        }
    }
}

/// Normal equations of a linear least-squares problem, for many right-hand sides.
pub(crate) struct NormalEquations {
    columns: DMatrix<f64>,
    factor: Option<nalgebra::linalg::Cholesky<f64, nalgebra::Dyn>>,
    scale: Vec<f64>,
}

impl NormalEquations {
    /// From the terms of each row; every column is scaled to a largest entry of one.
    pub fn new(rows: &[Vec<f64>]) -> Self {
        let (m, n) = (rows.len(), rows.first().map_or(0, Vec::len));
        let mut columns = DMatrix::from_fn(m, n, |i, j| rows[i][j]);
        let mut scale = Vec::with_capacity(n);
        for mut column in columns.column_iter_mut() {
            let size = column.amax().max(f64::MIN_POSITIVE);
            column /= size;
            scale.push(size);
        }
        let factor = (columns.transpose() * &columns).cholesky();
        NormalEquations {
            columns,
            factor,
            scale,
        }
    }

    /// Coefficients for one right-hand side; zeros for a singular problem.
    pub fn solve(&self, values: &[f64]) -> Vec<f64> {
        let b = DVector::from_column_slice(values);
        match &self.factor {
            Some(factor) => {
                let x = factor.solve(&(self.columns.transpose() * b));
                x.iter().zip(&self.scale).map(|(x, s)| x / s).collect()
            }
            None => vec![0.0; self.scale.len()],
        }
    }
}

/// Fit of curves over one set of travels.
pub(crate) struct CurveFit {
    travel: Vec<f64>,
    equations: NormalEquations,
}

impl CurveFit {
    pub fn new(travel: &[f64]) -> Self {
        let rows: Vec<Vec<f64>> = travel
            .iter()
            .map(|&s| vec![s * s, elementary::powi(s, 3), elementary::powi(s, 4)])
            .collect();
        CurveFit {
            travel: travel.to_vec(),
            equations: NormalEquations::new(&rows),
        }
    }

    /// The curve with the exact value and slope at static, and its largest error.
    pub fn fit(&self, values: &[f64], value: f64, slope: f64) -> (Curve<f64>, f64) {
        let rest: Vec<f64> = self
            .travel
            .iter()
            .zip(values)
            .map(|(s, v)| v - value - slope * s)
            .collect();
        let c = self.equations.solve(&rest);
        let curve = Curve {
            c: [value, slope, c[0], c[1], c[2]],
        };
        let error = self
            .travel
            .iter()
            .zip(values)
            .fold(0.0f64, |m, (s, v)| m.max((curve.plain_value(*s) - v).abs()));
        (curve, error)
    }
}

/// Fit of surfaces over one grid of travels.
pub(crate) struct SurfaceFit {
    travel: Vec<(f64, f64)>,
    equations: NormalEquations,
}

impl SurfaceFit {
    pub fn new(travel: &[(f64, f64)]) -> Self {
        let rows: Vec<Vec<f64>> = travel
            .iter()
            .map(|&(h, r)| Surface::terms(h, r)[3..].to_vec())
            .collect();
        SurfaceFit {
            travel: travel.to_vec(),
            equations: NormalEquations::new(&rows),
        }
    }

    /// The surface with the exact value and slopes at static, and its largest error.
    pub fn fit(&self, values: &[f64], value: f64, slopes: [f64; 2]) -> (Surface<f64>, f64) {
        let rest: Vec<f64> = self
            .travel
            .iter()
            .zip(values)
            .map(|(&(h, r), v)| v - value - slopes[0] * h - slopes[1] * r)
            .collect();
        let mut surface = Surface::plane(value, slopes[0], slopes[1]);
        surface.c[3..].copy_from_slice(&self.equations.solve(&rest));
        let error = self
            .travel
            .iter()
            .zip(values)
            .fold(0.0f64, |m, (&(h, r), v)| {
                m.max((surface.plain_value(h, r) - v).abs())
            });
        (surface, error)
    }
}
