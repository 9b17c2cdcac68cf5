//! The keys of all entries, one per row of the tables of declarations.

pub use super::bar::*;
pub use super::compliance::*;
pub use super::drive::*;
pub use super::end::*;
pub use super::geometry::*;
pub use super::links::*;
pub use super::spring::*;
pub use super::tire::*;
pub use super::whole::*;
