//! Fitting of tires to measured data.

use axletree_tire::{ForceRow, TireSpec};
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::errors::TireError;
use crate::signals::interruptible;

/// Fits a tire to measured rows, starting from a usual street tire.
///
/// Columns of equal length:
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
    load: Vec<f64>,
    slip_angle: Vec<f64>,
    slip_ratio: Vec<f64>,
    camber: Vec<f64>,
    pressure: Vec<f64>,
    fx: Option<Vec<f64>>,
    fy: Option<Vec<f64>>,
    mz: Option<Vec<f64>>,
    unloaded_radius: f64,
    nominal_load: f64,
) -> PyResult<Bound<'py, PyDict>> {
    let n = load.len();
    let lengths = [
        ("slip_angle", Some(slip_angle.len())),
        ("slip_ratio", Some(slip_ratio.len())),
        ("camber", Some(camber.len())),
        ("pressure", Some(pressure.len())),
        ("fx", fx.as_ref().map(Vec::len)),
        ("fy", fy.as_ref().map(Vec::len)),
        ("mz", mz.as_ref().map(Vec::len)),
    ];
    if let Some((name, Some(length))) = lengths
        .iter()
        .find(|(_, length)| length.is_some_and(|l| l != n))
    {
        return Err(PyValueError::new_err(format!(
            "columns must have equal lengths: load has {n} rows, {name} has {length}"
        )));
    }
    let measured = |column: &Option<Vec<f64>>, i: usize| column.as_ref().map(|c| c[i]);
    let rows: Vec<ForceRow> = (0..n)
        .map(|i| ForceRow {
            slip_angle: slip_angle[i],
            slip_ratio: slip_ratio[i],
            load: load[i],
            camber: camber[i],
            pressure: pressure[i],
            fx: measured(&fx, i),
            fy: measured(&fy, i),
            mz: measured(&mz, i),
        })
        .collect();
    let start = TireSpec::typical(unloaded_radius, nominal_load);
    let found = interruptible(py, None, |_| start.fit(&rows))?
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
