//! Python's door to the slalom: one function over `Slalom::top_speed` and `Slalom::at_speed`.

use axletree_limit::{CourseRun, Slalom, SlalomDriver, SlalomLimit, TopSpeed};
use axletree_simulation::metrics::{Measures, Metric, ending_message, list};
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::drive::{put_ending, put_measures, put_trace, settings};
use crate::errors;
use crate::model::Model;
use crate::signals::interruptible;

/// Fastest rhythm of a car through a slalom, or the best one at a speed `[m/s]`, and the course
/// driven with it.
///
/// Returns a dict: `outcome`, `message`, `time`, `values` as of any maneuver; `speed`,
/// `limited_by`, `multipliers`, `orbit_margins`, `orbit_start`, `periods`; `driver` and `course`
/// (outcome, message, warning, margins, miss, trace), `None` where no rhythm was found; `orbit`, a trace.
#[pyfunction]
#[pyo3(signature = (model, given, speed=None))]
pub fn slalom<'py>(
    py: Python<'py>,
    model: &Model,
    given: &Bound<'py, PyDict>,
    speed: Option<f64>,
) -> PyResult<Bound<'py, PyDict>> {
    let slalom: Slalom = settings("slalom", given.as_any())?;
    let model = &model.inner;
    let top = interruptible(py, None, |interrupt| match speed {
        None => slalom.top_speed(model, interrupt),
        Some(speed) => slalom.at_speed(model, speed, interrupt),
    })?
    .map_err(|e| errors::maneuver(&e))?;
    let mut measures = slalom.measures(&top);
    if speed.is_some() {
        // A search at one speed does not give the highest speed.
        measures.set(&list::TOP_SPEED, f64::NAN);
    }
    result_dict(py, &measures, top)
}

fn result_dict<'py>(
    py: Python<'py>,
    measures: &Measures,
    top: TopSpeed,
) -> PyResult<Bound<'py, PyDict>> {
    let d = put_measures(py, measures)?;
    d.set_item("speed", top.speed.is_finite().then_some(top.speed))?;
    d.set_item("limited_by", top.limited_by.map(SlalomLimit::name))?;
    d.set_item("periods", top.periods)?;
    let orbit = top.orbit.as_ref();
    d.set_item("orbit_margins", orbit.map(|o| (o.margins[0], o.margins[1])))?;
    d.set_item("multipliers", orbit.map(|o| o.multipliers.to_vec()))?;
    d.set_item("orbit_start", orbit.map(|o| o.start.to_vec()))?;
    let driver = top.driver.as_ref();
    d.set_item("driver", driver.map(|x| driver_dict(py, x)).transpose()?)?;
    let trace = PyDict::new(py);
    put_trace(&trace, top.orbit_trace)?;
    d.set_item("orbit", trace)?;
    d.set_item(
        "course",
        top.run
            .map(|x| course_dict(py, x, &measures.values))
            .transpose()?,
    )?;
    Ok(d)
}

fn driver_dict<'py>(py: Python<'py>, driver: &SlalomDriver) -> PyResult<Bound<'py, PyDict>> {
    let d = PyDict::new(py);
    let amplitudes: Vec<(f64, f64)> = driver
        .steering
        .amplitudes
        .iter()
        .map(|[a, b]| (*a, *b))
        .collect();
    d.set_item("speed", driver.speed)?;
    d.set_item("constant", driver.steering.constant)?;
    d.set_item("amplitudes", amplitudes)?;
    d.set_item("gain", driver.steering.gain)?;
    d.set_item("offset", driver.offset)?;
    d.set_item("feedback", driver.feedback)?;
    d.set_item("gains", driver.gains.to_vec())?;
    Ok(d)
}

/// The course driven, with the values of the search's metrics.
fn course_dict<'py>(
    py: Python<'py>,
    run: CourseRun,
    values: &[(&'static Metric, f64)],
) -> PyResult<Bound<'py, PyDict>> {
    let d = PyDict::new(py);
    let margins: Vec<Option<f64>> = run
        .margins
        .iter()
        .map(|m| m.is_finite().then_some(*m))
        .collect();
    let message = ending_message(&run.ending, values.iter().copied());
    put_ending(&d, &run.ending, &message)?;
    d.set_item("margins", margins)?;
    d.set_item("miss", run.miss)?;
    put_trace(&d, run.trace)?;
    Ok(d)
}
