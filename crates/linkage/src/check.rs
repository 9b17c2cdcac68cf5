//! The checks of a linkage's parts, and the sleeves that follow from them.

use axletree_scalar::Vec3;

use crate::error::LinkageError;
use crate::mechanism::v3;
use crate::parts::{Frame, Linkage, Triple};

/// Least length of a rod and least distance of hinge points [m].
const LEAST: f64 = 1e-3;

/// The sleeve of a link's end: as given, or horizontal and square to the link.
pub(crate) fn sleeve_of(
    name: &str,
    given: Option<Triple>,
    u: Vec3<f64>,
) -> Result<Vec3<f64>, LinkageError> {
    match given {
        Some(s) => direction(s).ok_or_else(|| LinkageError::Direction {
            name: name.to_owned(),
            reason: "the sleeve has no length",
        }),
        None => Ok(square_to(u)),
    }
}

/// Horizontal and square to `u`; for an upright `u`, sideways.
fn square_to(u: Vec3<f64>) -> Vec3<f64> {
    let s = Vec3([u.y(), -u.x(), 0.0]);
    if s.norm() < 1e-3 {
        Vec3([0.0, 1.0, 0.0])
    } else {
        s.unit()
    }
}

pub(crate) fn direction(d: Triple) -> Option<Vec3<f64>> {
    let v = v3(d);
    (v.norm().is_finite() && v.norm() > 1e-9).then(|| v.unit())
}

pub(crate) fn check_point(name: &str, p: Triple) -> Result<(), LinkageError> {
    if p.iter().all(|x| x.abs() <= 20.0) {
        return Ok(());
    }
    Err(LinkageError::Point {
        name: name.to_owned(),
        x: p[0],
        y: p[1],
        z: p[2],
    })
}

pub(crate) fn check_length(name: &str, length: f64) -> Result<(), LinkageError> {
    if length >= LEAST {
        return Ok(());
    }
    Err(LinkageError::TooShort {
        name: name.to_owned(),
        length,
        least: LEAST,
    })
}

pub(crate) fn check_different(name: &str, a: Frame, b: Frame) -> Result<(), LinkageError> {
    if a == b || (a.is_fixed() && b.is_fixed()) {
        return Err(LinkageError::SameBody {
            name: name.to_owned(),
        });
    }
    Ok(())
}

pub(crate) fn check_names(parts: &Linkage) -> Result<(), LinkageError> {
    let mut names: Vec<&str> = parts
        .links
        .iter()
        .map(|l| l.name.as_str())
        .chain(parts.members.iter().map(|m| m.name.as_str()))
        .chain(parts.joints.iter().map(|j| j.name.as_str()))
        .collect();
    names.sort_unstable();
    match names.windows(2).find(|w| w[0] == w[1]) {
        Some(w) => Err(LinkageError::SameName {
            name: w[0].to_owned(),
        }),
        None => Ok(()),
    }
}
