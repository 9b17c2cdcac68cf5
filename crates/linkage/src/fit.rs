//! Polynomials through exact positions, and how far off they are.
//!
//! Value and slopes at static are the exact ones; the other coefficients are least squares over the
//! travel. Orders of the terms are those of the equations of motion: `c[0] + c[1] s + ... + c[4] s^4`
//! for a corner, `1, h, r, h^2, h r, r^2, h^3, h^2 r, h r^2, r^3` for an axle.

use axletree_scalar::elementary;
use nalgebra::{DMatrix, DVector};

/// A polynomial of one travel.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Curve {
    /// Coefficients, lowest power first [of the value per m^k].
    pub c: [f64; 5],
}

impl Curve {
    /// Value at a travel.
    pub fn at(&self, s: f64) -> f64 {
        self.c.iter().rev().fold(0.0, |sum, c| sum * s + c)
    }
    /// Slope at a travel.
    pub fn slope(&self, s: f64) -> f64 {
        let c = self.c;
        ((4.0 * c[4] * s + 3.0 * c[3]) * s + 2.0 * c[2]) * s + c[1]
    }
    /// The same with the opposite sign.
    #[must_use]
    pub fn negated(&self) -> Self {
        Curve {
            c: self.c.map(|c| -c),
        }
    }
}

/// A polynomial of an axle's heave and roll.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Surface {
    /// Coefficients in the order of the module's page [of the value per m^i rad^j].
    pub c: [f64; 10],
}

/// The ten terms.
fn terms(h: f64, r: f64) -> [f64; 10] {
    [
        1.0,
        h,
        r,
        h * h,
        h * r,
        r * r,
        h * h * h,
        h * h * r,
        h * r * r,
        r * r * r,
    ]
}

impl Surface {
    /// Value at heave and roll.
    pub fn at(&self, h: f64, r: f64) -> f64 {
        self.c.iter().zip(terms(h, r)).map(|(c, t)| c * t).sum()
    }
}

/// How far a polynomial is from the exact solution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FitError {
    /// Which curve.
    pub quantity: &'static str,
    /// Greatest error over the travel [unit].
    pub error: f64,
    /// Its unit, m or rad.
    pub unit: &'static str,
}

/// The greatest errors accepted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FitBound {
    /// Of the places of wheel and axle centers [m].
    pub length: f64,
    /// Of the travels of springs, dampers and bars [m].
    pub compression: f64,
    /// Of angles [rad].
    pub angle: f64,
}

impl Default for FitBound {
    /// Half a millimeter and 0.05 deg, below what a workshop can measure on a car; 1 mm of the some
    /// 100 mm that springs, dampers and bars travel, one percent of their force.
    fn default() -> Self {
        FitBound {
            length: 0.5e-3,
            compression: 1e-3,
            angle: 0.05f64.to_radians(),
        }
    }
}

/// Least squares with some columns shared by many right-hand sides.
pub(crate) struct Projector {
    columns: DMatrix<f64>,
    factor: Option<nalgebra::linalg::Cholesky<f64, nalgebra::Dyn>>,
    scale: Vec<f64>,
}

impl Projector {
    /// From rows of terms; columns are scaled to one.
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
        Projector {
            columns,
            factor,
            scale,
        }
    }

    /// Coefficients for one right-hand side; zeros when the travel has no width.
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

/// Fits curves over one set of travels.
pub(crate) struct CurveFit {
    travel: Vec<f64>,
    projector: Projector,
}

impl CurveFit {
    pub fn new(travel: &[f64]) -> Self {
        let rows: Vec<Vec<f64>> = travel
            .iter()
            .map(|&s| vec![s * s, elementary::powi(s, 3), elementary::powi(s, 4)])
            .collect();
        CurveFit {
            travel: travel.to_vec(),
            projector: Projector::new(&rows),
        }
    }

    /// With the exact value and slope at static; also the greatest error.
    pub fn fit(&self, values: &[f64], value: f64, slope: f64) -> (Curve, f64) {
        let rest: Vec<f64> = self
            .travel
            .iter()
            .zip(values)
            .map(|(s, v)| v - value - slope * s)
            .collect();
        let c = self.projector.solve(&rest);
        let curve = Curve {
            c: [value, slope, c[0], c[1], c[2]],
        };
        let error = self
            .travel
            .iter()
            .zip(values)
            .fold(0.0f64, |m, (s, v)| m.max((curve.at(*s) - v).abs()));
        (curve, error)
    }
}

/// Fits surfaces over one grid of travels.
pub(crate) struct SurfaceFit {
    travel: Vec<(f64, f64)>,
    projector: Projector,
}

impl SurfaceFit {
    pub fn new(travel: &[(f64, f64)]) -> Self {
        let rows: Vec<Vec<f64>> = travel
            .iter()
            .map(|&(h, r)| terms(h, r)[3..].to_vec())
            .collect();
        SurfaceFit {
            travel: travel.to_vec(),
            projector: Projector::new(&rows),
        }
    }

    /// With the exact value and slopes at static; also the greatest error.
    pub fn fit(&self, values: &[f64], value: f64, slopes: [f64; 2]) -> (Surface, f64) {
        let rest: Vec<f64> = self
            .travel
            .iter()
            .zip(values)
            .map(|(&(h, r), v)| v - value - slopes[0] * h - slopes[1] * r)
            .collect();
        let mut surface = Surface::default();
        surface.c[0] = value;
        surface.c[1] = slopes[0];
        surface.c[2] = slopes[1];
        surface.c[3..].copy_from_slice(&self.projector.solve(&rest));
        let error = self
            .travel
            .iter()
            .zip(values)
            .fold(0.0f64, |m, (&(h, r), v)| {
                m.max((surface.at(h, r) - v).abs())
            });
        (surface, error)
    }
}
