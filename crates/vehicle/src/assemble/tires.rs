//! The tires of both ends at their pressures.

use axletree_tire::{DirectionSpec, Tire, TireError, TireFault, TireSpec};

use super::end::EndEntries;
use crate::description::data::Description;
use crate::description::declare::key::CarEnd;
use crate::description::declare::keys::{self, tire_key};
use crate::fault::Fault;
use crate::fault_kind::FaultKind;

/// Front and rear tire.
pub(super) fn at_pressure(car: &Description) -> Result<[Tire<f64>; 2], Vec<Fault>> {
    let mut faults = Vec::new();
    let mut one = |end| {
        let entries = EndEntries { car, end };
        match spec(entries).at(entries.value(keys::TIRE_PRESSURE)) {
            Ok(tire) => Some(tire),
            Err(error) => {
                // The other errors are of fitting a tire to rows of measurements.
                if let TireError::Spec(found) = error {
                    faults.extend(found.iter().map(|fault| fault_of(end, fault)));
                }
                None
            }
        }
    };
    match (one(CarEnd::Front), one(CarEnd::Rear)) {
        (Some(front), Some(rear)) => Ok([front, rear]),
        _ => Err(faults),
    }
}

/// The tire's description as the tire crate takes it.
fn spec(end: EndEntries<'_>) -> TireSpec {
    // Each key is found when this is compiled: a name that is not declared does not compile.
    macro_rules! value {
        ($path:expr) => {
            end.value(const { tire_key($path) })
        };
    }
    macro_rules! direction {
        ($name:literal) => {
            DirectionSpec {
                friction: value!(concat!("tire.", $name, ".friction")),
                friction_fall: value!(concat!("tire.", $name, ".friction_fall")),
                stiffness: value!(concat!("tire.", $name, ".stiffness")),
                stiffness_peak_load: value!(concat!("tire.", $name, ".stiffness_peak_load")),
                stiffness_pressure: value!(concat!("tire.", $name, ".stiffness_pressure")),
                peak_load_pressure: value!(concat!("tire.", $name, ".peak_load_pressure")),
                shape: value!(concat!("tire.", $name, ".shape")),
                curvature: value!(concat!("tire.", $name, ".curvature")),
                carcass_stiffness: value!(concat!("tire.", $name, ".carcass_stiffness")),
            }
        };
    }
    TireSpec {
        unloaded_radius: value!("tire.unloaded_radius"),
        nominal_load: value!("tire.nominal_load"),
        nominal_pressure: value!("tire.nominal_pressure"),
        vertical_stiffness: value!("tire.vertical_stiffness"),
        vertical_damping: value!("tire.vertical_damping"),
        vertical_stiffness_pressure: value!("tire.vertical_stiffness_pressure"),
        radius_fraction: value!("tire.radius_fraction"),
        longitudinal: direction!("longitudinal"),
        lateral: direction!("lateral"),
        grip_pressure: value!("tire.grip_pressure"),
        grip_pressure_loss: value!("tire.grip_pressure_loss"),
        camber_thrust: value!("tire.camber_thrust"),
        camber_grip_loss: value!("tire.camber_grip_loss"),
        camber_stiffness_loss: value!("tire.camber_stiffness_loss"),
        trail: value!("tire.trail"),
        trail_reach: value!("tire.trail_reach"),
        carcass_pressure: value!("tire.carcass_pressure"),
        carcass_damping_time: value!("tire.carcass_damping_time"),
        relaxation_floor: value!("tire.relaxation_floor"),
        rolling_resistance: value!("tire.rolling_resistance"),
        rolling_pressure_exponent: value!("tire.rolling_pressure_exponent"),
    }
}

/// A fault of the tire crate, with the path of its entry in the car file.
fn fault_of(end: CarEnd, fault: &TireFault) -> Fault {
    match *fault {
        TireFault::Range {
            field,
            value,
            unit,
            low,
            high,
            ..
        } => Fault {
            unit: Some(unit.to_owned()),
            allowed: Some([low, high]),
            ..Fault::new(
                format!("{}.tire.{field}", end.name()),
                FaultKind::OutOfRange,
            )
            .reading(&format!("{value} {unit}"))
        },
        TireFault::Pressure {
            field,
            pressure,
            factor,
            least,
            ..
        } => Fault::new(
            format!("{}.tire.{field}", end.name()),
            FaultKind::PressureTakesAll {
                factor,
                pressure,
                least,
            },
        ),
    }
}
