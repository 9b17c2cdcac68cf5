//! The slalom, which finds before it drives.

use axletree_limit::slalom::{Limit, Slalom, TopSpeed};
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::drive::{put_ending, put_measures, put_trace, settings};
use crate::errors;
use crate::model::Model;
use crate::signals::interruptible;

/// Finds the fastest rhythm of a car, or the best one at a speed, and drives the course with it.
///
/// Returns a dict: `outcome`, `message`, `time`, `values` as of any maneuver; `speed`, `limited_by`,
/// `multipliers`, `orbit_margins`, `periods`; `driver` and `course` (outcome, margins, miss, trace), `None` where
/// no rhythm was found; `orbit`, a trace.
#[pyfunction]
#[pyo3(signature = (model, given, speed=None))]
pub fn slalom<'py>(
    py: Python<'py>,
    model: &Model,
    given: &Bound<'py, PyDict>,
    speed: Option<f64>,
) -> PyResult<Bound<'py, PyDict>> {
    let asked: Slalom = settings("slalom", given.as_any())?;
    let model = &model.inner;
    let top = interruptible(py, None, |interrupt| match speed {
        None => asked.top_speed(model, interrupt),
        Some(speed) => asked.at_speed(model, speed, interrupt),
    })?
    .map_err(|e| errors::maneuver(&e))?;
    dressed(py, &asked, top)
}

fn dressed<'py>(py: Python<'py>, asked: &Slalom, top: TopSpeed) -> PyResult<Bound<'py, PyDict>> {
    let d = put_measures(py, &asked.measures(&top))?;
    d.set_item("speed", top.speed.is_finite().then_some(top.speed))?;
    d.set_item("limited_by", top.limited_by.map(Limit::name))?;
    d.set_item("periods", top.periods)?;
    let rhythm = top.rhythm.as_ref();
    d.set_item(
        "orbit_margins",
        rhythm.map(|r| (r.margins[0], r.margins[1])),
    )?;
    d.set_item("multipliers", rhythm.map(|r| r.multipliers.to_vec()))?;
    d.set_item("orbit_start", rhythm.map(|r| r.start.to_vec()))?;
    let driver = match &top.driver {
        None => None,
        Some(driver) => {
            let own = PyDict::new(py);
            own.set_item("speed", driver.speed)?;
            own.set_item("constant", driver.steering.constant)?;
            let amplitudes: Vec<(f64, f64)> = driver
                .steering
                .amplitudes
                .iter()
                .map(|[a, b]| (*a, *b))
                .collect();
            own.set_item("amplitudes", amplitudes)?;
            own.set_item("gain", driver.steering.gain)?;
            own.set_item("offset", driver.offset)?;
            own.set_item("feedback", driver.feedback)?;
            own.set_item("gains", driver.gains.to_vec())?;
            Some(own)
        }
    };
    d.set_item("driver", driver)?;
    let orbit = PyDict::new(py);
    put_trace(&orbit, top.orbit)?;
    d.set_item("orbit", orbit)?;
    let course = match top.run {
        None => None,
        Some(run) => {
            let own = PyDict::new(py);
            put_ending(&own, &run.ending)?;
            let margins: Vec<Option<f64>> = run
                .margins
                .iter()
                .map(|m| m.is_finite().then_some(*m))
                .collect();
            own.set_item("margins", margins)?;
            own.set_item("miss", run.miss)?;
            put_trace(&own, run.trace)?;
            Some(own)
        }
    };
    d.set_item("course", course)?;
    Ok(d)
}
