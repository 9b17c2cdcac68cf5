//! The entries that a row declares: one, or those of a point, a direction or the end of a link.

use axletree_linkage::Material;

use super::row::{EntryRow, Pattern};
use super::shape::{EntryNeed, EntryShape};
use super::words::Words;

/// One entry of a row.
pub(super) struct GroupMember {
    /// Path below the end, or from the root.
    pub path: String,
    pub shape: EntryShape,
    pub need: EntryNeed,
    pub meaning: &'static str,
}

/// Coordinates of a point: name, least and largest value `[mm]`, meaning.
const COORDINATES: [(&str, f64, f64, &str); 3] = [
    ("x", -2500.0, 2500.0, "ahead of this end's axle line"),
    ("y", -1500.0, 1500.0, "left of the center plane"),
    ("z", -200.0, 1500.0, "above the road at ride height"),
];

/// Components of a direction.
const COMPONENTS: [(&str, &str); 3] = [("x", "forward"), ("y", "to the left"), ("z", "upward")];

/// Rates of a link's end in place of its material's: name, unit, range, meaning.
const RATES: [(&str, &str, f64, f64, &str); 5] = [
    (
        "radial",
        "kN/mm",
        0.01,
        1000.0,
        "rate perpendicular to its sleeve",
    ),
    ("axial", "kN/mm", 0.01, 1000.0, "rate along its sleeve"),
    (
        "torsional",
        "N*m/deg",
        0.0,
        1000.0,
        "rate of a turn about its sleeve",
    ),
    (
        "conical",
        "N*m/deg",
        0.0,
        2000.0,
        "rate of a tilt of its sleeve",
    ),
    (
        "tilt_limit",
        "deg",
        0.5,
        60.0,
        "tilt at which it runs solid",
    ),
];

/// Number of entries of a link's end before the direction of its sleeve.
pub(in crate::description) const BEFORE_SLEEVE: usize = 3 + 1 + RATES.len();

/// The entries of a row, in the order of a file.
pub(super) fn members(row: &EntryRow) -> Vec<GroupMember> {
    let shape = match row.pattern {
        Pattern::Quantity { unit, low, high } => EntryShape::Quantity { unit, low, high },
        Pattern::Choice(words) => EntryShape::Choice(words),
        Pattern::Text { longest, lines } => EntryShape::Text { longest, lines },
        Pattern::Point => return point(row, row.need),
        Pattern::Direction => return direction(row.path, row.meaning, row.need),
        Pattern::LinkEnd { sleeve } => return link_end(row, sleeve),
    };
    vec![GroupMember {
        path: row.path.to_owned(),
        shape,
        need: row.need,
        meaning: row.meaning,
    }]
}

/// A text that is made once, when the declarations are, and kept.
fn lasting(text: String) -> &'static str {
    Box::leak(text.into_boxed_str())
}

fn point(row: &EntryRow, need: EntryNeed) -> Vec<GroupMember> {
    COORDINATES
        .iter()
        .map(|(axis, low, high, words)| GroupMember {
            path: format!("{}.{axis}", row.path),
            shape: EntryShape::Quantity {
                unit: "mm",
                low: *low,
                high: *high,
            },
            need,
            meaning: lasting(format!("{}: {words}", row.meaning)),
        })
        .collect()
}

fn direction(path: &str, meaning: &str, need: EntryNeed) -> Vec<GroupMember> {
    COMPONENTS
        .iter()
        .map(|(axis, words)| GroupMember {
            path: format!("{path}.{axis}"),
            shape: EntryShape::Quantity {
                unit: "",
                low: -1.0,
                high: 1.0,
            },
            need,
            meaning: lasting(format!(
                "{meaning}: its component {words}, for a direction of any length"
            )),
        })
        .collect()
}

/// Point, material, rates in place of the material's, direction of the sleeve.
fn link_end(row: &EntryRow, sleeve: Option<&'static str>) -> Vec<GroupMember> {
    let mut members = point(row, EntryNeed::Required);
    members.push(GroupMember {
        path: format!("{}.material", row.path),
        shape: EntryShape::Choice(Material::WORDS),
        need: row.need,
        meaning: lasting(format!("{}: material", row.meaning)),
    });
    members.extend(
        RATES
            .iter()
            .map(|(name, unit, low, high, words)| GroupMember {
                path: format!("{}.{name}", row.path),
                shape: EntryShape::Quantity {
                    unit,
                    low: *low,
                    high: *high,
                },
                need: EntryNeed::Optional("the material's value"),
                meaning: lasting(format!("{}: {words}", row.meaning)),
            }),
    );
    if let Some(absent) = sleeve {
        members.extend(direction(
            &format!("{}.sleeve", row.path),
            &format!("{}: direction of its sleeve", row.meaning),
            EntryNeed::Optional(absent),
        ));
    }
    members
}
