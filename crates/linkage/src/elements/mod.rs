//! Springs, dampers and anti-roll bars between points of the body and of the moving parts.

mod bar_end;
mod force_element;
mod side;

pub use bar_end::BarEnd;
pub use force_element::ForceElement;
pub use side::Side;
