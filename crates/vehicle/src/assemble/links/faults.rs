//! Errors of a linkage as faults of the entries of its links.

use axletree_linkage::LinkageError;

use crate::description::declare::key::CarEnd;
use crate::fault::Fault;
use crate::fault_kind::FaultKind;

/// Names of parts, or their beginnings, and the tables of the parts' points.
const PARTS: &[(&str, &str)] = &[
    ("lower front link", "links.lower_front"),
    ("lower rear link", "links.lower_rear"),
    ("upper front link", "links.upper_front"),
    ("upper rear link", "links.upper_rear"),
    ("lower", "links.lower"),
    ("upper", "links.upper"),
    ("torque arm", "links.arm"),
    ("inner pivot", "links.arm"),
    ("outer pivot", "links.arm"),
    ("strut", "links.top"),
    ("tie rod", "links.toe"),
    ("Panhard bar", "lateral.bar"),
    ("Watt's rod 1", "lateral.left"),
    ("Watt's rod 2", "lateral.right"),
    ("Watt's crank", "lateral.pivot"),
    ("front left mount", "subframe.front"),
    ("front right mount", "subframe.front"),
    ("rear left mount", "subframe.rear"),
    ("rear right mount", "subframe.rear"),
    ("anti-roll bar", "bar"),
];

/// The faults of an error, each at the first part that it names, else at the kind of links. A pair
/// of links described once has one fault, not one on each side.
pub(super) fn of(end: CarEnd, error: &LinkageError) -> Vec<Fault> {
    let mut described = Vec::new();
    let mut faults = Vec::new();
    for error in error.faults() {
        let left = error.to_string().replace(" right\"", " left\"");
        if !described.contains(&left) {
            described.push(left);
            faults.push(one(end, error.clone()));
        }
    }
    faults
}

fn one(end: CarEnd, error: LinkageError) -> Fault {
    let path = first_name(&error)
        .and_then(|name| PARTS.iter().find(|(part, _)| name.starts_with(part)))
        .map_or("links.type", |(_, path)| path);
    Fault::new(
        format!("{}.{path}", end.name()),
        FaultKind::Linkage { error },
    )
}

fn first_name(error: &LinkageError) -> Option<&str> {
    use LinkageError as E;
    match error {
        E::Point { name, .. }
        | E::TooShort { name, .. }
        | E::Direction { name, .. }
        | E::SameBody { name }
        | E::SameName { name }
        | E::NoMember { name, .. }
        | E::Value { name, .. }
        | E::DropLink { name, .. } => Some(name),
        E::FreedomLeft { links, .. }
        | E::CannotAssemble { links, .. }
        | E::Locks { links, .. }
        | E::Toggles { links, .. }
        | E::Strained { links, .. }
        | E::NoStiffness { links, .. } => links.0.first().map(String::as_str),
        E::Several(_) => error.faults().first().and_then(first_name),
        E::TooManyMembers { .. } | E::Fit { .. } | E::Range { .. } => None,
    }
}
