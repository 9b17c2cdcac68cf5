//! The linkage of two independently sprung wheels from its entries, left side.

use axletree_linkage::corner::{
    DoubleWishbone, MacPherson, MultiLink, SemiTrailing, TieRod, Wishbone,
};
use axletree_linkage::{
    Alignment, BodyId, CornerLinkage, CornerRange, Link, Linkage, Mount, Subframe, mirror,
};

use super::place::to_nanometer;
use crate::assemble::end::{EndEntries, MaterialKey, MaterialKind};
use crate::assemble::rest::StaticEquilibrium;
use crate::description::declare::key::{CarEnd, EndKey, Key, LinkEndKind};
use crate::description::declare::keys;
use crate::description::declare::words::{LinksType, SubframeType};

/// Links, spring, damper and bar, the travel to cover, and the subframe.
pub(super) fn describe(
    end: EndEntries<'_>,
    kind: LinksType,
    rest: &StaticEquilibrium,
) -> (CornerLinkage, CornerRange, Option<Subframe>) {
    let front = end.end == CarEnd::Front;
    let subframe = subframe(end);
    let on = if subframe.is_some() {
        BodyId::Subframe
    } else {
        BodyId::Body
    };
    let toe_on = if front { BodyId::Rack } else { on };
    let (parts, axis) = match kind {
        LinksType::Strut => {
            let top = keys::LINKS_TOP_MOUNT.at(end.end);
            let strut = MacPherson {
                lower: lower_arm(end, on),
                top: end.car.value(top).at,
                axis_point: end.value(keys::LINKS_FOOT),
                top_bushing: end.bushing(Some(keys::LINKS_TOP_MATERIAL.at(end.end)), top),
                tie_rod: tie_rod(end, toe_on),
            };
            (
                with_sleeves(end, strut.parts()),
                Some(strut.steering_axis()),
            )
        }
        LinksType::DoubleWishbone => {
            let wishbones = DoubleWishbone {
                lower: lower_arm(end, on),
                upper: upper_wishbone(end, on),
                tie_rod: tie_rod(end, toe_on),
            };
            let axis = wishbones.steering_axis();
            (with_sleeves(end, wishbones.parts()), Some(axis))
        }
        LinksType::MultiLink => (multi_link(end, on, toe_on), None),
        // The semi-trailing arm; links of axles are described elsewhere.
        _ => {
            let hinge = [keys::LINKS_ARM_INNER, keys::LINKS_ARM_OUTER];
            let arm = SemiTrailing {
                on,
                hinge: hinge.map(|key| end.car.value(key).at),
                bushings: hinge.map(|key| end.bushing(Some(keys::LINKS_ARM_MATERIAL), key)),
            };
            (arm.parts(), None)
        }
    };
    let linkage = CornerLinkage {
        parts,
        center: center(end, rest),
        side: end.side(false),
        steering_axis: axis.filter(|_| front),
        alignment: Alignment {
            toe_in: end.value(keys::TOE_IN),
            camber: end.value(keys::CAMBER),
        },
    };
    let range = CornerRange {
        bump: end.value(keys::LINKS_BUMP),
        droop: end.value(keys::LINKS_DROOP),
    };
    (linkage, range, subframe)
}

/// The left wheel center, from the end's axle line: the mean of both wheels.
fn center(end: EndEntries<'_>, rest: &StaticEquilibrium) -> [f64; 3] {
    let (first, line) = match end.end {
        CarEnd::Front => (0, 0.0),
        CarEnd::Rear => (2, -end.car.value(keys::WHEELBASE)),
    };
    let [left, right] = [first, first + 1].map(|i| rest.wheels[i].center);
    let right = mirror(right);
    let mean: [f64; 3] = std::array::from_fn(|k| 0.5 * (left[k] + right[k]));
    [mean[0] - line, mean[1], mean[2]].map(to_nanometer)
}

fn lower_arm(end: EndEntries<'_>, on: BodyId) -> Wishbone {
    wishbone(
        end,
        on,
        keys::LINKS_LOWER_MATERIAL,
        [keys::LINKS_LOWER_FRONT, keys::LINKS_LOWER_REAR],
        keys::LINKS_LOWER_BALL,
    )
}

fn upper_wishbone(end: EndEntries<'_>, on: BodyId) -> Wishbone {
    wishbone(
        end,
        on,
        keys::LINKS_UPPER_MATERIAL,
        [keys::LINKS_UPPER_FRONT, keys::LINKS_UPPER_REAR],
        keys::LINKS_UPPER_BALL,
    )
}

