//! Exceptions of the package, all derived from `AxletreeError`.

use axletree_simulation::ManeuverError;
use axletree_study::StudyError;
use axletree_vehicle::trim::TrimError;
use axletree_vehicle::{CarError as RustCarError, EigenError};
use pyo3::create_exception;
use pyo3::exceptions::{PyException, PyValueError};
use pyo3::prelude::*;

create_exception!(
    axletree,
    AxletreeError,
    PyException,
    "Base class of all errors that axletree raises."
);
create_exception!(
    axletree,
    CarError,
    AxletreeError,
    "The description of a car is invalid. `faults` lists every fault with `path`, `value`, `unit`, \
     `allowed`, `line` and `message`."
);
create_exception!(
    axletree,
    SettingError,
    AxletreeError,
    "A setting of a maneuver or a study is invalid."
);
create_exception!(
    axletree,
    EquilibriumError,
    AxletreeError,
    "The car has no equilibrium in the requested condition."
);
create_exception!(
    axletree,
    TireError,
    AxletreeError,
    "The description of a tire, or the measured rows to fit, are invalid."
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

/// Converts the faults of a car's description to Python `Fault`s.
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

/// Converts the faults of a car's description to a `CarError`.
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

/// Converts an error in the settings of a maneuver to a `SettingError`.
pub fn maneuver(error: &ManeuverError) -> PyErr {
    SettingError::new_err(error.to_string())
}

/// Converts a missing equilibrium to an `EquilibriumError`.
pub fn trim(error: &TrimError) -> PyErr {
    EquilibriumError::new_err(error.to_string())
}

/// Converts a failed eigenvalue computation to an `EquilibriumError`.
pub fn modes(error: EigenError) -> PyErr {
    EquilibriumError::new_err(error.to_string())
}

/// Converts an error in the request of a study to a `CarError`, a `ValueError` for a number of
/// threads, or a `SettingError`.
pub fn study(py: Python<'_>, error: &StudyError) -> PyErr {
    match error {
        StudyError::Car(error) => car(py, error),
        StudyError::Threads { .. } => PyValueError::new_err(error.to_string()),
        other => SettingError::new_err(other.to_string()),
    }
}
