//! The linkage of a solid axle from its entries.

use axletree_linkage::axle::{FourLink, Panhard, Rod, ThreeLink, TorqueArm, Watts};
use axletree_linkage::{AxleLinkage, AxleRange, BodyId, Linkage};

use super::place::to_nanometer;
use crate::assemble::end::{EndEntries, MaterialKey};
use crate::assemble::rest::StaticEquilibrium;
use crate::description::declare::key::{CarEnd, Key, LinkEndKind};
use crate::description::declare::keys;
use crate::description::declare::words::{LateralType, LinksType, PivotOn};

/// A rod from body to axle.
fn rod(
    end: EndEntries<'_>,
    link: MaterialKey,
    body: Key<LinkEndKind>,
    axle: Key<LinkEndKind>,
) -> Rod {
    Rod {
        body: end.link_end(link, body, BodyId::Body),
        axle: end.link_end(link, axle, BodyId::Carrier),
    }
}

/// Links, springs, dampers and bar, and the travel to cover.
pub(super) fn describe(
    end: EndEntries<'_>,
    kind: LinksType,
    rest: &StaticEquilibrium,
) -> (AxleLinkage, AxleRange) {
    let car = end.car;
    let lower = rod(
        end,
        keys::LINKS_LOWER_MATERIAL.at(CarEnd::Rear),
        keys::LINKS_LOWER_BODY,
        keys::LINKS_LOWER_AXLE,
    );
    let upper = || {
        rod(
            end,
            keys::LINKS_UPPER_MATERIAL.at(CarEnd::Rear),
            keys::LINKS_UPPER_BODY,
            keys::LINKS_UPPER_AXLE,
        )
    };
    let links = match kind {
        LinksType::ThreeLinks => {
            let upper = upper();
            ThreeLink { lower, upper }.parts()
        }
        LinksType::TorqueArm => torque_arm(end, lower),
        // Five links are four with a lateral location.
        _ => {
            let upper = upper();
            FourLink { lower, upper }.parts()
        }
    };
    let parts = match car.value(keys::LATERAL_TYPE) {
        LateralType::None => links,
        LateralType::PanhardBar => links.and(
            Panhard {
                rod: rod(
                    end,
                    keys::LATERAL_BAR_MATERIAL,
                    keys::LATERAL_BAR_BODY,
                    keys::LATERAL_BAR_AXLE,
                ),
            }
            .parts(),
        ),
        LateralType::WattsLinkage => links.and(watts(end)),
    };
    let side = end.side(true);
    let sides = [side.clone(), side.mirrored()];
    // Level at ride height, at the mean height of the wheel centers.
    let height = to_nanometer(0.5 * (rest.wheels[2].center[2] + rest.wheels[3].center[2]));
    let linkage = AxleLinkage {
        parts,
        center: [0.0, 0.0, height],
        half_track: 0.5 * end.value(keys::TRACK),
        sides,
    };
    let range = AxleRange {
        heave: car.value(keys::LINKS_HEAVE),
        roll: car.value(keys::LINKS_ROLL),
    };
    (linkage, range)
}

fn torque_arm(end: EndEntries<'_>, lower: Rod) -> Linkage {
    let mount = end.car.value(keys::LINKS_ARM_MOUNT);
    let mut parts = TorqueArm {
        lower,
        mount: mount.at,
        bushing: end.bushing(Some(keys::LINKS_ARM_MATERIAL), keys::LINKS_ARM_MOUNT),
    }
    .parts();
    if let (Some(joint), Some(sleeve)) = (parts.joints.last_mut(), mount.sleeve) {
        joint.sleeve = sleeve;
    }
    parts
}

fn watts(end: EndEntries<'_>) -> Linkage {
    let pivot_on_axle = end.car.value(keys::LATERAL_PIVOT_ON) == PivotOn::Axle;
    // A rod's end on the crank counts as the end on what carries the crank.
    let rod = |link, crank, far| {
        let [body, axle] = if pivot_on_axle {
            [far, crank]
        } else {
            [crank, far]
        };
        rod(end, link, body, axle)
    };
    let pivot = end.car.value(keys::LATERAL_PIVOT);
    Watts {
        pivot_on_axle,
        pivot: pivot.at,
        axis: pivot.sleeve.unwrap_or([1.0, 0.0, 0.0]),
        pivot_length: end.car.value(keys::LATERAL_PIVOT_LENGTH),
        pivot_bushing: end.bushing(None, keys::LATERAL_PIVOT),
        rods: [
            rod(
                keys::LATERAL_LEFT_MATERIAL,
                keys::LATERAL_LEFT_CRANK,
                keys::LATERAL_LEFT_END,
            ),
            rod(
                keys::LATERAL_RIGHT_MATERIAL,
                keys::LATERAL_RIGHT_CRANK,
                keys::LATERAL_RIGHT_END,
            ),
        ],
    }
    .parts()
}