fn wishbone(
    end: EndEntries<'_>,
    on: BodyId,
    material: EndKey<MaterialKind>,
    inner: [EndKey<LinkEndKind>; 2],
    ball: EndKey<LinkEndKind>,
) -> Wishbone {
    let link = Some(material.at(end.end));
    Wishbone {
        on,
        inner: inner.map(|key| end.value(key).at),
        inner_bushings: inner.map(|key| end.bushing(link, key.at(end.end))),
        ball: end.value(ball).at,
        ball_bushing: end.bushing(link, ball.at(end.end)),
    }
}

fn multi_link(end: EndEntries<'_>, on: BodyId, toe_on: BodyId) -> Linkage {
    let rod = |name: &str,
               material: EndKey<MaterialKind>,
               [inner, outer]: [EndKey<LinkEndKind>; 2],
               on: BodyId| {
        let link: MaterialKey = material.at(end.end);
        let inner = end.link_end(link, inner.at(end.end), on);
        Link::new(
            name,
            inner,
            end.link_end(link, outer.at(end.end), BodyId::Carrier),
        )
    };
    let links = vec![
        rod(
            "lower front link",
            keys::LINKS_LOWER_FRONT_MATERIAL,
            [keys::LINKS_LOWER_FRONT_INNER, keys::LINKS_LOWER_FRONT_OUTER],
            on,
        ),
        rod(
            "lower rear link",
            keys::LINKS_LOWER_REAR_MATERIAL,
            [keys::LINKS_LOWER_REAR_INNER, keys::LINKS_LOWER_REAR_OUTER],
            on,
        ),
        rod(
            "upper front link",
            keys::LINKS_UPPER_FRONT_MATERIAL,
            [keys::LINKS_UPPER_FRONT_INNER, keys::LINKS_UPPER_FRONT_OUTER],
            on,
        ),
        rod(
            "upper rear link",
            keys::LINKS_UPPER_REAR_MATERIAL,
            [keys::LINKS_UPPER_REAR_INNER, keys::LINKS_UPPER_REAR_OUTER],
            on,
        ),
        rod("tie rod", keys::LINKS_TOE_MATERIAL, TIE_ROD, toe_on),
    ];
    MultiLink { links }.parts()
}

/// Inner and outer end of the tie rod.
const TIE_ROD: [EndKey<LinkEndKind>; 2] = [keys::LINKS_TOE_INNER, keys::LINKS_TOE_OUTER];

fn tie_rod(end: EndEntries<'_>, on: BodyId) -> TieRod {
    let [inner, outer] = TIE_ROD.map(|key| end.value(key).at);
    let link = keys::LINKS_TOE_MATERIAL.at(end.end);
    TieRod {
        on,
        inner,
        outer,
        bushings: TIE_ROD.map(|key| end.bushing(Some(link), key.at(end.end))),
    }
}

/// The tie rod's sleeves, where they are given.
fn with_sleeves(end: EndEntries<'_>, mut parts: Linkage) -> Linkage {
    if let Some(rod) = parts.links.last_mut() {
        for (rod_end, key) in rod.ends.iter_mut().zip(TIE_ROD) {
            rod_end.sleeve = end.value(key).sleeve;
        }
    }
    parts
}

/// Four mounts, the left ones given.
fn subframe(end: EndEntries<'_>) -> Option<Subframe> {
    if end.end == CarEnd::Front || end.car.value(keys::SUBFRAME_TYPE) == SubframeType::Rigid {
        return None;
    }
    let mut mounts = Vec::new();
    let given: [(&str, Key<LinkEndKind>); 2] = [
        ("front", keys::SUBFRAME_FRONT),
        ("rear", keys::SUBFRAME_REAR),
    ];
    for (name, key) in given {
        let entries = end.car.value(key);
        let left = Mount {
            name: format!("{name} left mount"),
            at: entries.at,
            bushing: end.bushing(Some(keys::SUBFRAME_MATERIAL), key),
            sleeve: entries.sleeve.unwrap_or([0.0, 0.0, 1.0]),
        };
        mounts.push(Mount {
            name: format!("{name} right mount"),
            at: mirror(left.at),
            sleeve: mirror(left.sleeve),
            ..left.clone()
        });
        mounts.push(left);
    }
    Some(Subframe { mounts })
}
