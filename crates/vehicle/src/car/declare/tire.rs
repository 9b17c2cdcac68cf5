//! Entries of the tires, the same at both ends.
//!
//! Units, ranges, defaults and meanings are those of the table of inputs in the tire crate
//! ([`axletree_tire::INPUTS`]); the car adds the spin inertia of a wheel and its own pressure. Inputs
//! that scale with the size of the tire have no default.

use axletree_tire::{INPUTS, Input, input};

use super::{Need, Place, Row, Shape, default, q, row};

const BOTH: Place = Place::Both;

/// The entries that the car adds to those of the tire.
const OF_THE_CAR: [Row; 2] = [
    row(
        BOTH,
        "wheel.spin_inertia",
        q("kg*m^2", 0.05, 20.0),
        Need::Required,
        "Moment of inertia of one wheel with tire and brake disc, and its share of what turns with \
         it, about its axis",
    ),
    row(
        BOTH,
        "tire.pressure",
        range(input("nominal_pressure")),
        Need::Required,
        "Inflation pressure above the atmosphere",
    ),
];

/// The rows, in the order of a file.
pub(super) const ROWS: &[Row] = &rows();

const fn rows() -> [Row; OF_THE_CAR.len() + INPUTS.len()] {
    let mut rows = [OF_THE_CAR[0]; OF_THE_CAR.len() + INPUTS.len()];
    let mut i = 1;
    while i < rows.len() {
        rows[i] = if i < OF_THE_CAR.len() {
            OF_THE_CAR[i]
        } else {
            of_input(&INPUTS[i - OF_THE_CAR.len()])
        };
        i += 1;
    }
    rows
}

/// The row of an input of the tire.
const fn of_input(input: &Input) -> Row {
    let need = if input.required {
        Need::Required
    } else {
        default(input.usual_text, input.reason)
    };
    row(BOTH, input.entry, range(input), need, input.meaning)
}

/// The unit and range of an input of the tire.
const fn range(input: &Input) -> Shape {
    q(input.unit.name, input.range[0], input.range[1])
}
