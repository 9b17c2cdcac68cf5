//! Sweeps and comparisons.

use std::collections::HashMap;

use axletree::registry::BoxedManeuver;
use axletree_maneuver::Maneuver;
use axletree_numerics::Interrupt;
use axletree_simulation::Ending;
use axletree_simulation::metrics::ending_message;
use axletree_study::{
    self as study, MetricColumn, SettingColumn, StudyOptions, SweepDesign, SweepTable, Vary,
};
use axletree_vehicle::{CarError, EntryValue, Value};
use numpy::IntoPyArray;
use numpy::ndarray::Array2;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyFloat, PyList, PyString, PyTuple};

use crate::car::{Car, entries};
use crate::convert::{entry_value, value};
use crate::drive::{built, metric};
use crate::errors::{self, AxletreeError};
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

/// The message of a maneuver's ending. It has the fault of a car that was not built, and the reason of
/// every value that is missing among those of the maneuver; `value` gives the value of a column.
fn message(
    ending: &Ending,
    maneuver: &str,
    columns: &[MetricColumn],
    value: impl Fn(usize) -> f64,
    fault: Option<&CarError>,
) -> String {
    let own = columns
        .iter()
        .enumerate()
        .filter(|(_, column)| column.maneuver == maneuver);
    let message = ending_message(ending, own.map(|(i, c)| (c.metric, value(i))));
    match fault {
        None => message,
        Some(fault) => {
            let faults: Vec<String> = fault.faults.iter().map(ToString::to_string).collect();
            format!("{message}: {}", faults.join("; "))
        }
    }
}

/// Rows of a table that are converted between two checks for signals.
const ROWS_BETWEEN_SIGNALS: usize = 4096;

/// Outcomes as (name, message, time); equal texts are one object.
struct Endings<'py> {
    py: Python<'py>,
    texts: HashMap<String, Bound<'py, PyString>>,
}

impl<'py> Endings<'py> {
    fn new(py: Python<'py>) -> Self {
        Endings {
            py,
            texts: HashMap::new(),
        }
    }

    fn text(&mut self, text: String) -> Bound<'py, PyString> {
        // Messages with numbers are of one row each.
        if self.texts.len() >= ROWS_BETWEEN_SIGNALS {
            return PyString::new(self.py, &text);
        }
        let known = self.texts.entry(text);
        known
            .or_insert_with_key(|text| PyString::new(self.py, text))
            .clone()
    }

    fn tuple(&mut self, ending: &Ending, message: String) -> PyResult<Bound<'py, PyTuple>> {
        let name = self.text(ending.outcome.name().to_owned());
        let message = self.text(message);
        (name, message, ending.time).into_pyobject(self.py)
    }
}

/// The settings of a row: a number for an entry that is one, not a number where there is none.
fn point<'py>(
    py: Python<'py>,
    columns: &[SettingColumn],
    settings: &[Option<EntryValue>],
) -> PyResult<Bound<'py, PyList>> {
    let items = columns.iter().zip(settings).map(|(column, value)| {
        if column.is_number && value.is_none() {
            return PyFloat::new(py, f64::NAN).into_any().unbind();
        }
        entry_value(py, value.as_ref())
    });
    PyList::new(py, items.collect::<Vec<_>>())
}

/// Sweeps entries of a car. Returns a dict: `settings`, `sizes`, `columns`; by row `points`,
/// `values` (an array) and `faults`; `outcomes` by maneuver and row.
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

    by_rows(py, &table)
}

/// Lists by the names of their maneuvers.
fn by_maneuver<'py>(
    py: Python<'py>,
    maneuvers: &[&'static str],
    lists: Vec<Bound<'py, PyList>>,
) -> PyResult<Bound<'py, PyDict>> {
    let d = PyDict::new(py);
    for (maneuver, list) in maneuvers.iter().zip(lists) {
        d.set_item(maneuver, list)?;
    }
    Ok(d)
}

