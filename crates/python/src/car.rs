//! Descriptions of cars.

use std::path::PathBuf;

use axletree_vehicle::{self as vehicle, CarError};
use axletree_vehicle::{BUNDLED, Value};
use pyo3::exceptions::PyTypeError;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyIterator, PyMapping, PyType};

use crate::convert::{entry_value, from_json, kind, named, value, write_quantity};
use crate::errors;
use crate::model::Model;
use crate::stream::{self, is_stream};

/// Description of a car. Immutable; `edit` returns a changed copy.
#[pyclass(frozen, module = "axletree._core", from_py_object)]
#[derive(Clone)]
pub struct Car {
    pub inner: vehicle::Car,
}

fn raise<T>(py: Python<'_>, result: Result<T, CarError>) -> PyResult<T> {
    result.map_err(|error| errors::car(py, &error))
}

/// Paths and new values of a car's entries, from any mapping.
pub fn entries(changes: &Bound<'_, PyAny>) -> PyResult<Vec<(String, Value)>> {
    let Ok(mapping) = changes.cast::<PyMapping>() else {
        return Err(PyTypeError::new_err(format!(
            "expected changes by path, got {}",
            kind(changes)
        )));
    };
    mapping
        .items()?
        .iter()
        .map(|item| {
            let (path, to): (Bound<'_, PyAny>, Bound<'_, PyAny>) = item.extract()?;
            let Ok(path) = path.extract::<String>() else {
                return Err(PyTypeError::new_err(format!(
                    "expected the path of an entry, got {}",
                    path.repr()?
                )));
            };
            let value = value(&to).map_err(|error| named(changes.py(), &path, error))?;
            Ok((path, value))
        })
        .collect()
}

/// Names of the bundled cars.
#[pyfunction]
pub fn examples() -> Vec<&'static str> {
    BUNDLED.iter().map(|(name, _)| *name).collect()
}

#[pymethods]
impl Car {
    /// Loads a bundled car by name, or a car file by path.
    #[classmethod]
    #[pyo3(signature = (name_or_path, /))]
    fn load(_: &Bound<'_, PyType>, py: Python<'_>, name_or_path: PathBuf) -> PyResult<Self> {
        let path = name_or_path;
        if is_stream(&path) {
            return Ok(Car {
                inner: stream::load(py, &path)?,
            });
        }
        let inner = raise(py, py.detach(|| vehicle::Car::load(&path)))?;
        Ok(Car { inner })
    }

    /// Reads a car from the text of a car file.
    #[classmethod]
    #[pyo3(signature = (text, /, origin=None))]
    fn from_toml(
        _: &Bound<'_, PyType>,
        py: Python<'_>,
        text: &str,
        origin: Option<&str>,
    ) -> PyResult<Self> {
        let inner = raise(py, py.detach(|| vehicle::Car::from_toml(text, origin)))?;
        Ok(Car { inner })
    }

    /// The text of the car file; comments of the file that was read are lost.
    fn to_toml(&self) -> String {
        self.inner.to_toml()
    }

    /// Writes the car file, whole or not at all.
    #[pyo3(signature = (path, /))]
    fn save(&self, py: Python<'_>, path: PathBuf) -> PyResult<()> {
        if is_stream(&path) {
            return stream::save(py, &self.inner, &path);
        }
        raise(py, py.detach(|| self.inner.save(&path)))
    }

    /// JSON schema (draft 2020-12) of the car file.
    #[staticmethod]
    fn schema(py: Python<'_>) -> PyResult<Py<PyAny>> {
        from_json(py, &vehicle::Car::schema())
    }

    /// The car's name.
    #[getter]
    fn name(&self) -> &str {
        self.inner.name()
    }

    /// Source of the description: a file path or a bundled name; `None` for neither.
    #[getter]
    fn origin(&self) -> Option<&str> {
        self.inner.origin()
    }

