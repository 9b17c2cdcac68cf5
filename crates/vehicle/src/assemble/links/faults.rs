//! What is wrong with links, told at the entries of the links.

use axletree_linkage::LinkageError;

use crate::assemble::End;
use crate::error::{Fault, FaultKind};

/// Names of parts, or how they begin, and the tables of their points.
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

/// A fault at the first part that an error names, else at the kind of links.
pub(super) fn of(end: End<'_>, error: LinkageError) -> Fault {
    let path = first_name(&error)
        .and_then(|name| PARTS.iter().find(|(part, _)| name.starts_with(part)))
        .map_or("links.type", |(_, path)| path);
    Fault::new(end.path(path), FaultKind::Linkage { error })
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
