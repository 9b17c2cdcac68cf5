//! Steady states, linearization and the static sheet.

use axletree_report::Figures;
use axletree_vehicle::model::{MODEL_INPUTS, WHEELS};
use axletree_vehicle::trim::{Condition, Trim, solve};
use axletree_vehicle::{OUTPUTS, linearize as linear_car};
use nalgebra::DMatrix;
use numpy::{IntoPyArray, PyArray2};
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::errors;
use crate::model::Model;
use crate::signals::interruptible;

/// Static sheet: a list of (key, unit, value, meaning).
#[pyfunction]
pub fn static_sheet(
    py: Python<'_>,
    model: &Model,
) -> PyResult<Vec<(&'static str, &'static str, f64, &'static str)>> {
    let model = &model.inner;
    let sheet = interruptible(py, None, |_| model.static_sheet())?.map_err(|e| errors::trim(&e))?;
    let rows = sheet.figures.0.into_iter().filter_map(|figure| {
        let q = figure.quantity;
        Some((q.key, q.unit, figure.value?, q.meaning))
    });
    Ok(rows.collect())
}

/// The equilibrium of a condition.
fn equilibrium(py: Python<'_>, model: &Model, condition: Condition) -> PyResult<Trim> {
    let model = &model.inner;
    interruptible(py, None, |_| solve(model, condition))?.map_err(|e| errors::trim(&e))
}

/// Figures as a dict from key to value.
fn values<'py>(py: Python<'py>, figures: &Figures) -> PyResult<Bound<'py, PyDict>> {
    let values = PyDict::new(py);
    for figure in &figures.0 {
        values.set_item(figure.quantity.key, figure.value)?;
    }
    Ok(values)
}

/// Steady state: a dict of `state`, `inputs`, `quantities` (name to value) and `wheels` (name to a
/// dict).
#[pyfunction]
pub fn steady_state<'py>(
    py: Python<'py>,
    model: &Model,
    speed: f64,
    lateral_acceleration: f64,
    longitudinal_acceleration: f64,
    friction: f64,
) -> PyResult<Bound<'py, PyDict>> {
    let condition = Condition {
        speed,
        lateral_acceleration,
        longitudinal_acceleration,
        friction,
    };
    let trim = equilibrium(py, model, condition)?;
    let report = trim.report(&model.inner);
    let d = PyDict::new(py);
    d.set_item("state", trim.state.to_vec().into_pyarray(py))?;
    let inputs = PyDict::new(py);
    inputs.set_item("steering_wheel_angle", trim.inputs.steering_wheel)?;
    inputs.set_item("drive_torque", trim.inputs.drive_torque)?;
    d.set_item("inputs", inputs)?;
    d.set_item("quantities", values(py, &report.body)?)?;
    let wheels = PyDict::new(py);
    for (name, figures) in WHEELS.iter().zip(&report.wheels) {
        wheels.set_item(name, values(py, figures)?)?;
    }
    d.set_item("wheels", wheels)?;
    Ok(d)
}

fn array<'py>(py: Python<'py>, m: &DMatrix<f64>) -> PyResult<Bound<'py, PyArray2<f64>>> {
    let rows: Vec<f64> = m.transpose().as_slice().to_vec();
    let shaped = ndarray::Array2::from_shape_vec((m.nrows(), m.ncols()), rows)
        .map_err(|e| pyo3::exceptions::PyRuntimeError::new_err(e.to_string()))?;
    Ok(shaped.into_pyarray(py))
}

/// Linearization about a steady state: a dict of `A`, `B`, `C`, `D`, names and units, `modes`.
#[pyfunction]
pub fn linearize<'py>(
    py: Python<'py>,
    model: &Model,
    speed: f64,
    lateral_acceleration: f64,
    longitudinal_acceleration: f64,
    friction: f64,
) -> PyResult<Bound<'py, PyDict>> {
    let condition = Condition {
        speed,
        lateral_acceleration,
        longitudinal_acceleration,
        friction,
    };
    let trim = equilibrium(py, model, condition)?;
    let model = &model.inner;
    let (lin, modes) = interruptible(py, None, |_| {
        let lin = linear_car(model, &trim);
        let modes = lin.modes();
        (lin, modes)
    })?;
    let d = PyDict::new(py);
    d.set_item("A", array(py, &lin.a)?)?;
    d.set_item("B", array(py, &lin.b)?)?;
    d.set_item("C", array(py, &lin.c)?)?;
    d.set_item("D", array(py, &lin.d)?)?;
    d.set_item("states", lin.state_names.clone())?;
    d.set_item("inputs", MODEL_INPUTS.to_vec())?;
    d.set_item("outputs", OUTPUTS.to_vec())?;
    d.set_item("state", trim.state.to_vec().into_pyarray(py))?;
    let modes: Vec<(String, f64, f64, f64, f64, Vec<f64>)> = modes
        .map_err(errors::modes)?
        .into_iter()
        .map(|m| {
            (
                m.name,
                m.frequency,
                m.damping_ratio,
                m.real,
                m.imaginary,
                m.shares,
            )
        })
        .collect();
    d.set_item("modes", modes)?;
    Ok(d)
}
