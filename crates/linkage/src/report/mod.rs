//! Tables and views of a solved linkage, for people.

mod axle;
mod binding;
mod compliance;
mod corner;
mod sheet;
mod view;

pub use sheet::LinkageSheet;
pub use view::LinkageView;
