//! Sweeps and comparisons.

use axletree::registry::BoxedManeuver;
use axletree_maneuver::Maneuver;
use axletree_simulation::Ending;
use axletree_simulation::metrics::ending_message;
use axletree_study::{self as study, MetricColumn, StudyOptions, SweepDesign, Vary};
use axletree_vehicle::CarError;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::car::{Car, entries};
use crate::convert::{entry_value, value};
use crate::drive::{built, metric};
use crate::errors;
use crate::signals::interruptible;

/// Maneuvers as (name, settings).
type Asked<'py> = Vec<(String, Bound<'py, PyDict>)>;

fn maneuvers(asked: &Asked<'_>) -> PyResult<Vec<BoxedManeuver>> {
    asked
        .iter()
        .map(|(name, settings)| built(name, settings.as_any()))
        .collect()
}

fn borrowed(all: &[BoxedManeuver]) -> Vec<&dyn Maneuver> {
    all.iter().map(|m| -> &dyn Maneuver { &**m }).collect()
}

fn columns(py: Python<'_>, columns: &[MetricColumn]) -> PyResult<Vec<Py<PyDict>>> {
    columns
        .iter()
        .map(|c| {
            let d = metric(py, c.metric)?;
            d.set_item("maneuver", c.maneuver)?;
            d.set_item("key", c.key())?;
            Ok(d.unbind())
        })
        .collect()
}

/// The outcome of a maneuver as (name, message, time). The message has the fault of a car that was
/// not built, and the reason of every value that is missing among those of the maneuver; `value`
/// gives the value of a column.
fn ended(
    ending: &Ending,
    maneuver: &str,
    columns: &[MetricColumn],
    value: impl Fn(usize) -> f64,
    fault: Option<&CarError>,
) -> (&'static str, String, f64) {
    let own = columns
        .iter()
        .enumerate()
        .filter(|(_, column)| column.maneuver == maneuver);
    let mut message = ending_message(ending, own.map(|(i, c)| (c.metric, value(i))));
    if let Some(fault) = fault {
        let faults: Vec<String> = fault.faults.iter().map(ToString::to_string).collect();
        message = format!("{message}: {}", faults.join("; "));
    }
    (ending.outcome.name(), message, ending.time)
}

/// Sweeps entries of a car. Returns a dict: `settings`, `sizes`, `maneuvers`, `columns`, `rows`.
#[pyfunction]
pub fn sweep<'py>(
    py: Python<'py>,
    car: &Car,
    vary: Vec<(String, Vec<Bound<'py, PyAny>>)>,
    design: &str,
    asked: Asked<'py>,
    progress: Option<Py<PyAny>>,
    threads: Option<usize>,
) -> PyResult<Bound<'py, PyDict>> {
    let design = match design {
        "grid" => SweepDesign::Grid,
        "one_at_a_time" => SweepDesign::OneAtATime,
        other => {
            return Err(PyValueError::new_err(format!(
                "unknown design \"{other}\"; expected \"grid\" or \"one_at_a_time\""
            )));
        }
    };
    let vary = vary
        .into_iter()
        .map(|(path, values)| {
            let values = values.iter().map(value).collect::<PyResult<_>>()?;
            Ok(Vary { path, values })
        })
        .collect::<PyResult<Vec<Vary>>>()?;
    let all = maneuvers(&asked)?;
    let inner = car.inner.clone();
    let table = interruptible(py, progress, |interrupt| {
        let options = StudyOptions { threads, interrupt };
        study::sweep(&inner, &vary, design, &borrowed(&all), &options)
    })?
    .map_err(|e| errors::study(py, &e))?;

    let d = PyDict::new(py);
    let settings: Vec<(String, String, String)> = table
        .settings
        .iter()
        .map(|s| (s.path.clone(), s.unit.clone(), s.meaning.clone()))
        .collect();
    d.set_item("settings", settings)?;
    d.set_item("sizes", table.sizes.clone())?;
    d.set_item("maneuvers", table.maneuvers.clone())?;
    d.set_item("columns", columns(py, &table.columns)?)?;
    let rows = table
        .rows
        .iter()
        .map(|row| {
            let r = PyDict::new(py);
            let settings: Vec<Py<PyAny>> = row
                .settings
                .iter()
                .map(|s| entry_value(py, s.as_ref()))
                .collect();
            r.set_item("settings", settings)?;
            r.set_item("values", row.values.clone())?;
            let outcomes = row.endings.iter().zip(&table.maneuvers);
            let (columns, fault) = (&table.columns, row.fault.as_ref());
            let outcomes: Vec<_> = outcomes
                .map(|(e, name)| ended(e, name, columns, |i| row.values[i], fault))
                .collect();
            r.set_item("outcomes", outcomes)?;
            let warnings: Vec<_> = row.endings.iter().map(Ending::warning).collect();
            r.set_item("warnings", warnings)?;
            r.set_item("fault", row.fault.as_ref().map(ToString::to_string))?;
            Ok(r.unbind())
        })
        .collect::<PyResult<Vec<_>>>()?;
    d.set_item("rows", rows)?;
    Ok(d)
}

/// A car of a comparison: a car, or a car with changes; changes that cannot be built are its fault.
fn compared(given: &Bound<'_, PyAny>) -> PyResult<Result<axletree_vehicle::Car, CarError>> {
    if let Ok(car) = given.extract::<Car>() {
        return Ok(Ok(car.inner));
    }
    let (car, changes): (Car, Bound<'_, PyAny>) = given.extract()?;
    Ok(car.inner.edit(entries(&changes)?))
}

/// Compares cars. Returns a dict: `names`, `maneuvers`, `columns`, `values` (column by car),
/// `outcomes` and `warnings` (maneuver by car), `faults` (by car, or `None`).
#[pyfunction]
pub fn compare<'py>(
    py: Python<'py>,
    cars: Vec<(String, Bound<'py, PyAny>)>,
    asked: Asked<'py>,
    progress: Option<Py<PyAny>>,
    threads: Option<usize>,
) -> PyResult<Bound<'py, PyDict>> {
    let all = maneuvers(&asked)?;
    let cars = cars
        .into_iter()
        .map(|(name, car)| Ok((name, compared(&car)?)))
        .collect::<PyResult<Vec<_>>>()?;
    let table = interruptible(py, progress, |interrupt| {
        let options = StudyOptions { threads, interrupt };
        study::compare(&cars, &borrowed(&all), &options)
    })?
    .map_err(|e| errors::study(py, &e))?;
    let d = PyDict::new(py);
    d.set_item("names", table.names.clone())?;
    d.set_item("maneuvers", table.maneuvers.clone())?;
    d.set_item("columns", columns(py, &table.columns)?)?;
    d.set_item("values", table.values.clone())?;
    let outcomes: Vec<Vec<_>> = table
        .endings
        .iter()
        .zip(&table.maneuvers)
        .map(|(endings, name)| {
            let cars = endings.iter().zip(&table.faults).enumerate();
            cars.map(|(car, (ending, fault))| {
                let value = |i: usize| table.values[i][car];
                ended(ending, name, &table.columns, value, fault.as_ref())
            })
            .collect()
        })
        .collect();
    d.set_item("outcomes", outcomes)?;
    let warnings: Vec<Vec<_>> = table
        .endings
        .iter()
        .map(|endings| endings.iter().map(Ending::warning).collect())
        .collect();
    d.set_item("warnings", warnings)?;
    let faults = table.faults.iter();
    let faults: Vec<Option<String>> = faults
        .map(|fault| fault.as_ref().map(ToString::to_string))
        .collect();
    d.set_item("faults", faults)?;
    Ok(d)
}
