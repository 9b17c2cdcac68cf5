//! Formulas of springs, bars, dampers and parts in series.
//!
//! - [`section`]: second moments of round bars and tubes.
//! - [`bar`]: the rate of an anti-roll bar from its shape.
//! - [`spring`]: the rate of a coil spring from its wire.
//! - [`series`]: springs in series.
//! - [`damper`]: the curve of a damper at a setting.

pub mod bar;
pub mod damper;
pub mod section;
pub mod series;
pub mod spring;
