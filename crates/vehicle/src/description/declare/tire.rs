//! Entries of the tires, the same at both ends.
//!
//! Units, ranges, defaults and meanings are those of the table of inputs in the tire crate
//! ([`axletree_tire::TIRE_INPUTS`]); the car adds the spin inertia of a wheel and its own pressure.
//! Inputs that scale with the size of the tire have no default.

use axletree_tire::{Input, TIRE_INPUTS, input};

use super::key::{EndKey, EntryTable};
use super::row::{EntryRow, Pattern, Place, index_of, q, row};
use super::shape::{REQUIRED, default};

const BOTH: Place = Place::Both;

/// The entries that the car adds to those of the tire.
const OF_THE_CAR: [EntryRow; 2] = [
    row(
        BOTH,
        "wheel.spin_inertia",
        q("kg*m^2", 0.05, 20.0),
        REQUIRED,
        "Moment of inertia of one wheel with tire and brake disc, and its share of the parts that \
         turn with it, about its axis",
    ),
    row(
        BOTH,
        "tire.pressure",
        range(input("nominal_pressure")),
        REQUIRED,
        "Inflation pressure above the atmosphere",
    ),
];

/// The rows, in the order of a file.
pub(super) const ROWS: &[EntryRow] = &rows();

const fn rows() -> [EntryRow; OF_THE_CAR.len() + TIRE_INPUTS.len()] {
    let mut rows = [OF_THE_CAR[0]; OF_THE_CAR.len() + TIRE_INPUTS.len()];
    let mut i = 1;
    while i < rows.len() {
        rows[i] = if i < OF_THE_CAR.len() {
            OF_THE_CAR[i]
        } else {
            of_input(&TIRE_INPUTS[i - OF_THE_CAR.len()])
        };
        i += 1;
    }
    rows
}

/// The row of an input of the tire.
const fn of_input(input: &Input) -> EntryRow {
    let need = if input.required {
        REQUIRED
    } else {
        default(input.usual_text, input.reason)
    };
    row(BOTH, input.entry, range(input), need, input.meaning)
}

/// The unit and range of an input of the tire.
const fn range(input: &Input) -> Pattern {
    q(input.unit.name, input.range[0], input.range[1])
}

/// `wheel.spin_inertia`: moment of inertia of one wheel with tire and brake disc about its axis.
pub const WHEEL_SPIN_INERTIA: EndKey<f64> = tire_key("wheel.spin_inertia");
/// `tire.pressure`: inflation pressure above the atmosphere.
pub const TIRE_PRESSURE: EndKey<f64> = tire_key("tire.pressure");
/// `tire.unloaded_radius`: radius of the inflated tire without load.
pub const TIRE_UNLOADED_RADIUS: EndKey<f64> = tire_key("tire.unloaded_radius");

/// The key of a number in the table of the tires, by its path below the end.
///
/// Evaluated in a constant, it does not compile where the table has no such path.
///
/// # Panics
///
/// Where the table has no such path.
pub const fn tire_key(path: &str) -> EndKey<f64> {
    let index = index_of(ROWS, path);
    let _ = ROWS[index as usize].keyed::<f64>();
    EndKey::of(EntryTable::Tire, index)
}
