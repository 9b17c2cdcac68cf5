//! The checks between entries, and whether the car assembles.

use std::collections::HashMap;
use std::sync::Arc;

use super::declare::{DECLARATIONS, Need};
use super::read::Item;
use super::{Car, Cell};
use crate::assemble;
use crate::error::{Fault, FaultKind};

impl Car {
    /// Adds every fault between entries. `items` are what the car was read from, for their lines.
    pub(super) fn check(&mut self, items: &[Item], faults: &mut Vec<Fault>) {
        let syntax = faults
            .iter()
            .any(|f| matches!(f.kind, FaultKind::Syntax { .. }));
        let mut found = Vec::new();
        self.check_presence(&mut found);
        self.check_springs(&mut found);
        self.check_bars(&mut found);
        self.check_links(&mut found);
        self.check_dampers(&mut found);
        self.check_weights(&mut found);
        self.check_body(&mut found);
        // An entry that is there but wrong, or that broken syntax may have swallowed, is not missing.
        found.retain(|fault| {
            let there = || {
                items.iter().any(|item| item.path == fault.path)
                    || faults.iter().any(|known| known.path == fault.path)
            };
            !matches!(fault.kind, FaultKind::Missing { .. }) || !(syntax || there())
        });
        // What depends on an entry that is itself wrong is not known to be wrong.
        found.retain(|fault| {
            let conditions = DECLARATIONS
                .find(&fault.path)
                .map_or(&[][..], |i| &DECLARATIONS.list[i].conditions);
            let depends = conditions
                .iter()
                .any(|c| !self.is_written(&c.path) && faults.iter().any(|f| f.path == c.path));
            !depends
        });
        // What the assembly finds is worth telling only of a car that is whole.
        self.known = None;
        if faults.is_empty() && found.is_empty() {
            match assemble::assembled(self) {
                Ok(assembled) => {
                    self.solved = assembled.links;
                    self.known = Some(Arc::new((assembled.numbers, assembled.meta)));
                }
                Err(wrong) => found = wrong,
            }
        }
        let lines: HashMap<&str, Option<usize>> = items
            .iter()
            .map(|item| (item.path.as_str(), item.line))
            .collect();
        faults.extend(found.into_iter().map(|fault| {
            let line = lines.get(fault.path.as_str()).copied().flatten();
            let fault = fault.on_line(line);
            match self.written(&fault.path) {
                Some(text) if fault.read.is_none() => fault.reading(text),
                _ => fault,
            }
        }));
    }

    fn written(&self, path: &str) -> Option<&str> {
        match self.cells[DECLARATIONS.find(path)?].as_ref()? {
            Cell::Number { written, .. } => written.as_deref(),
            Cell::Text(text) => Some(text),
        }
    }

    /// Required entries that are missing, and entries that belong to other cars.
    fn check_presence(&self, found: &mut Vec<Fault>) {
        for (cell, declaration) in self.cells.iter().zip(&DECLARATIONS.list) {
            let conditions = &declaration.conditions;
            let failed = conditions.iter().find(|c| c.holds(self) != Some(true));
            let path = &declaration.path;
            match (cell, failed) {
                (Some(_), Some(condition)) if condition.holds(self).is_some() => {
                    found.push(Fault::new(path, condition.refusal()));
                }
                (None, None) if declaration.need == Need::Required => found.push(missing(path)),
                _ => {}
            }
        }
    }

    /// A spring has a rate, or wire, coil and number of coils.
    fn check_springs(&self, found: &mut Vec<Fault>) {
        for end in ["front", "rear"] {
            let coil = ["wire_diameter", "coil_diameter", "active_coils"]
                .map(|name| format!("{end}.spring.{name}"));
            let rate = format!("{end}.spring.rate");
            let written: Vec<bool> = coil.iter().map(|p| self.is_written(p)).collect();
            if self.is_written(&rate) {
                if let Some(i) = written.iter().position(|w| *w) {
                    let other = rate.clone();
                    found.push(Fault::new(&coil[i], FaultKind::GivenTwice { other }));
                }
            } else if written.iter().any(|w| *w) {
                let absent = coil.iter().zip(&written).filter(|(_, w)| !**w);
                found.extend(absent.map(|(path, _)| missing(path)));
                if let (Some(wire), Some(coil_diameter)) =
                    (self.number(&coil[0]), self.number(&coil[1]))
                    && wire >= 0.5 * coil_diameter
                {
                    found.push(Fault::new(
                        &coil[0],
                        FaultKind::WireTooThick {
                            wire,
                            coil: coil_diameter,
                        },
                    ));
                }
            } else {
                found.push(missing(&rate));
            }
        }
    }

