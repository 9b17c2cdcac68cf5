//! Compiled module of the Python package: conversions, exceptions and signals; no physics.
//!
//! - `car`: descriptions of cars.
//! - `model`: assembled cars.
//! - `equilibrium`: steady states, linearization and the static sheet.
//! - `kinematics`: kinematics of linkages given by hardpoints.
//! - `drive`: maneuvers, selected by name and configured by settings.
//! - `slalom`: the slalom: the search for the driver, then the course driven.
//! - `study`: sweeps and comparisons.
//! - `tire`: fitting of tires to measured data.
//! - `stream`: car files in pipes and devices.
//! - `convert`, `errors`, `signals`: conversion of values, exceptions, Ctrl-C.

#![expect(
    clippy::needless_pass_by_value,
    reason = "arguments come from Python by value"
)]
#![expect(
    clippy::too_many_arguments,
    reason = "functions take the columns and settings that Python passes one by one"
)]
#![expect(
    clippy::type_complexity,
    reason = "Python's tuples are spelled out where they are built"
)]

use pyo3::prelude::*;

mod car;
mod convert;
mod drive;
mod equilibrium;
mod errors;
mod kinematics;
mod model;
mod signals;
mod slalom;
mod stream;
mod study;
mod tire;

/// Compiled core of axletree, used through the package `axletree`.
#[pymodule]
fn _core(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add("__version__", env!("CARGO_PKG_VERSION"))?;
    m.add("MOST_THREADS", axletree_study::MOST_THREADS)?;
    errors::add(m)?;
    m.add_class::<car::Car>()?;
    m.add_class::<model::Model>()?;
    m.add_function(wrap_pyfunction!(car::examples, m)?)?;
    m.add_function(wrap_pyfunction!(convert::parse_quantity, m)?)?;
    m.add_function(wrap_pyfunction!(convert::write_quantity, m)?)?;
    m.add_function(wrap_pyfunction!(equilibrium::static_sheet, m)?)?;
    m.add_function(wrap_pyfunction!(equilibrium::steady_state, m)?)?;
    m.add_function(wrap_pyfunction!(equilibrium::linearize, m)?)?;
    m.add_function(wrap_pyfunction!(kinematics::kinematics, m)?)?;
    m.add_function(wrap_pyfunction!(kinematics::linkage_view, m)?)?;
    m.add_function(wrap_pyfunction!(drive::defaults, m)?)?;
    m.add_function(wrap_pyfunction!(drive::lanes, m)?)?;
    m.add_function(wrap_pyfunction!(drive::metrics, m)?)?;
    m.add_function(wrap_pyfunction!(drive::channels, m)?)?;
    m.add_function(wrap_pyfunction!(drive::check, m)?)?;
    m.add_function(wrap_pyfunction!(drive::measure, m)?)?;
    m.add_function(wrap_pyfunction!(drive::run, m)?)?;
    m.add_function(wrap_pyfunction!(slalom::slalom, m)?)?;
    m.add_function(wrap_pyfunction!(study::sweep, m)?)?;
    m.add_function(wrap_pyfunction!(study::compare, m)?)?;
    m.add_function(wrap_pyfunction!(tire::fit_tire, m)?)?;
    Ok(())
}
