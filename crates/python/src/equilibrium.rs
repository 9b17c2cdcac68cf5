//! Steady states, linearization and the static sheet.

use axletree_scalar::elementary;
use axletree_vehicle::linear::{self, OUTPUTS};
use axletree_vehicle::model::INPUTS;
use axletree_vehicle::model::layout::WHEELS;
use axletree_vehicle::trim::{Condition, Trim, solve};
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
    let sheet = interruptible(py, None, |_| axletree_vehicle::sheet::static_sheet(model))?
        .map_err(|e| errors::trim(&e))?;
    let rows = sheet.rows.into_iter();
    Ok(rows.map(|r| (r.key, r.unit, r.value, r.meaning)).collect())
}

fn trim_of(
    py: Python<'_>,
    model: &Model,
    speed: f64,
    lateral_acceleration: f64,
    longitudinal_acceleration: f64,
    friction: f64,
) -> PyResult<Trim> {
    let condition = Condition {
        speed,
        lateral_acceleration,
        longitudinal_acceleration,
        friction,
    };
    let model = &model.inner;
    interruptible(py, None, |_| solve(model, condition))?.map_err(|e| errors::trim(&e))
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
    let trim = trim_of(
        py,
        model,
        speed,
        lateral_acceleration,
        longitudinal_acceleration,
        friction,
    )?;
    let (seen, e) = model.inner.observe(&trim.state, &trim.inputs);
    let d = PyDict::new(py);
    d.set_item("state", trim.state.to_vec().into_pyarray(py))?;
    let inputs = PyDict::new(py);
    inputs.set_item("steering_wheel_angle", trim.inputs.steering_wheel)?;
    inputs.set_item("drive_torque", trim.inputs.drive_torque)?;
    d.set_item("inputs", inputs)?;
    let q = PyDict::new(py);
    for (name, value) in [
        ("speed", seen.speed),
        ("forward_velocity", seen.forward_velocity),
        ("lateral_velocity", seen.lateral_velocity),
        ("sideslip", seen.sideslip),
        ("yaw_rate", seen.yaw_rate),
        ("longitudinal_acceleration", seen.longitudinal_acceleration),
        ("lateral_acceleration", seen.lateral_acceleration),
        ("roll", seen.roll),
        ("pitch", seen.pitch),
        ("steering_wheel_torque", seen.steering_wheel_torque),
    ] {
        q.set_item(name, value)?;
    }
    d.set_item("quantities", q)?;
    let wheels = PyDict::new(py);
    for (i, name) in WHEELS.iter().enumerate() {
        let w = PyDict::new(py);
        let (c, f) = (&e.contacts[i], &e.tire_forces[i]);
        w.set_item("load", c.load)?;
        w.set_item("longitudinal_force", f.fx)?;
        w.set_item("lateral_force", f.fy)?;
        w.set_item("aligning_moment", f.mz)?;
        w.set_item("utilization", f.utilization)?;
        w.set_item("inclination", elementary::asin(c.inclination))?;
        w.set_item("longitudinal_slip", e.slips[i][0])?;
        w.set_item("lateral_slip", e.slips[i][1])?;
        wheels.set_item(name, w)?;
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
    let trim = trim_of(
        py,
        model,
        speed,
        lateral_acceleration,
        longitudinal_acceleration,
        friction,
    )?;
    let model = &model.inner;
    let (lin, modes) = interruptible(py, None, |_| {
        let lin = linear::linearize(model, &trim);
        let modes = lin.modes();
        (lin, modes)
    })?;
    let d = PyDict::new(py);
    d.set_item("A", array(py, &lin.a)?)?;
    d.set_item("B", array(py, &lin.b)?)?;
    d.set_item("C", array(py, &lin.c)?)?;
    d.set_item("D", array(py, &lin.d)?)?;
    d.set_item("states", lin.state_names.clone())?;
    d.set_item("inputs", INPUTS.to_vec())?;
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
