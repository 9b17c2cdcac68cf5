//! Entries of the tires, the same at both ends.
//!
//! Units, ranges, defaults and meanings are those of the table of inputs in the tire crate
//! ([`axletree_tire::INPUTS`]); the car adds the spin inertia of a wheel and the pressure it runs
//! at. What scales with the size of the tire must be given.

use axletree_tire::{INPUTS, Input, input};

use super::points::lasting;
use super::{Need, Place, Row, default, q, row};

const BOTH: Place = Place::Both;

/// The rows, in the order of a file.
pub(super) fn rows() -> Vec<Row> {
    let pressure = input("nominal_pressure");
    let mut rows = vec![
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
            q(pressure.unit.name, pressure.range[0], pressure.range[1]),
            Need::Required,
            "Inflation pressure above the atmosphere",
        ),
    ];
    rows.extend(INPUTS.iter().map(of_input));
    rows
}

/// The row of an input of the tire.
fn of_input(input: &Input) -> Row {
    let [low, high] = input.range;
    let need = if input.required {
        Need::Required
    } else {
        default(lasting(input.usual_text()), input.reason)
    };
    row(
        BOTH,
        lasting(format!("tire.{}", input.key)),
        q(input.unit.name, low, high),
        need,
        input.meaning,
    )
}
