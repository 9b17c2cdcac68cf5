//! One car's rear end under another, and the entries in which two cars differ.

use super::cell::Cell;
use super::data::Description;
use super::declare::declarations::DECLARATIONS;
use super::declare::key::Key;
use super::declare::keys;
use super::reading::Reading;
use super::write::cell_text;

/// An entry in which two cars differ.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// Dotted path.
    pub path: String,
    /// Value of the one car as written; none where that car does not have the entry.
    pub this: Option<String>,
    /// Value of the other car as written.
    pub other: Option<String>,
    /// Meaning of the entry.
    pub meaning: &'static str,
}

/// The sprung car without its rear end, which corner weights give for one rear end only.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct ChassisWeights {
    /// Mass `[kg]`.
    pub mass: f64,
    /// Center of mass behind the front axle line `[m]`.
    pub behind: f64,
    /// Center of mass left of the center plane `[m]`.
    pub left: f64,
    /// Share of the weight on the front right and rear left wheels `[-]`.
    pub cross_weight: f64,
}

impl Description {
    /// This description with every entry under `rear` from another.
    ///
    /// Corner weights hold for the rear end they were taken with: they give way to `chassis`, the
    /// mass and center that follow from them.
    pub(crate) fn with_rear(&self, other: &Description, chassis: ChassisWeights) -> Reading {
        let mut description = self.clone();
        if self.is_written(keys::WEIGHTS_FRONT_LEFT) {
            let values: [(Key<Option<f64>>, f64); 4] = [
                (keys::CHASSIS_MASS, chassis.mass),
                (keys::CHASSIS_CENTER_BEHIND_FRONT_AXLE, chassis.behind),
                (keys::CHASSIS_CENTER_LEFT, chassis.left),
                (keys::CHASSIS_CROSS_WEIGHT, chassis.cross_weight),
            ];
            for (key, si) in values {
                for index in DECLARATIONS.entries(key) {
                    description.cells[index] = Some(Cell::Number { si, written: None });
                }
            }
        }
        for (i, declaration) in DECLARATIONS.list.iter().enumerate() {
            if declaration.path.starts_with("weights.") {
                description.cells[i] = None;
            } else if declaration.path.starts_with("rear.") {
                description.cells[i].clone_from(&other.cells[i]);
            }
        }
        Reading::of_changes(description, Vec::new())
    }

    /// Every entry in which this car and another differ, in the order of a file.
    pub fn differences(&self, other: &Description) -> Vec<Difference> {
        let text = |car: &Description, i: usize| {
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