/// A sweep as columns over its rows.
fn by_rows<'py>(py: Python<'py>, table: &SweepTable) -> PyResult<Bound<'py, PyDict>> {
    let d = PyDict::new(py);
    let settings: Vec<(String, String, String)> = table
        .settings
        .iter()
        .map(|s| (s.path.clone(), s.unit.clone(), s.meaning.clone()))
        .collect();
    d.set_item("settings", settings)?;
    d.set_item("sizes", table.sizes.clone())?;
    d.set_item("columns", columns(py, &table.columns)?)?;
    let shape = (table.rows.len(), table.columns.len());
    let mut values = Array2::from_elem(shape, f64::NAN);
    let (points, faults) = (PyList::empty(py), PyList::empty(py));
    let lists = || -> Vec<_> { table.maneuvers.iter().map(|_| PyList::empty(py)).collect() };
    let (outcomes, warnings) = (lists(), lists());
    let mut endings = Endings::new(py);
    for (number, row) in table.rows.iter().enumerate() {
        if number.is_multiple_of(ROWS_BETWEEN_SIGNALS) {
            py.check_signals()?;
        }
        points.append(point(py, &table.settings, &row.settings)?)?;
        let fault = row.fault.as_ref();
        faults.append(fault.map(ToString::to_string))?;
        for (slot, value) in values.row_mut(number).iter_mut().zip(&row.values) {
            *slot = *value;
        }
        for (i, (ending, maneuver)) in row.endings.iter().zip(&table.maneuvers).enumerate() {
            let text = message(ending, maneuver, &table.columns, |c| row.values[c], fault);
            outcomes[i].append(endings.tuple(ending, text)?)?;
            warnings[i].append(ending.warning())?;
        }
    }
    d.set_item("points", points)?;
    d.set_item("values", values.into_pyarray(py))?;
    d.set_item("faults", faults)?;
    d.set_item("outcomes", by_maneuver(py, &table.maneuvers, outcomes)?)?;
    d.set_item("warnings", by_maneuver(py, &table.maneuvers, warnings)?)?;
    Ok(d)
}

/// A car of a comparison: a car, and changes to it where they are given.
type Compared = (axletree_vehicle::Car, Option<Vec<(String, Value)>>);

fn compared(given: &Bound<'_, PyAny>) -> PyResult<Compared> {
    if let Ok(car) = given.extract::<Car>() {
        return Ok((car.inner, None));
    }
    let (car, changes): (Car, Bound<'_, PyAny>) = given.extract()?;
    Ok((car.inner, Some(entries(&changes)?)))
}

/// The cars of a comparison, changed; changes that cannot be built are the car's fault. None when
/// interrupted.
fn built_cars(
    cars: Vec<(String, Compared)>,
    interrupt: Interrupt<'_>,
) -> Option<Vec<(String, Result<axletree_vehicle::Car, CarError>)>> {
    let one = |(name, (car, changes)): (String, Compared)| {
        let built = match changes {
            _ if interrupt.stopped() => return None,
            Some(changes) => car.edit(changes),
            None => Ok(car),
        };
        Some((name, built))
    };
    cars.into_iter().map(one).collect()
}

/// Compares cars. Returns a dict: `names`, `columns`, `values` (an array, column by car), `outcomes`
/// and `warnings` (by maneuver and car), `faults` (by car, or `None`).
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
        let cars = built_cars(cars, interrupt)?;
        Some(study::compare(&cars, &borrowed(&all), &options))
    })?
    // Whoever interrupted has raised before.
    .ok_or_else(|| AxletreeError::new_err("interrupted"))?
    .map_err(|e| errors::study(py, &e))?;
    let d = PyDict::new(py);
    let shape = (table.columns.len(), table.names.len());
    let values: Vec<f64> = table.values.iter().flatten().copied().collect();
    let values = Array2::from_shape_vec(shape, values);
    let values = values.map_err(|e| AxletreeError::new_err(e.to_string()))?;
    d.set_item("values", values.into_pyarray(py))?;
    d.set_item("names", table.names)?;
    d.set_item("columns", columns(py, &table.columns)?)?;
    let mut endings = Endings::new(py);
    let lists = || -> Vec<_> { table.maneuvers.iter().map(|_| PyList::empty(py)).collect() };
    let (outcomes, warnings) = (lists(), lists());
    for (i, (maneuver, row)) in table.maneuvers.iter().zip(&table.endings).enumerate() {
        for (car, (ending, fault)) in row.iter().zip(&table.faults).enumerate() {
            let value = |c: usize| table.values[c][car];
            let text = message(ending, maneuver, &table.columns, value, fault.as_ref());
            outcomes[i].append(endings.tuple(ending, text)?)?;
            warnings[i].append(ending.warning())?;
        }
    }
    d.set_item("outcomes", by_maneuver(py, &table.maneuvers, outcomes)?)?;
    d.set_item("warnings", by_maneuver(py, &table.maneuvers, warnings)?)?;
    let faults = table.faults.iter();
    let faults: Vec<Option<String>> = faults
        .map(|fault| fault.as_ref().map(ToString::to_string))
        .collect();
    d.set_item("faults", faults)?;
    Ok(d)
}
