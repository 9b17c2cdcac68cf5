//! The tires of both ends at their pressures.

use axletree_tire::{DirectionSpec, Tire, TireError, TireFault, TireSpec};

use super::End;
use crate::car::Car;
use crate::error::{Fault, FaultKind};

/// Front and rear tire.
pub(super) fn at_pressure(car: &Car) -> Result<[Tire<f64>; 2], Vec<Fault>> {
    let mut faults = Vec::new();
    let mut one = |name| {
        let end = car.end(name);
        match spec(end).at(end.of("tire.pressure")) {
            Ok(tire) => Some(tire),
            Err(error) => {
                // The other errors are of fitting a tire to rows of measurements.
                if let TireError::Spec(found) = error {
                    faults.extend(found.iter().map(|fault| told(end, fault)));
                }
                None
            }
        }
    };
    match (one("front"), one("rear")) {
        (Some(front), Some(rear)) => Ok([front, rear]),
        _ => Err(faults),
    }
}

/// The tire's description as the tire crate takes it.
fn spec(end: End<'_>) -> TireSpec {
    let t = |name: &str| end.of(&format!("tire.{name}"));
    let direction = |name: &str| {
        let d = |entry: &str| end.of(&format!("tire.{name}.{entry}"));
        DirectionSpec {
            friction: d("friction"),
            friction_fall: d("friction_fall"),
            stiffness: d("stiffness"),
            stiffness_peak_load: d("stiffness_peak_load"),
            stiffness_pressure: d("stiffness_pressure"),
            peak_load_pressure: d("peak_load_pressure"),
            shape: d("shape"),
            curvature: d("curvature"),
            carcass_stiffness: d("carcass_stiffness"),
        }
    };
    TireSpec {
        unloaded_radius: t("unloaded_radius"),
        nominal_load: t("nominal_load"),
        nominal_pressure: t("nominal_pressure"),
        vertical_stiffness: t("vertical_stiffness"),
        vertical_damping: t("vertical_damping"),
        vertical_stiffness_pressure: t("vertical_stiffness_pressure"),
        radius_fraction: t("radius_fraction"),
        longitudinal: direction("longitudinal"),
        lateral: direction("lateral"),
        grip_pressure: t("grip_pressure"),
        grip_pressure_loss: t("grip_pressure_loss"),
        camber_thrust: t("camber_thrust"),
        camber_grip_loss: t("camber_grip_loss"),
        camber_stiffness_loss: t("camber_stiffness_loss"),
        trail: t("trail"),
        trail_reach: t("trail_reach"),
        carcass_pressure: t("carcass_pressure"),
        carcass_damping_time: t("carcass_damping_time"),
        relaxation_floor: t("relaxation_floor"),
        rolling_resistance: t("rolling_resistance"),
        rolling_pressure_exponent: t("rolling_pressure_exponent"),
    }
}

/// A fault of the tire crate, told with the car's path.
fn told(end: End<'_>, fault: &TireFault) -> Fault {
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
            ..Fault::new(end.path(&format!("tire.{field}")), FaultKind::OutOfRange)
                .reading(&format!("{value} {unit}"))
        },
        TireFault::Pressure {
            field,
            pressure,
            factor,
            least,
            ..
        } => Fault::new(
            end.path(&format!("tire.{field}")),
            FaultKind::PressureTakesAll {
                factor,
                pressure,
                least,
            },
        ),
    }
}
