//! Maneuvers, selected by name and configured by settings.

use axletree::registry::{self, BoxedManeuver, RegistryError};
use axletree_limit::LaneChangeCourse;
use axletree_simulation::channels::{ALL, Channel};
use axletree_simulation::{Ending, Measures, Metric, Trace};
use numpy::IntoPyArray;
use pyo3::exceptions::{PyTypeError, PyValueError};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde_json::{Map, Value as Json};

use crate::convert::{from_json, json};
use crate::errors;
use crate::model::Model;
use crate::signals::interruptible;

/// Settings given as a dict, as JSON.
fn given(settings: &Bound<'_, PyAny>) -> PyResult<Map<String, Json>> {
    match json(settings)? {
        Json::Object(given) => Ok(given),
        other => Err(PyTypeError::new_err(format!(
            "settings are a mapping, not {other}"
        ))),
    }
}

fn raised(error: &RegistryError) -> PyErr {
    let message = error.to_string();
    match error {
        RegistryError::UnknownManeuver { .. } => PyValueError::new_err(message),
        _ => PyTypeError::new_err(message),
    }
}

/// Settings of a maneuver: the defaults, overridden by those given. Raises `TypeError` for an
/// unknown setting and for a value of the wrong type.
pub fn settings<T: Default + serde::Serialize + serde::de::DeserializeOwned>(
    name: &'static str,
    settings: &Bound<'_, PyAny>,
) -> PyResult<T> {
    registry::settings(name, &given(settings)?).map_err(|e| raised(&e))
}

/// Constructs a maneuver by name from its settings.
pub fn built(name: &str, settings: &Bound<'_, PyAny>) -> PyResult<BoxedManeuver> {
    registry::build(name, &given(settings)?).map_err(|e| raised(&e))
}

/// Default settings of a maneuver.
#[pyfunction]
pub fn defaults(py: Python<'_>, name: &str) -> PyResult<Py<PyAny>> {
    let maneuver = registry::find(name).map_err(|e| raised(&e))?;
    from_json(py, &(maneuver.defaults)())
}

/// Lanes of a double lane change for a car of the given width: (from, to, right edge, left edge)
/// `[m]`.
#[pyfunction]
pub fn lanes(course: &str, width: f64) -> PyResult<Vec<(f64, f64, f64, f64)>> {
    let course: LaneChangeCourse = serde_json::from_value(Json::String(course.to_owned()))
        .map_err(|e| PyValueError::new_err(e.to_string()))?;
    let lanes = course.lanes(width);
    Ok(lanes.map(|l| (l.from, l.to, l.right, l.left)).to_vec())
}

/// Converts the declaration of a metric to a dict.
pub fn metric<'py>(py: Python<'py>, metric: &Metric) -> PyResult<Bound<'py, PyDict>> {
    let d = PyDict::new(py);
    d.set_item("name", metric.name())?;
    d.set_item("unit", metric.quantity.unit)?;
    d.set_item("meaning", metric.quantity.meaning)?;
    d.set_item("source", metric.quantity.source)?;
    d.set_item("floor", metric.floor)?;
    d.set_item("missing", metric.missing)?;
    Ok(d)
}

/// Metrics of a maneuver: dicts with name, unit, meaning, source, floor and missing.
#[pyfunction]
pub fn metrics(py: Python<'_>, name: &str) -> PyResult<Vec<Py<PyDict>>> {
    let maneuver = built(name, PyDict::new(py).as_any())?;
    let all = maneuver.metrics();
    all.iter().map(|m| Ok(metric(py, m)?.unbind())).collect()
}

/// A channel's name, unit, frame and meaning.
fn declared(channel: &Channel) -> (&'static str, &'static str, &'static str, &'static str) {
    let q = channel.quantity;
    (q.key, q.unit, q.frame, q.meaning)
}

/// All channels that a run can record: (name, unit, frame, meaning).
#[pyfunction]
pub fn channels() -> Vec<(&'static str, &'static str, &'static str, &'static str)> {
    ALL.iter().map(|c| declared(c)).collect()
}

/// Checks the settings of a maneuver; raises `SettingError` for a value out of range.
#[pyfunction]
pub fn check(name: &str, given: &Bound<'_, PyDict>) -> PyResult<()> {
    built(name, given.as_any())?
        .check()
        .map_err(|e| errors::maneuver(&e))
}

/// Puts an ending into a dict: `outcome`, `message`, `time`, `warning` (`None` without one).
pub fn put_ending(d: &Bound<'_, PyDict>, ending: &Ending, message: &str) -> PyResult<()> {
    d.set_item("outcome", ending.outcome.name())?;
    d.set_item("message", message)?;
    d.set_item("warning", ending.warning())?;
    d.set_item("time", ending.time)
}

/// Converts measured metrics to a dict: `outcome`, `message` with the reason of every undefined
/// metric, `warning`, `time`, `values` (name to value, `None` for an undefined metric).
pub fn put_measures<'py>(py: Python<'py>, measures: &Measures) -> PyResult<Bound<'py, PyDict>> {
    let d = PyDict::new(py);
    put_ending(&d, &measures.ending, &measures.message())?;
    let values = PyDict::new(py);
    for (metric, value) in &measures.values {
        values.set_item(metric.name(), value.is_finite().then_some(*value))?;
    }
    d.set_item("values", values)?;
    Ok(d)
}

pub fn put_trace(d: &Bound<'_, PyDict>, trace: Trace) -> PyResult<()> {
    let py = d.py();
    let columns = PyDict::new(py);
    for (channel, column) in trace.channels.iter().zip(trace.columns) {
        columns.set_item(channel.name(), column.into_pyarray(py))?;
    }
    let channels: Vec<_> = trace.channels.iter().map(|c| declared(c)).collect();
    d.set_item("channels", channels)?;
    d.set_item("columns", columns)?;
    d.set_item("samples", trace.time.into_pyarray(py))
}

/// Runs a maneuver and returns its outcome and metrics.
#[pyfunction]
pub fn measure<'py>(
    py: Python<'py>,
    model: &Model,
    name: &str,
    given: &Bound<'py, PyDict>,
) -> PyResult<Bound<'py, PyDict>> {
    let maneuver = built(name, given.as_any())?;
    let model = &model.inner;
    let measures = interruptible(py, None, |interrupt| maneuver.measure(model, interrupt))?
        .map_err(|e| errors::maneuver(&e))?;
    put_measures(py, &measures)
}

/// Runs a maneuver and returns its outcome, metrics and recorded channels.
#[pyfunction]
pub fn run<'py>(
    py: Python<'py>,
    model: &Model,
    name: &str,
    given: &Bound<'py, PyDict>,
) -> PyResult<Bound<'py, PyDict>> {
    let maneuver = built(name, given.as_any())?;
    let model = &model.inner;
    let run = interruptible(py, None, |interrupt| maneuver.run(model, interrupt))?
        .map_err(|e| errors::maneuver(&e))?;
    let d = put_measures(py, &run.measures)?;
    put_trace(&d, run.trace)?;
    Ok(d)
}
