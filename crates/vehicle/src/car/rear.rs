//! One car's rear end under another, and what tells two cars apart.

use super::declare::DECLARATIONS;
use super::read;
use super::write::cell_text;
use super::{Car, Cell};
use crate::assemble::weigh::chassis_of;
use crate::error::CarError;

/// An entry in which two cars differ.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// Dotted path.
    pub path: String,
    /// As written in the one; nothing where it has no such entry.
    pub this: Option<String>,
    /// As written in the other.
    pub other: Option<String>,
    /// What the entry means.
    pub meaning: &'static str,
}

impl Car {
    /// This car on another's rear end: every entry under `rear`, from linkage, springs, dampers, bar
    /// and tires to axle or subframe, differential and its sprung parts.
    ///
    /// Mass, center of gravity, inertia and preloads follow in the assembly. Corner weights hold for
    /// the rear end they were taken with: they are turned into mass and center first.
    pub fn with_rear(&self, other: &Car) -> Result<Car, CarError> {
        let mut car = self.clone();
        if self.is_written("weights.front_left") {
            let chassis = chassis_of(self);
            let values = [
                ("chassis.mass", chassis.mass),
                ("chassis.center_behind_front_axle", chassis.behind),
                ("chassis.center_left", chassis.left),
                ("chassis.cross_weight", chassis.cross_weight),
            ];
            for (path, si) in values {
                if let Some(index) = DECLARATIONS.find(path) {
                    car.cells[index] = Some(Cell::Number { si, written: None });
                }
            }
        }
        for (i, declaration) in DECLARATIONS.list.iter().enumerate() {
            if declaration.path.starts_with("weights.") {
                car.cells[i] = None;
            } else if declaration.path.starts_with("rear.") {
                car.cells[i].clone_from(&other.cells[i]);
            }
        }
        let mut faults = Vec::new();
        car.check(&[], &mut faults);
        read::finish(car, faults, self.origin.as_deref())
    }

    /// Every entry in which this car and another differ, in the order of a file.
    pub fn differences(&self, other: &Car) -> Vec<Difference> {
        let text = |car: &Car, i: usize| {
            car.effective(i)
                .map(|cell| cell_text(&cell, &DECLARATIONS.list[i]))
        };
        (0..self.cells.len())
            .filter(|i| self.effective(*i) != other.effective(*i))
            .map(|i| Difference {
                path: DECLARATIONS.list[i].path.clone(),
                this: text(self, i),
                other: text(other, i),
                meaning: DECLARATIONS.list[i].meaning,
            })
            .collect()
    }
}
