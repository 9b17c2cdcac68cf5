//! Fitting of tires to measured data.

use axletree_tire::{ForceRow, TireSpec};
use numpy::PyReadonlyArray1;
use numpy::ndarray::ArrayView1;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::errors::TireError;
use crate::signals::interruptible;

/// A column of measured rows.
type Column<'py> = PyReadonlyArray1<'py, f64>;

/// Fits a tire to measured rows, starting from a usual street tire.
///
/// Columns of equal length, arrays of floats:
///
/// - `load`: vertical load. `[N]`
/// - `slip_angle`: positive for a force to the left. `[rad]`
/// - `slip_ratio`: positive when driving. `[-]`
/// - `camber`: inclination to the road, top to the right. `[rad]`
/// - `pressure`: inflation pressure above the atmosphere. `[Pa]`
/// - `fx`, `fy`, `mz`: measured forces and aligning moment, each a column or `None`. `[N, N, N*m]`
///
/// `unloaded_radius` `[m]` and `nominal_load` `[N]` are those of the start.
///
/// Returns a dict with `fitted` (key to value and standard error), `residuals` (channel to root
/// mean square) and `notes`.
///
/// # Errors
///
/// `ValueError` for columns of different lengths, `TireError` for rows that cannot be fitted.
#[pyfunction]
pub fn fit_tire<'py>(
    py: Python<'py>,
    load: Column<'py>,
    slip_angle: Column<'py>,
    slip_ratio: Column<'py>,
    camber: Column<'py>,
    pressure: Column<'py>,
    fx: Option<Column<'py>>,
    fy: Option<Column<'py>>,
    mz: Option<Column<'py>>,
    unloaded_radius: f64,
    nominal_load: f64,
) -> PyResult<Bound<'py, PyDict>> {
    let load = load.as_array();
    let n = load.len();
    let conditions = [slip_angle, slip_ratio, camber, pressure];
    let [slip_angle, slip_ratio, camber, pressure] = conditions.each_ref().map(|c| c.as_array());
    let forces = [fx, fy, mz];
    let [fx, fy, mz] = forces.each_ref().map(|c| c.as_ref().map(|c| c.as_array()));
    for (name, column) in [
        ("slip_angle", Some(slip_angle)),
        ("slip_ratio", Some(slip_ratio)),
        ("camber", Some(camber)),
        ("pressure", Some(pressure)),
        ("fx", fx),
        ("fy", fy),
        ("mz", mz),
    ] {
        if let Some(length) = column.map(|c| c.len())
            && length != n
        {
            return Err(PyValueError::new_err(format!(
                "columns must have equal lengths: load has {n} rows, {name} has {length}"
            )));
        }
    }
    let measured = |column: Option<ArrayView1<'_, f64>>, i: usize| column.map(|c| c[i]);
    let rows: Vec<ForceRow> = (0..n)
        .map(|i| ForceRow {
            slip_angle: slip_angle[i],
            slip_ratio: slip_ratio[i],
            load: load[i],
            camber: camber[i],
            pressure: pressure[i],
            fx: measured(fx, i),
            fy: measured(fy, i),
            mz: measured(mz, i),
        })
        .collect();
    let start = TireSpec::typical(unloaded_radius, nominal_load);
    let found = interruptible(py, None, |interrupt| {
        start.fit_interruptible(&rows, interrupt)
    })?
    .map_err(|e| TireError::new_err(e.to_string()))?;

    let d = PyDict::new(py);
    let fitted = PyDict::new(py);
    for one in &found.fitted {
        fitted.set_item(one.name, (one.value, one.standard_error))?;
    }
    d.set_item("fitted", fitted)?;
    let residuals = PyDict::new(py);
    residuals.set_item("fx", found.residuals.fx)?;
    residuals.set_item("fy", found.residuals.fy)?;
    residuals.set_item("mz", found.residuals.mz)?;
    d.set_item("residuals", residuals)?;
    let notes: Vec<String> = found.notes.iter().map(ToString::to_string).collect();
    d.set_item("notes", notes)?;
    Ok(d)
}
