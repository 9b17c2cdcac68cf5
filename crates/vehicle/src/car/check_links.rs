//! The checks between the entries of links, springs, dampers and bars given by points.

use super::Car;
use super::check::missing;
use super::declare::{AXLE_LINKS, CORNER_LINKS};
use crate::error::{Fault, FaultKind};

impl Car {
    /// Links of the right kind of end, an axle that is held sideways, points that are whole.
    pub(super) fn check_links(&self, found: &mut Vec<Fault>) {
        for end in ["front", "rear"] {
            let path = |name: &str| format!("{end}.{name}");
            let Some(links) = self.text(&path("links.type")) else {
                continue;
            };
            let kinds = [("independent", CORNER_LINKS), ("solid", AXLE_LINKS)];
            if end == "rear"
                && let Some(kind) = self.text("rear.type")
                && let Some((other, _)) = kinds.iter().find(|(_, words)| words.contains(&links))
                && *other != kind
            {
                let needs = format!("rear.type = \"{other}\"");
                found.push(Fault::new(
                    path("links.type"),
                    FaultKind::NotApplicable { needs },
                ));
                continue;
            }
            let free = matches!(links, "three links" | "torque arm" | "five links");
            if free && self.text(&path("lateral.type")) == Some("none") {
                let kind = FaultKind::NotHeldSideways {
                    links: links.to_owned(),
                };
                found.push(Fault::new(path("lateral.type"), kind));
            }
            let solid = AXLE_LINKS.contains(&links);
            let moving = if solid { "axle" } else { "foot" };
            for (part, points) in [
                ("spring", &["body", moving][..]),
                ("damper", &["body", moving]),
                ("bar", &["pivot", "end", "link"]),
            ] {
                let all: Vec<String> = points
                    .iter()
                    .flat_map(|point| ["x", "y", "z"].map(|x| path(&format!("{part}.{point}.{x}"))))
                    .collect();
                if all.iter().any(|p| self.is_written(p)) {
                    found.extend(
                        all.iter()
                            .filter(|p| !self.is_written(p))
                            .map(|p| missing(p)),
                    );
                }
                if !solid {
                    self.check_foot(links, &path(&format!("{part}.on")), found);
                }
            }
        }
    }

    /// A foot stands on an arm that is there.
    fn check_foot(&self, links: &str, path: &str, found: &mut Vec<Fault>) {
        let needs = match self.text(path) {
            Some("lower arm") => &["strut", "double wishbone"][..],
            Some("upper arm") => &["double wishbone"],
            _ => return,
        };
        if !needs.contains(&links) {
            let words: Vec<String> = needs.iter().map(|w| format!("\"{w}\"")).collect();
            let end = path.split('.').next().unwrap_or_default();
            let needs = format!("{end}.links.type = {}", words.join(" or "));
            found.push(Fault::new(path, FaultKind::NotApplicable { needs }));
        }
    }
}