    /// SI value of the entry at a dotted path; text for a choice, `None` for an absent entry.
    fn __getitem__(&self, py: Python<'_>, path: &str) -> PyResult<Py<PyAny>> {
        match self.inner.get(path) {
            Ok(entry) => Ok(entry_value(py, entry.value.as_ref())),
            Err(error) => Err(errors::car(py, &error)),
        }
    }

    /// Whether the car has an entry at a path.
    fn __contains__(&self, path: &Bound<'_, PyAny>) -> bool {
        path.extract::<String>()
            .is_ok_and(|path| self.inner.get(&path).is_ok())
    }

    /// Paths of all entries, in the order of the file.
    fn keys(&self) -> Vec<String> {
        self.inner.paths().into_iter().map(|e| e.path).collect()
    }

    fn __iter__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyIterator>> {
        self.keys().into_pyobject(py)?.try_iter()
    }

    fn __len__(&self) -> usize {
        self.inner.paths().len()
    }

    /// Returns a car with changed entries; all invalid entries are reported together.
    #[pyo3(signature = (changes, /))]
    fn edit(&self, py: Python<'_>, changes: &Bound<'_, PyAny>) -> PyResult<Self> {
        let inner = raise(py, self.inner.edit(entries(changes)?))?;
        Ok(Car { inner })
    }

    /// Returns this car with the complete rear end of another car.
    #[pyo3(signature = (other, /))]
    fn with_rear(&self, py: Python<'_>, other: &Car) -> PyResult<Self> {
        let inner = raise(py, self.inner.with_rear(&other.inner))?;
        Ok(Car { inner })
    }

    /// Table of all editable entries: path, value (SI), text as written, unit, allowed range (SI),
    /// choices, meaning, reason for the default, whether the value is the default.
    fn paths<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        let entries = self
            .inner
            .paths()
            .into_iter()
            .map(|entry| {
                let d = PyDict::new(py);
                d.set_item("path", &entry.path)?;
                d.set_item("value", entry_value(py, entry.value.as_ref()))?;
                d.set_item("written", &entry.written)?;
                d.set_item("unit", entry.unit)?;
                d.set_item("allowed", entry.allowed.map(|[a, b]| (a, b)))?;
                d.set_item("choices", entry.choices.clone())?;
                d.set_item("meaning", entry.meaning)?;
                d.set_item("reason", entry.reason)?;
                d.set_item("is_default", entry.is_default)?;
                Ok(d.unbind())
            })
            .collect::<PyResult<Vec<Py<PyDict>>>>()?;
        let table = py.import("axletree._entries")?.getattr("Entries")?;
        let write = wrap_pyfunction!(write_quantity, py)?;
        table.call1((self.inner.name(), entries, write))
    }

    /// Entries that differ from another car's: a list of (path, value here, value there, meaning).
    #[pyo3(signature = (other, /))]
    fn differences(
        &self,
        other: &Car,
    ) -> Vec<(String, Option<String>, Option<String>, &'static str)> {
        self.inner
            .differences(&other.inner)
            .into_iter()
            .map(|d| (d.path, d.this, d.other, d.meaning))
            .collect()
    }

    /// Computes the numbers of the equations of motion from the description.
    fn assemble(&self, py: Python<'_>) -> PyResult<Model> {
        let inner = raise(py, self.inner.assemble())?;
        Ok(Model { inner })
    }

    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        other
            .cast::<Car>()
            .is_ok_and(|other| other.get().inner == self.inner)
    }

    fn __repr__(&self) -> String {
        format!("<Car \"{}\">", self.inner.name())
    }

    fn __reduce__<'py>(
        &self,
        py: Python<'py>,
    ) -> PyResult<(Bound<'py, PyAny>, (String, Option<String>))> {
        let read = py.get_type::<Car>().getattr("from_toml")?;
        let origin = self.inner.origin().map(str::to_owned);
        Ok((read, (self.inner.to_toml(), origin)))
    }
}
