//! Springs, bars, dampers and what stands in series with them, each as one formula or a few.
//!
//! - [`section`]: second moments of round bars and tubes.
//! - [`bar`]: the rate of an anti-roll bar from its shape.
//! - [`spring`]: the rate of a coil spring from its wire.
//! - [`motion`]: what a spring or damper is at the wheel.
//! - [`series`]: springs in series, links with bushings.
//! - [`damper`]: a damper's setting.
//! - [`ride`]: ride rates, frequencies, damping ratios.

pub mod bar;
pub mod damper;
pub mod motion;
pub mod ride;
pub mod section;
pub mod series;
pub mod spring;
