//! Maneuvers by name and settings.

use axletree_limit::double_lane_change::Course;
use axletree_limit::{CornerExit, DoubleLaneChange, Slalom};
use axletree_maneuver::{
    AccelerationEnvelope, BrakingInATurn, BumpInACorner, Circle, FrequencyResponse, Launch,
    LiftOffInATurn, Maneuver, RoughCorner, SineWithDwell, StepSteer,
};
use axletree_simulation::channels::ALL;
use axletree_simulation::{Ending, Measures, Metric, Trace};
use numpy::IntoPyArray;
use pyo3::exceptions::{PyTypeError, PyValueError};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde_json::Value as Json;

use crate::convert::{from_json, json};
use crate::errors;
use crate::model::Model;
use crate::signals::interruptible;

/// A maneuver's settings over its defaults; a setting that does not exist or has the wrong kind is a
/// `TypeError`.
pub fn settings<T: Default + serde::Serialize + serde::de::DeserializeOwned>(
    name: &str,
    given: &Bound<'_, PyAny>,
) -> PyResult<T> {
    let mut all =
        serde_json::to_value(T::default()).map_err(|e| PyValueError::new_err(e.to_string()))?;
    let given = json(given)?;
    if let (Json::Object(all), Json::Object(given)) = (&mut all, given) {
        for (key, value) in given {
            if !all.contains_key(&key) {
                let known: Vec<&str> = all.keys().map(String::as_str).collect();
                return Err(PyTypeError::new_err(format!(
                    "{name} has no setting \"{key}\"; it has {}",
                    known.join(", ")
                )));
            }
            all.insert(key, value);
        }
    }
    serde_json::from_value(all).map_err(|e| {
        let told = e.to_string().replace("unknown variant", "unknown choice");
        PyTypeError::new_err(format!("{name}: {told}"))
    })
}

/// Every maneuver by its name: what builds it from settings, and its settings by default. A new maneuver
/// is one line.
macro_rules! maneuvers {
    ($($name:literal => $kind:ty),* $(,)?) => {
        /// The maneuver of a name with settings.
        pub fn built(name: &str, given: &Bound<'_, PyAny>) -> PyResult<Box<dyn Maneuver + Send>> {
            match name {
                $( $name => Ok(Box::new(settings::<$kind>(name, given)?)), )*
                other => Err(unknown(other)),
            }
        }

        /// Settings of a maneuver with their default values.
        #[pyfunction]
        pub fn defaults(py: Python<'_>, name: &str) -> PyResult<Py<PyAny>> {
            let value = match name {
                $( $name => serde_json::to_value(<$kind>::default()), )*
                other => return Err(unknown(other)),
            };
            from_json(py, &value.map_err(|e| PyValueError::new_err(e.to_string()))?)
        }
    };
}

maneuvers! {
    "step_steer" => StepSteer,
    "circle" => Circle,
    "slalom" => Slalom,
    "frequency_response" => FrequencyResponse,
    "sine_with_dwell" => SineWithDwell,
    "braking_in_a_turn" => BrakingInATurn,
    "lift_off_in_a_turn" => LiftOffInATurn,
    "bump_in_a_corner" => BumpInACorner,
    "rough_corner" => RoughCorner,
    "double_lane_change" => DoubleLaneChange,
    "acceleration_envelope" => AccelerationEnvelope,
    "corner_exit" => CornerExit,
    "launch" => Launch,
}

fn unknown(name: &str) -> PyErr {
    PyValueError::new_err(format!("no maneuver is called \"{name}\""))
}

/// The lanes of a double lane change for a car of a width [m]: (from, to, right edge, left edge) [m].
#[pyfunction]
pub fn lanes(course: &str, width: f64) -> PyResult<Vec<(f64, f64, f64, f64)>> {
    let course: Course = serde_json::from_value(Json::String(course.to_owned()))
        .map_err(|e| PyValueError::new_err(e.to_string()))?;
    let lanes = course.lanes(width);
    Ok(lanes.map(|l| (l.from, l.to, l.right, l.left)).to_vec())
}

/// A metric's declaration as a dict.
pub fn metric<'py>(py: Python<'py>, metric: &Metric) -> PyResult<Bound<'py, PyDict>> {
    let d = PyDict::new(py);
    d.set_item("name", metric.name)?;
    d.set_item("unit", metric.unit)?;
    d.set_item("meaning", metric.meaning)?;
    d.set_item("source", metric.source)?;
    d.set_item("floor", metric.floor)?;
    Ok(d)
}

/// The metrics of a maneuver: dicts with name, unit, meaning, source and floor.
#[pyfunction]
pub fn metrics(py: Python<'_>, name: &str) -> PyResult<Vec<Py<PyDict>>> {
    let maneuver = built(name, PyDict::new(py).as_any())?;
    let all = maneuver.metrics();
    all.iter().map(|m| Ok(metric(py, m)?.unbind())).collect()
}

/// Every channel that a run can record: (name, unit, frame, meaning).
#[pyfunction]
pub fn channels() -> Vec<(&'static str, &'static str, &'static str, &'static str)> {
    ALL.iter()
        .map(|c| (c.name, c.unit, c.frame, c.meaning))
        .collect()
}

/// Checks the settings of a maneuver.
#[pyfunction]
pub fn check(name: &str, given: &Bound<'_, PyDict>) -> PyResult<()> {
    built(name, given.as_any())?
        .check()
        .map_err(|e| errors::maneuver(&e))
}

pub fn put_ending(d: &Bound<'_, PyDict>, ending: &Ending) -> PyResult<()> {
    d.set_item("outcome", ending.outcome.name())?;
    d.set_item("message", ending.outcome.to_string())?;
    d.set_item("time", ending.time)
}

/// Measures as a dict: `outcome`, `message`, `time`, `values` (name to value, `None` where it does not
/// exist).
pub fn put_measures<'py>(py: Python<'py>, measures: &Measures) -> PyResult<Bound<'py, PyDict>> {
    let d = PyDict::new(py);
    put_ending(&d, &measures.ending)?;
    let values = PyDict::new(py);
    for (metric, value) in &measures.values {
        values.set_item(metric.name, value.is_finite().then_some(*value))?;
    }
    d.set_item("values", values)?;
    Ok(d)
}

pub fn put_trace(d: &Bound<'_, PyDict>, trace: Trace) -> PyResult<()> {
    let py = d.py();
    let columns = PyDict::new(py);
    for (channel, column) in trace.channels.iter().zip(trace.columns) {
        columns.set_item(channel.name, column.into_pyarray(py))?;
    }
    let declared: Vec<(&str, &str, &str, &str)> = trace
        .channels
        .iter()
        .map(|c| (c.name, c.unit, c.frame, c.meaning))
        .collect();
    d.set_item("channels", declared)?;
    d.set_item("columns", columns)?;
    d.set_item("samples", trace.time.into_pyarray(py))
}

/// Drives a car and measures.
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

/// Drives a car, measures and records.
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