    /// A bar that exists has a length, arms, a bore inside it, and bearings on it.
    fn check_bars(&self, found: &mut Vec<Fault>) {
        for end in ["front", "rear"] {
            let path = |name: &str| format!("{end}.bar.{name}");
            let value = |name: &str| self.number(&path(name));
            let diameter = value("outer_diameter").unwrap_or(0.0);
            if diameter <= 0.0 {
                continue;
            }
            for name in ["length", "arm_length", "spacing"] {
                // Points give the other two; only an axle has a spacing.
                let has = DECLARATIONS
                    .find(&path(name))
                    .is_some_and(|i| self.applies(&DECLARATIONS.list[i]));
                if has && value(name).is_none() {
                    found.push(missing(&path(name)));
                }
            }
            let wall = value("wall").unwrap_or(0.0);
            if wall > 0.5 * diameter {
                let radius = 0.5 * diameter;
                found.push(Fault::new(
                    path("wall"),
                    FaultKind::WallTooThick { wall, radius },
                ));
            }
            if let (Some(inset), Some(length)) = (value("bearing_inset"), value("length"))
                && inset >= 0.5 * length
            {
                let half = 0.5 * length;
                found.push(Fault::new(
                    path("bearing_inset"),
                    FaultKind::BearingsCross { inset, half },
                ));
            }
            if let (Some(length), Some(lever)) = (value("arm_bend_length"), value("arm_length"))
                && length < lever
            {
                found.push(Fault::new(
                    path("arm_bend_length"),
                    FaultKind::ArmTooShort { length, lever },
                ));
            }
        }
    }

    /// The setting is within the clicks and leaves some damping.
    fn check_dampers(&self, found: &mut Vec<Fault>) {
        for end in ["front", "rear"] {
            let path = |name: &str| format!("{end}.damper.{name}");
            let value = |name: &str| self.number(&path(name)).unwrap_or(0.0);
            let (setting, clicks) = (value("setting"), value("clicks"));
            if setting > clicks {
                found.push(Fault::new(
                    path("setting"),
                    FaultKind::SettingBeyondClicks { setting, clicks },
                ));
            }
            for way in ["bump", "rebound"] {
                let name = format!("{way}.per_click");
                let factor = 1.0 + setting * value(&name);
                if factor < 0.05 {
                    found.push(Fault::new(
                        path(&name),
                        FaultKind::SettingTakesAll { factor },
                    ));
                }
            }
        }
    }

    /// Corner weights, all four or none; without them mass and center.
    fn check_weights(&self, found: &mut Vec<Fault>) {
        let weights = ["front_left", "front_right", "rear_left", "rear_right"]
            .map(|wheel| format!("weights.{wheel}"));
        let written = weights.iter().filter(|p| self.is_written(p)).count();
        if written == 0 {
            for path in ["chassis.mass", "chassis.center_behind_front_axle"] {
                if !self.is_written(path) {
                    found.push(missing(path));
                }
            }
        } else if written < 4 {
            let absent = weights.iter().filter(|p| !self.is_written(p));
            found.extend(absent.map(|path| missing(path)));
        }
    }

    /// The body is as wide as the wheels stand, and its moments of inertia are those of a body.
    fn check_body(&self, found: &mut Vec<Fault>) {
        let value = |path: &str| self.number(path);
        for end in ["front", "rear"] {
            if let (Some(width), Some(track)) =
                (value("body.width"), value(&format!("{end}.track")))
                && width < track
            {
                found.push(Fault::new(
                    "body.width",
                    FaultKind::BodyNarrowerThanTrack { width, track },
                ));
            }
        }
        for body in ["chassis", "rear.sprung"] {
            let moments = ["roll", "pitch", "yaw"].map(|axis| {
                (
                    axis,
                    value(&format!("{body}.{axis}_inertia")).unwrap_or(0.0),
                )
            });
            let sum: f64 = moments.iter().map(|(_, i)| i).sum();
            for (axis, largest) in moments {
                let others = sum - largest;
                if others > 0.0 && largest > others * (1.0 + 1e-12) {
                    found.push(Fault::new(
                        format!("{body}.{axis}_inertia"),
                        FaultKind::ImpossibleInertia { largest, others },
                    ));
                }
            }
        }
    }
}

/// The fault of a missing entry, with its meaning and an example.
pub(super) fn missing(path: &str) -> Fault {
    let meaning = DECLARATIONS
        .find(path)
        .map(|i| {
            let d = &DECLARATIONS.list[i];
            format!("{}; write for example {}", d.meaning, d.example())
        })
        .unwrap_or_default();
    Fault::new(path, FaultKind::Missing { meaning })
}
