//! Points and link ends as the car file gives them.

use axletree_linkage::{
    Attachment, BarEnd, BodyId, Bushing, ForceElement, LinkEnd, Material, Side, Triple,
};

use crate::assemble::End;

/// What an end is made of where nothing says so, as declared.
const UNNAMED: Material = Material::Rubber;

impl End<'_> {
    /// A point [m, from the axle line, the center plane and the road].
    pub(super) fn point(&self, path: &str) -> Triple {
        ["x", "y", "z"].map(|axis| self.of(&format!("{path}.{axis}")))
    }

    /// A direction, where any part of it is given.
    pub(super) fn direction(&self, path: &str) -> Option<Triple> {
        let parts = ["x", "y", "z"].map(|axis| self.maybe(&format!("{path}.{axis}")));
        parts
            .iter()
            .any(Option::is_some)
            .then(|| parts.map(|part| part.unwrap_or(0.0)))
    }

    /// How an end of a link yields: its own rates, else those of its material; its material, else the
    /// link's, else that of all links of this end.
    pub(super) fn bushing(&self, link: &str, path: &str) -> Bushing {
        let named = |path: &str| {
            let path = self.path(&format!("{path}.material"));
            self.car.text(&path).and_then(Material::named)
        };
        let material = named(path)
            .or_else(|| named(link))
            .or_else(|| named("links"))
            .unwrap_or(UNNAMED);
        let typical = material.bushing();
        let rate = |name: &str, typical| self.maybe(&format!("{path}.{name}")).unwrap_or(typical);
        Bushing {
            radial: rate("radial", typical.radial),
            axial: rate("axial", typical.axial),
            torsional: rate("torsional", typical.torsional),
            conical: rate("conical", typical.conical),
            tilt_limit: rate("tilt_limit", typical.tilt_limit),
            solid: typical.solid,
        }
    }

    /// An end of a link: where it is, on what, how it yields, how its sleeve lies.
    pub(super) fn link_end(&self, link: &str, end: &str, on: BodyId) -> LinkEnd {
        let path = format!("{link}.{end}");
        LinkEnd {
            point: Attachment {
                on,
                at: self.point(&path),
            },
            bushing: self.bushing(link, &path),
            sleeve: self.direction(&format!("{path}.sleeve")),
        }
    }

    /// Spring, damper and bar of the left side, where points give them. `moving` is the name of the
    /// point on what moves.
    pub(super) fn side(&self, moving: &str) -> Side {
        let on = |part: &str| match self.car.text(&self.path(&format!("{part}.on"))) {
            _ if moving == "axle" => BodyId::Carrier,
            Some("lower arm") => BodyId::Member(0),
            Some("upper arm") => BodyId::Member(1),
            _ => BodyId::Carrier,
        };
        let unit = |part: &str| {
            self.maybe(&format!("{part}.body.x")).map(|_| ForceElement {
                body: Attachment::body(self.point(&format!("{part}.body"))),
                moving: Attachment {
                    on: on(part),
                    at: self.point(&format!("{part}.{moving}")),
                },
            })
        };
        Side {
            spring: unit("spring"),
            damper: unit("damper"),
            bar: self.maybe("bar.pivot.x").map(|_| BarEnd {
                name: "anti-roll bar".to_owned(),
                pivot: self.point("bar.pivot"),
                axis: self.direction("bar.axis").unwrap_or([0.0, 1.0, 0.0]),
                end: self.point("bar.end"),
                moving: Attachment {
                    on: on("bar"),
                    at: self.point("bar.link"),
                },
            }),
        }
    }

    /// Path of what settles how the springs act at rest: their points, else an entry.
    pub(in crate::assemble) fn spring_stated_by(&self, otherwise: &str) -> String {
        let by_points = self.maybe("spring.body.x").is_some();
        self.path(if by_points { "spring.body" } else { otherwise })
    }

    /// Lever of a bar given by points: from its axis square to the end of its arm [m].
    pub(in crate::assemble) fn bar_lever(&self) -> Option<f64> {
        use axletree_scalar::Vec3;
        self.maybe("bar.pivot.x")?;
        let axis = self.direction("bar.axis").unwrap_or([0.0, 1.0, 0.0]);
        let arm = Vec3(self.point("bar.end")) - Vec3(self.point("bar.pivot"));
        Some(arm.cross(Vec3(axis).unit()).norm())
    }
}
