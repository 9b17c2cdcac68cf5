//! The description of the links of two wheels sprung on their own, left side.

use axletree_linkage::corner::{
    DoubleWishbone, MacPherson, MultiLink, SemiTrailing, TieRod, Wishbone,
};
use axletree_linkage::{
    BodyId, CornerLinkage, CornerRange, Link, Linkage, Mount, Subframe, mirror,
};

use crate::assemble::End;
use crate::assemble::weigh::Standing;

/// Links, spring, damper and bar, the travel to cover, and the subframe.
pub(super) fn describe(
    end: End<'_>,
    kind: &str,
    standing: &Standing,
) -> (CornerLinkage, CornerRange, Option<Subframe>) {
    let front = end.name == "front";
    let subframe = subframe(end);
    let on = if subframe.is_some() {
        BodyId::Subframe
    } else {
        BodyId::Body
    };
    let toe_on = if front { BodyId::Rack } else { on };
    let point = |path: &str| end.point(path);
    let (parts, axis) = match kind {
        "strut" => {
            let strut = MacPherson {
                lower: wishbone(end, "links.lower", on),
                top: point("links.top.mount"),
                axis_point: point("links.foot"),
                top_bushing: end.bushing("links.top", "links.top.mount"),
                tie_rod: tie_rod(end, toe_on),
            };
            (
                with_sleeves(end, strut.parts()),
                Some(strut.steering_axis()),
            )
        }
        "double wishbone" => {
            let wishbones = DoubleWishbone {
                lower: wishbone(end, "links.lower", on),
                upper: wishbone(end, "links.upper", on),
                tie_rod: tie_rod(end, toe_on),
            };
            let axis = wishbones.steering_axis();
            (with_sleeves(end, wishbones.parts()), Some(axis))
        }
        "multi-link" => {
            let rod = |name: &str, path: &str, on: BodyId| {
                let inner = end.link_end(path, "inner", on);
                Link::new(name, inner, end.link_end(path, "outer", BodyId::Carrier))
            };
            let links = vec![
                rod("lower front link", "links.lower_front", on),
                rod("lower rear link", "links.lower_rear", on),
                rod("upper front link", "links.upper_front", on),
                rod("upper rear link", "links.upper_rear", on),
                rod("tie rod", "links.toe", toe_on),
            ];
            (MultiLink { links }.parts(), None)
        }
        // The semi-trailing arm.
        _ => {
            let arm = SemiTrailing {
                on,
                hinge: ["inner", "outer"].map(|p| point(&format!("links.arm.{p}"))),
                bushings: ["inner", "outer"]
                    .map(|p| end.bushing("links.arm", &format!("links.arm.{p}"))),
            };
            (arm.parts(), None)
        }
    };
    let linkage = CornerLinkage {
        parts,
        center: center(end, standing),
        side: end.side("foot"),
        steering_axis: axis.filter(|_| front),
    };
    let range = CornerRange {
        bump: end.of("links.bump"),
        droop: end.of("links.droop"),
    };
    (linkage, range, subframe)
}

/// The left wheel center, from the end's axle line: the mean of both wheels.
fn center(end: End<'_>, standing: &Standing) -> [f64; 3] {
    let (first, line) = if end.name == "front" {
        (0, 0.0)
    } else {
        (2, -end.car.of("wheelbase"))
    };
    let [left, right] = [first, first + 1].map(|i| standing.wheels[i].center);
    let right = mirror(right);
    let mean: [f64; 3] = std::array::from_fn(|k| 0.5 * (left[k] + right[k]));
    [mean[0] - line, mean[1], mean[2]].map(super::settled)
}

fn wishbone(end: End<'_>, path: &str, on: BodyId) -> Wishbone {
    let inner = ["front", "rear"].map(|p| format!("{path}.{p}"));
    let ball = format!("{path}.ball");
    Wishbone {
        on,
        inner: [end.point(&inner[0]), end.point(&inner[1])],
        inner_bushings: [end.bushing(path, &inner[0]), end.bushing(path, &inner[1])],
        ball: end.point(&ball),
        ball_bushing: end.bushing(path, &ball),
    }
}

fn tie_rod(end: End<'_>, on: BodyId) -> TieRod {
    TieRod {
        on,
        inner: end.point("links.toe.inner"),
        outer: end.point("links.toe.outer"),
        bushings: ["inner", "outer"].map(|p| end.bushing("links.toe", &format!("links.toe.{p}"))),
    }
}

/// The tie rod's sleeves, where they are given.
fn with_sleeves(end: End<'_>, mut parts: Linkage) -> Linkage {
    if let Some(rod) = parts.links.last_mut() {
        for (rod_end, name) in rod.ends.iter_mut().zip(["inner", "outer"]) {
            rod_end.sleeve = end.direction(&format!("links.toe.{name}.sleeve"));
        }
    }
    parts
}

/// Four mounts, the left ones given.
fn subframe(end: End<'_>) -> Option<Subframe> {
    if end.name == "front" || end.car.text(&end.path("subframe.type")) != Some("mounts") {
        return None;
    }
    let mut mounts = Vec::new();
    for name in ["front", "rear"] {
        let path = format!("subframe.{name}");
        let left = Mount {
            name: format!("{name} left mount"),
            at: end.point(&path),
            bushing: end.bushing("subframe", &path),
            sleeve: end
                .direction(&format!("{path}.sleeve"))
                .unwrap_or([0.0, 0.0, 1.0]),
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
