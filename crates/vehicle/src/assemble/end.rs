//! The entries of one end of a car, as the assembly reads them.

use axletree_linkage::{
    Attachment, BarEnd, BodyId, Bushing, ForceElement, LinkEnd, Material, Side, Triple,
};
use axletree_scalar::Vec3;

use crate::description::data::Description;
use crate::description::declare::key::{CarEnd, ChoiceKind, EndKey, Key, LinkEndKind, PointKind};
use crate::description::declare::keys;
use crate::description::declare::words::FootOn;
use crate::description::typed::Readable;

/// The kind of an optional material.
pub(super) type MaterialKind = Option<ChoiceKind<Material>>;
/// The key of the material of a link's ends.
pub(super) type MaterialKey = Key<MaterialKind>;

/// One end's entries of a car.
#[derive(Clone, Copy)]
pub(super) struct EndEntries<'a> {
    pub car: &'a Description,
    pub end: CarEnd,
}

impl<'a> EndEntries<'a> {
    /// The value of an entry that both ends have. `[SI]`
    pub fn value<K: Readable>(&self, key: EndKey<K>) -> K::Value<'a> {
        self.car.value(key.at(self.end))
    }

    /// The direction of a bar's axis; across the car where it is not given.
    fn bar_axis(&self) -> Triple {
        self.value(keys::BAR_AXIS).unwrap_or([0.0, 1.0, 0.0])
    }

    /// Bushing of a link's end: its own rates, else those of its material; its material, else that
    /// of its link (where the link has one), else that of all links of this end.
    pub fn bushing(&self, link: Option<MaterialKey>, end: Key<LinkEndKind>) -> Bushing {
        let entries = self.car.value(end);
        let material = entries
            .material
            .or_else(|| self.car.value(link?))
            .unwrap_or_else(|| self.value(keys::LINKS_MATERIAL));
        let typical = material.bushing();
        Bushing {
            radial: entries.radial.unwrap_or(typical.radial),
            axial: entries.axial.unwrap_or(typical.axial),
            torsional: entries.torsional.unwrap_or(typical.torsional),
            conical: entries.conical.unwrap_or(typical.conical),
            tilt_limit: entries.tilt_limit.unwrap_or(typical.tilt_limit),
            solid: typical.solid,
        }
    }

    /// An end of a link on a body: its place, bushing and sleeve.
    pub fn link_end(&self, link: MaterialKey, end: Key<LinkEndKind>, on: BodyId) -> LinkEnd {
        let entries = self.car.value(end);
        LinkEnd {
            point: Attachment { on, at: entries.at },
            bushing: self.bushing(Some(link), end),
            sleeve: entries.sleeve,
        }
    }

    /// Spring, damper and bar of the left side, where points give them.
    pub fn side(&self, solid: bool) -> Side {
        let on = |key: EndKey<ChoiceKind<FootOn>>| {
            if solid {
                return BodyId::Carrier;
            }
            match self.value(key) {
                FootOn::Knuckle => BodyId::Carrier,
                FootOn::LowerArm => BodyId::Member(0),
                FootOn::UpperArm => BodyId::Member(1),
            }
        };
        let unit = |body: EndKey<Option<PointKind>>,
                    axle: Key<Option<PointKind>>,
                    foot: EndKey<Option<PointKind>>,
                    on: BodyId| {
            let moving = if solid {
                self.car.value(axle)
            } else {
                self.value(foot)
            };
            self.value(body).zip(moving).map(|(body, at)| ForceElement {
                body: Attachment::body(body),
                moving: Attachment { on, at },
            })
        };
        let bar = || {
            Some(BarEnd {
                name: "anti-roll bar".to_owned(),
                pivot: self.value(keys::BAR_PIVOT)?,
                axis: self.bar_axis(),
                end: self.value(keys::BAR_END)?,
                moving: Attachment {
                    on: on(keys::BAR_ON),
                    at: self.value(keys::BAR_LINK)?,
                },
            })
        };
        Side {
            spring: unit(
                keys::SPRING_BODY,
                keys::SPRING_AXLE,
                keys::SPRING_FOOT,
                on(keys::SPRING_ON),
            ),
            damper: unit(
                keys::DAMPER_BODY,
                keys::DAMPER_AXLE,
                keys::DAMPER_FOOT,
                on(keys::DAMPER_ON),
            ),
            bar: bar(),
        }
    }

    /// Path of the entry that settles how the springs act at rest: their points, else another one.
    pub fn spring_stated_by(&self, otherwise: &str) -> String {
        if self.value(keys::SPRING_BODY).is_some() {
            keys::SPRING_BODY.at(self.end).into()
        } else {
            otherwise.to_owned()
        }
    }

    /// Lever of a bar given by points: from its axis square to the end of its arm `[m]`.
    pub fn bar_lever(&self) -> Option<f64> {
        let arm = Vec3(self.value(keys::BAR_END)?) - Vec3(self.value(keys::BAR_PIVOT)?);
        Some(arm.cross(Vec3(self.bar_axis()).unit()).norm())
    }
}
