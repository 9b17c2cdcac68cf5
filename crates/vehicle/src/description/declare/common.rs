//! Conditions and texts that several tables share.

use super::row::{Test, When};
use super::shape::{Need, default, optional};

/// No hardpoints: with them the links settle the values of the entry.
pub(super) const BY_COEFFICIENTS: &[When] = &[("links.type", Test::Absent)];
/// Hardpoints, which springs, dampers and bars given by points go with.
pub(super) const WITH_LINKS: &[When] = &[("links.type", Test::Given)];

/// A point in place of a motion ratio.
pub(super) const BY_RATIO: Need = optional("its motion ratio is given as a coefficient");
/// The part under the moving end of a spring, damper or bar link.
pub(super) const ON_KNUCKLE: Need = default("knuckle", "the part that every linkage has");

/// The reason of steel's moduli.
pub(super) const STEEL: &str = "spring steel; Shigley, Mechanical Engineering Design; from memory";
