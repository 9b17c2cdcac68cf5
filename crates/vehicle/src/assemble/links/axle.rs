//! The description of a solid axle's links.

use axletree_linkage::axle::{FourLink, Panhard, Rod, ThreeLink, TorqueArm, Watts};
use axletree_linkage::{AxleLinkage, AxleRange, BodyId, Linkage};

use crate::assemble::End;
use crate::assemble::weigh::Standing;

/// Links, springs, dampers and bar, and the travel to cover.
pub(super) fn describe(end: End<'_>, kind: &str, standing: &Standing) -> (AxleLinkage, AxleRange) {
    let rod = |link: &str| Rod {
        body: end.link_end(link, "body", BodyId::Body),
        axle: end.link_end(link, "axle", BodyId::Carrier),
    };
    let lower = rod("links.lower");
    let links = match kind {
        "three links" => ThreeLink {
            lower,
            upper: rod("links.upper"),
        }
        .parts(),
        "torque arm" => torque_arm(end, lower),
        // Four links, and five with what holds them sideways.
        _ => FourLink {
            lower,
            upper: rod("links.upper"),
        }
        .parts(),
    };
    let parts = match end.car.text(&end.path("lateral.type")) {
        Some("panhard bar") => links.and(
            Panhard {
                rod: rod("lateral.bar"),
            }
            .parts(),
        ),
        Some("watts linkage") => links.and(watts(end)),
        _ => links,
    };
    let side = end.side("axle");
    let sides = [side.clone(), side.mirrored()];
    // Level at ride height, at the mean height of the wheel centers.
    let height =
        super::settled(0.5 * (standing.wheels[2].center[2] + standing.wheels[3].center[2]));
    let linkage = AxleLinkage {
        parts,
        center: [0.0, 0.0, height],
        half_track: 0.5 * end.of("track"),
        sides,
    };
    let range = AxleRange {
        heave: end.of("links.heave"),
        roll: end.of("links.roll"),
    };
    (linkage, range)
}

fn torque_arm(end: End<'_>, lower: Rod) -> Linkage {
    let mut parts = TorqueArm {
        lower,
        mount: end.point("links.arm.mount"),
        bushing: end.bushing("links.arm", "links.arm.mount"),
    }
    .parts();
    if let (Some(joint), Some(sleeve)) = (
        parts.joints.last_mut(),
        end.direction("links.arm.mount.sleeve"),
    ) {
        joint.sleeve = sleeve;
    }
    parts
}

fn watts(end: End<'_>) -> Linkage {
    let pivot_on_axle = end.car.text(&end.path("lateral.pivot_on")) != Some("body");
    // A rod's end on the crank counts as the end on what carries the crank.
    let rod = |link: &str| {
        let (crank, far) = ("crank", "end");
        let [body, axle] = if pivot_on_axle {
            [far, crank]
        } else {
            [crank, far]
        };
        Rod {
            body: end.link_end(link, body, BodyId::Body),
            axle: end.link_end(link, axle, BodyId::Carrier),
        }
    };
    Watts {
        pivot_on_axle,
        pivot: end.point("lateral.pivot"),
        axis: end
            .direction("lateral.pivot.sleeve")
            .unwrap_or([1.0, 0.0, 0.0]),
        pivot_length: end.of("lateral.pivot_length"),
        pivot_bushing: end.bushing("lateral", "lateral.pivot"),
        rods: [rod("lateral.left"), rod("lateral.right")],
    }
    .parts()
}
