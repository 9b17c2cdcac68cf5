//! One exception tree with one root.

use axletree_simulation::ManeuverError;
use axletree_study::StudyError;
use axletree_vehicle::trim::TrimError;
use axletree_vehicle::{CarError as RustCarError, EigenError};
use pyo3::create_exception;
use pyo3::exceptions::PyException;
use pyo3::prelude::*;

create_exception!(
    axletree,
    AxletreeError,
    PyException,
    "Root of the errors of axletree."
);
create_exception!(
    axletree,
    CarError,
    AxletreeError,
    "A car's description is at fault. `faults` lists every fault with `path`, `value`, `unit`, `allowed`, \
     `line` and `message`."
);
create_exception!(
    axletree,
    SettingError,
    AxletreeError,
    "The settings of a maneuver or a study make no sense."
);
create_exception!(
    axletree,
    EquilibriumError,
    AxletreeError,
    "The car has no equilibrium at what was asked."
);
create_exception!(
    axletree,
    TireError,
    AxletreeError,
    "A tire's description or measured rows are at fault."
);

/// Adds the exceptions to the module.
pub fn add(m: &Bound<'_, PyModule>) -> PyResult<()> {
    let py = m.py();
    m.add("AxletreeError", py.get_type::<AxletreeError>())?;
    m.add("CarError", py.get_type::<CarError>())?;
    m.add("SettingError", py.get_type::<SettingError>())?;
    m.add("EquilibriumError", py.get_type::<EquilibriumError>())?;
    m.add("TireError", py.get_type::<TireError>())?;
    Ok(())
}

/// The faults of a car as Python's `Fault`s.
fn faults(py: Python<'_>, error: &RustCarError) -> PyResult<Vec<Py<PyAny>>> {
    let kind = py.import("axletree._fault")?.getattr("Fault")?;
    error
        .faults
        .iter()
        .map(|fault| {
            let parts = (
                &fault.path,
                &fault.read,
                &fault.unit,
                fault.allowed.map(|[low, high]| (low, high)),
                fault.line,
                fault.to_string(),
            );
            Ok(kind.call1(parts)?.unbind())
        })
        .collect()
}

/// A car's faults as an exception.
pub fn car(py: Python<'_>, error: &RustCarError) -> PyErr {
    let raised = CarError::new_err(error.to_string());
    let filled = faults(py, error).and_then(|list| {
        raised.value(py).setattr("faults", list)?;
        raised.value(py).setattr("origin", error.origin.clone())
    });
    match filled {
        Ok(()) => raised,
        Err(other) => other,
    }
}

/// Settings at fault as an exception.
pub fn maneuver(error: &ManeuverError) -> PyErr {
    SettingError::new_err(error.to_string())
}

/// No equilibrium as an exception.
pub fn trim(error: &TrimError) -> PyErr {
    EquilibriumError::new_err(error.to_string())
}

/// Eigenvalues that could not be found as an exception.
pub fn modes(error: EigenError) -> PyErr {
    EquilibriumError::new_err(error.to_string())
}

/// A study's request at fault as an exception.
pub fn study(py: Python<'_>, error: &StudyError) -> PyErr {
    match error {
        StudyError::Car(error) => car(py, error),
        other => SettingError::new_err(other.to_string()),
    }
}
