//! Figures and columns.

use crate::quantity::Quantity;

/// A quantity with its value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure {
    /// The quantity.
    pub quantity: Quantity,
    /// Its value, in its unit; none where it does not exist for this car.
    pub value: Option<f64>,
}

/// A quantity with one value a row.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// The quantity.
    pub quantity: Quantity,
    /// Its values, in its unit.
    pub values: Vec<f64>,
}

/// Figures in order.
///
/// ```
/// use axletree_report::{Figure, Figures, Quantity};
///
/// let figures = Figures::from(vec![Figure {
///     quantity: Quantity::new("wheelbase", "m", "Distance of the axles"),
///     value: Some(2.57),
/// }]);
/// assert_eq!(figures.get("wheelbase"), Some(2.57));
/// assert_eq!(figures.get("track"), None);
/// ```
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Figures(pub Vec<Figure>);

impl Figures {
    /// The value of a figure by its key; none where there is no such figure or it has no value.
    pub fn get(&self, key: &str) -> Option<f64> {
        self.0
            .iter()
            .find(|figure| figure.quantity.key == key)
            .and_then(|figure| figure.value)
    }
}

impl From<Vec<Figure>> for Figures {
    fn from(figures: Vec<Figure>) -> Self {
        Figures(figures)
    }
}
