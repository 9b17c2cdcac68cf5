//! Checks of a linkage's parts, and the default direction of sleeves.

use axletree_scalar::Vec3;

use crate::error::LinkageError;
use crate::parts::{BodyId, Linkage, Triple};

/// Smallest length of a rod, and smallest distance of hinge points `[m]`.
const MIN_LENGTH: f64 = 1e-3;
/// Largest coordinate of a point, far outside any car `[m]`.
const MAX_COORDINATE: f64 = 20.0;

/// Sleeve of a link's end: as given, or horizontal and square to the link's direction `u`.
pub(crate) fn sleeve_of(
    name: &str,
    given: Option<Triple>,
    u: Vec3<f64>,
) -> Result<Vec3<f64>, LinkageError> {
    match given {
        Some(s) => axis_direction(name, s, "the sleeve has no length"),
        None => Ok(square_to(u)),
    }
}

/// Unit vector that is horizontal and square to `u`; sideways for an upright `u`.
fn square_to(u: Vec3<f64>) -> Vec3<f64> {
    let s = Vec3([u.y(), -u.x(), 0.0]);
    if s.norm() < 1e-3 {
        Vec3([0.0, 1.0, 0.0])
    } else {
        s.unit()
    }
}

/// Unit vector along `d`; `reason` goes into the error for a direction without length.
pub(crate) fn axis_direction(
    name: &str,
    d: Triple,
    reason: &'static str,
) -> Result<Vec3<f64>, LinkageError> {
    let v = Vec3(d);
    if v.norm().is_finite() && v.norm() > 1e-9 {
        return Ok(v.unit());
    }
    Err(LinkageError::Direction {
        name: name.to_owned(),
        reason,
    })
}

/// Checks the coordinates of a point.
pub(super) fn check_point(name: &str, p: Triple) -> Result<(), LinkageError> {
    if p.iter().all(|x| x.abs() <= MAX_COORDINATE) {
        return Ok(());
    }
    Err(LinkageError::Point {
        name: name.to_owned(),
        x: p[0],
        y: p[1],
        z: p[2],
    })
}

/// Checks the length of a rod or a hinge.
pub(super) fn check_length(name: &str, length: f64) -> Result<(), LinkageError> {
    if length >= MIN_LENGTH {
        return Ok(());
    }
    Err(LinkageError::TooShort {
        name: name.to_owned(),
        length,
        least: MIN_LENGTH,
    })
}

/// Checks that the ends of a part are on two bodies that move relative to each other.
pub(super) fn check_bodies(
    name: &str,
    ends: [BodyId; 2],
    members: usize,
) -> Result<(), LinkageError> {
    for body in ends {
        if let BodyId::Member(index) = body
            && index >= members
        {
            return Err(LinkageError::NoMember {
                name: name.to_owned(),
                index,
                count: members,
            });
        }
    }
    let [a, b] = ends;
    if a == b || (a.is_fixed() && b.is_fixed()) {
        return Err(LinkageError::SameBody {
            name: name.to_owned(),
        });
    }
    Ok(())
}

/// Every name that several parts have.
pub(super) fn repeated_names(parts: &Linkage) -> Vec<LinkageError> {
    let mut names: Vec<&str> = parts
        .links
        .iter()
        .map(|l| l.name.as_str())
        .chain(parts.members.iter().map(|m| m.name.as_str()))
        .chain(parts.joints.iter().map(|j| j.name.as_str()))
        .collect();
    names.sort_unstable();
    let mut repeated: Vec<&str> = names
        .windows(2)
        .filter(|w| w[0] == w[1])
        .map(|w| w[0])
        .collect();
    repeated.dedup();
    repeated
        .into_iter()
        .map(|name| LinkageError::SameName {
            name: name.to_owned(),
        })
        .collect()
}
