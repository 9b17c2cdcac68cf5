//! Conditions and texts that several tables share.

use super::row::{ConditionTest, When};
use super::shape::{EntryNeed, default, optional};

/// No hardpoints: with them the links settle the values of the entry.
pub(super) const BY_COEFFICIENTS: &[When] = &[("links.type", ConditionTest::Absent)];
/// Hardpoints, which springs, dampers and bars given by points go with.
pub(super) const WITH_LINKS: &[When] = &[("links.type", ConditionTest::Given)];

/// A point in place of a motion ratio.
pub(super) const BY_RATIO: EntryNeed = optional("its motion ratio is given as a coefficient");
/// The part under the moving end of a spring, damper or bar link.
pub(super) const ON_KNUCKLE: EntryNeed = default("knuckle", "the part that every linkage has");

/// The reason of steel's moduli.
pub(super) const STEEL: &str = "spring steel; Shigley, Mechanical Engineering Design; from memory";
