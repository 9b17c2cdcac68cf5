//! Tables of a solved linkage, for people.

mod axle;
mod binding;
mod compliance;
mod corner;
mod sheet;

pub use sheet::LinkageSheet;
