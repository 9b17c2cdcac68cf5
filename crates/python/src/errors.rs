//! Exceptions of the package, all derived from `AxletreeError`.

use axletree_simulation::ManeuverError;
use axletree_study::StudyError;
use axletree_vehicle::trim::TrimError;
use axletree_vehicle::{CarError as RustCarError, EigenError, FaultKind};
use pyo3::create_exception;
use pyo3::exceptions::{PyException, PyOSError, PyValueError};
use pyo3::prelude::*;
use pyo3::sync::PyOnceLock;
use pyo3::types::{PyDict, PyType};

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

/// The class `CarFileError`, which is a `CarError` and an `OSError`.
fn file_error(py: Python<'_>) -> PyResult<&Bound<'_, PyType>> {
    static CLASS: PyOnceLock<Py<PyType>> = PyOnceLock::new();
    let class = CLASS.get_or_try_init(py, || {
        let contents = PyDict::new(py);
        contents.set_item("__module__", "axletree")?;
        contents.set_item("__doc__", "A car file cannot be read or written.")?;
        let bases = (py.get_type::<CarError>(), py.get_type::<PyOSError>());
        let class = py
            .get_type::<PyType>()
            .call1(("CarFileError", bases, contents))?;
        Ok::<_, PyErr>(class.cast_into::<PyType>()?.unbind())
    })?;
    Ok(class.bind(py))
}

/// Adds the exceptions to the module.
pub fn add(m: &Bound<'_, PyModule>) -> PyResult<()> {
    let py = m.py();
    m.add("AxletreeError", py.get_type::<AxletreeError>())?;
    m.add("CarError", py.get_type::<CarError>())?;
    m.add("CarFileError", file_error(py)?)?;
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

/// Converts the faults of a car's description to a `CarError`, that of a file to a `CarFileError`.
pub fn car(py: Python<'_>, error: &RustCarError) -> PyErr {
    let file = error.faults.iter().find_map(|fault| match &fault.kind {
        FaultKind::Unreadable { code, .. } | FaultKind::Unwritable { code, .. } => Some(*code),
        _ => None,
    });
    let made = || {
        let class = if file.is_some() {
            file_error(py)?.clone()
        } else {
            py.get_type::<CarError>()
        };
        let raised = PyErr::from_value(class.call1((error.to_string(),))?);
        let value = raised.value(py);
        value.setattr("faults", faults(py, error)?)?;
        value.setattr("origin", error.origin.clone())?;
        if let Some(code) = file {
            value.setattr("errno", code)?;
        }
        Ok(raised)
    };
    made().unwrap_or_else(|other| other)
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
