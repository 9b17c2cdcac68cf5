//! The links of an end, solved or taken over from another assembly.
//!
//! Points are given at ride height: x ahead of the end's own axle line, y left of the center plane,
//! z above the road. The wheel centers follow from the car at rest on its tires, which settles the
//! heights of the axle's or the corners' centers (of a pair under unequal loads, their mean). A
//! solved end is kept with the linkage it was solved from, so that an edit of another entry costs a
//! comparison.

use std::sync::Arc;

use axletree_linkage::{FitBound, Longitudinal};

use super::solved::{AxleLinks, CornerLinks, Links};
use super::{axle, corner, faults};
use crate::assemble::end::EndEntries;
use crate::assemble::rest::StaticEquilibrium;
use crate::description::declare::keys;
use crate::fault::Fault;

/// Figures are solved for a car of unit height, wheelbase and brake share; the anti effects are
/// proportional to wheelbase over height.
const UNIT: Longitudinal = Longitudinal {
    height: 1.0,
    wheelbase: 1.0,
    brake_share: 1.0,
};

/// The links of an end at rest; nothing for an end given by coefficients. Known links are taken
/// over if they were solved from the same linkage.
pub(in crate::assemble) fn solve(
    end: EndEntries<'_>,
    rest: &StaticEquilibrium,
    known: Option<&Arc<Links>>,
) -> Result<Option<Arc<Links>>, Vec<Fault>> {
    let Some(kind) = end.value(keys::LINKS_TYPE) else {
        return Ok(None);
    };
    let faults = |error| faults::of(end.end, &error);
    let solved = if kind.is_axle() {
        let (linkage, range) = axle::describe(end, kind, rest);
        if let Some(Links::Axle(links)) = known.map(AsRef::as_ref)
            && (&links.linkage, links.range) == (&linkage, range)
        {
            return Ok(known.cloned());
        }
        let solution = linkage
            .solve(range, FitBound::default(), UNIT)
            .map_err(faults)?;
        Links::Axle(Box::new(AxleLinks {
            linkage,
            range,
            solution,
        }))
    } else {
        let (linkage, range, subframe) = corner::describe(end, kind, rest);
        if let Some(Links::Corners(links)) = known.map(AsRef::as_ref)
            && (&links.linkage, links.range, &links.subframe) == (&linkage, range, &subframe)
        {
            return Ok(known.cloned());
        }
        let solution = linkage
            .solve(range, FitBound::default(), UNIT, subframe.as_ref())
            .map_err(faults)?;
        Links::Corners(Box::new(CornerLinks {
            linkage,
            range,
            subframe,
            solution,
        }))
    };
    Ok(Some(Arc::new(solved)))
}
