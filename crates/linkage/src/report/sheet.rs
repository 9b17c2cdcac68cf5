//! The tables of one end, whatever its kind.

use axletree_report::{Column, Figure, Figures, Quantity};

use crate::curves::FitError;
use crate::instant::Screw;

/// Tables of the linkage of one end: figures at static, values over the travel, energy of binding,
/// compliance.
#[derive(Clone, Debug, PartialEq)]
pub struct LinkageSheet {
    /// Figures at static.
    pub figures: Figures,
    /// Kinematic values over the travel, exact.
    pub curves: Vec<Column>,
    /// Force or moment of binding over the travel, with parts of its energy, exact.
    pub binding: Vec<Column>,
    /// Compliance of the left wheel: the first row by its own load, the second by the right
    /// wheel's.
    pub compliance: Vec<Column>,
    /// Stiffness against wind-up; none where nothing winds up `[N*m/rad]`.
    pub windup: Option<f64>,
    /// Instant screw axes, each by its name; none for a motion without turn.
    pub axes: Vec<(&'static str, Option<Screw>)>,
    /// Largest errors of the polynomials that the equations of motion use.
    pub fit: Vec<FitError>,
}

/// A figure; without a value where that is not finite.
pub(super) fn figure(quantity: Quantity, value: f64) -> Figure {
    Figure {
        quantity,
        value: value.is_finite().then_some(value),
    }
}

/// A column of values of rows.
pub(super) fn column<R>(quantity: Quantity, rows: &[R], value: impl Fn(&R) -> f64) -> Column {
    Column {
        quantity,
        values: rows.iter().map(value).collect(),
    }
}

/// Height of the roll center at static.
pub(super) const ROLL_CENTER: Quantity = Quantity::new(
    "roll_center_height",
    "m",
    "Height of the roll center above the road",
);
/// Height of the roll center over the travel.
pub(super) const ROLL_CENTER_MOVED: Quantity = Quantity::new(
    "roll_center_height",
    "m",
    "Height of the roll center above the road, which moves with the wheels",
);
/// Anti-squat.
pub(super) const ANTI_SQUAT: Quantity = Quantity::new(
    "anti_squat",
    "%",
    "Share of the load transfer in drive that the links carry",
);
/// Anti-lift.
pub(super) const ANTI_LIFT: Quantity = Quantity::new(
    "anti_lift",
    "%",
    "Share of the load transfer in braking that the links carry",
);
