//! Curves of corners and axles over their travel, as polynomials.

mod axle;
mod corner;
mod fit;
mod fitted_quantity;
mod polynomial;

pub use axle::{AxleCurves, SideSurfaces};
pub use corner::CornerCurves;
pub(crate) use fit::NormalEquations;
pub use fit::{FitBound, FitError};
pub use polynomial::{Curve, Moving, Surface, SurfaceInRoll};
