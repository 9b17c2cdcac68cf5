//! Linkages solved from their hardpoints.

use axletree_linkage::{LinkageSheet, LinkageView};
use axletree_report::{Column, Figure};
use axletree_vehicle::{CarEnd, Links};
use numpy::IntoPyArray;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::car::Car;
use crate::errors::SettingError;

/// Figures as a list of (key, unit, meaning, value), without a value where there is none.
fn figures(figures: &[Figure]) -> Vec<(&'static str, &'static str, &'static str, Option<f64>)> {
    figures
        .iter()
        .map(|f| {
            let q = f.quantity;
            (q.key, q.unit, q.meaning, f.value)
        })
        .collect()
}

/// Columns as a dict of key to (unit, meaning, values).
fn columns(py: Python<'_>, columns: Vec<Column>) -> PyResult<Bound<'_, PyDict>> {
    let d = PyDict::new(py);
    for Column { quantity, values } in columns {
        let column = (quantity.unit, quantity.meaning, values.into_pyarray(py));
        d.set_item(quantity.key, column)?;
    }
    Ok(d)
}

/// Columns of two rows as a list of (key, unit, meaning, first, second).
fn pairs(columns: &[Column]) -> Vec<(&'static str, &'static str, &'static str, f64, f64)> {
    columns
        .iter()
        .map(|c| {
            let q = c.quantity;
            (q.key, q.unit, q.meaning, c.values[0], c.values[1])
        })
        .collect()
}

/// Adds the tables of a linkage to a dict.
fn add(d: &Bound<'_, PyDict>, sheet: LinkageSheet) -> PyResult<()> {
    let py = d.py();
    d.set_item("figures", figures(&sheet.figures.0))?;
    d.set_item("curves", columns(py, sheet.curves)?)?;
    d.set_item("binding", columns(py, sheet.binding)?)?;
    d.set_item("compliance", pairs(&sheet.compliance))?;
    d.set_item("windup", sheet.windup)?;
    for (name, screw) in sheet.axes {
        d.set_item(name, screw.map(|s| (s.direction, s.point)))?;
    }
    let fit = sheet.fit.iter().map(|e| (e.quantity, e.unit, e.error));
    d.set_item("fit", fit.collect::<Vec<_>>())
}

/// The solved links of one end of a car.
fn links_of(car: &Car, end: &str) -> PyResult<Links> {
    let Some(end_of_car) = CarEnd::named(end) else {
        return Err(PyValueError::new_err(format!(
            "a car has a \"front\" and a \"rear\" end, no \"{end}\""
        )));
    };
    let Some(links) = car.inner.linkage(end_of_car) else {
        return Err(SettingError::new_err(format!(
            "the {end} end of \"{}\" is given by coefficients; kinematics need {end}.links.type and the \
             points of the links",
            car.inner.name()
        )));
    };
    Ok(links)
}

/// The linkage of one end of a car: figures, curves, compliance, binding.
#[pyfunction]
pub fn kinematics<'py>(py: Python<'py>, car: &Car, end: &str) -> PyResult<Bound<'py, PyDict>> {
    let d = PyDict::new(py);
    let sheet = match &links_of(car, end)? {
        Links::Axle(links) => {
            d.set_item("solid", true)?;
            d.set_item("half_track", links.linkage.half_track)?;
            links.solution.sheet(links.range)
        }
        Links::Corners(links) => {
            d.set_item("solid", false)?;
            links.solution.sheet(links.range, end == "front")
        }
    };
    add(&d, sheet.map_err(|e| SettingError::new_err(e.to_string()))?)?;
    Ok(d)
}

/// The linkage of one end at a travel: its lines and its characteristic points, for drawing.
#[pyfunction]
pub fn linkage_view<'py>(
    py: Python<'py>,
    car: &Car,
    end: &str,
    travel: f64,
) -> PyResult<Bound<'py, PyDict>> {
    let view = match &links_of(car, end)? {
        Links::Axle(links) => links.solution.view(&links.linkage, travel),
        Links::Corners(links) => links.solution.view(&links.linkage, travel),
    };
    let LinkageView {
        pieces,
        center,
        contact,
        roll_center,
        center_across,
        center_along,
        roll_axis,
    } = view.map_err(|e| SettingError::new_err(e.to_string()))?;
    let d = PyDict::new(py);
    let pieces = pieces
        .into_iter()
        .map(|p| (p.name, p.kind.name(), p.points, p.fixed));
    d.set_item("pieces", pieces.collect::<Vec<_>>())?;
    d.set_item("center", center)?;
    d.set_item("contact", contact)?;
    d.set_item("roll_center", roll_center)?;
    d.set_item("center_across", center_across)?;
    d.set_item("center_along", center_along)?;
    d.set_item("roll_axis", roll_axis)?;
    Ok(d)
}
