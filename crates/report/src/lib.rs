//! Quantities that people read, and tables of them.
//!
//! Every figure, column, channel and metric is declared once as a [`Quantity`]; labels, unit
//! tables, frames and documentation come from the declaration.
//!
//! - [`Quantity`]: key, unit, meaning, frame and source.
//! - [`Figure`]: a quantity with its value.
//! - [`Column`]: a quantity with one value a row.

mod quantity;
mod table;

pub use quantity::Quantity;
pub use table::{Column, Figure, Figures};
