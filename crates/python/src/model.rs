//! Assembled cars.

use std::collections::HashMap;

use axletree_vehicle::Inputs;
use axletree_vehicle::model::layout::state_names;
use axletree_vehicle::model::{RecordError, STATES};
use numpy::{IntoPyArray, PyArray1};
use pyo3::exceptions::{PyKeyError, PyValueError};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyMapping, PyTuple};

use crate::convert::{from_json, json};

/// A car as numbers, ready for the equations. Immutable.
#[pyclass(frozen, module = "axletree._core", from_py_object)]
#[derive(Clone)]
pub struct Model {
    pub inner: axletree_vehicle::Model,
}

/// A state of the car from any sequence of 49 numbers.
fn state_of(state: Vec<f64>) -> PyResult<[f64; STATES]> {
    let n = state.len();
    state
        .try_into()
        .map_err(|_| PyValueError::new_err(format!("a state has {STATES} numbers, got {n}")))
}

/// `KeyError` for an unknown path, `ValueError` for everything else.
fn record_error(error: &RecordError) -> PyErr {
    match error {
        RecordError::Unknown(_) => PyKeyError::new_err(error.to_string()),
        _ => PyValueError::new_err(error.to_string()),
    }
}

#[pymethods]
impl Model {
    /// The car's name.
    #[getter]
    fn name(&self) -> &str {
        &self.inner.name
    }

    /// Whether the rear end is a solid axle.
    #[getter]
    fn solid_rear(&self) -> bool {
        self.inner.solid_rear()
    }

    /// Mass of the whole car [kg].
    #[getter]
    fn mass(&self) -> f64 {
        self.inner.mass()
    }

    /// Outer measures from the center of mass: wheelbase, front_axle, track, width, nose, tail [m].
    #[getter]
    fn geometry<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let g = &self.inner.geometry;
        let d = PyDict::new(py);
        d.set_item("wheelbase", g.wheelbase)?;
        d.set_item("front_axle", g.front_axle)?;
        d.set_item("track", (g.track[0], g.track[1]))?;
        d.set_item("width", g.width)?;
        d.set_item("nose", g.nose)?;
        d.set_item("tail", g.tail)?;
        Ok(d)
    }

    /// Names of the 49 states.
    #[getter]
    fn state_names(&self) -> Vec<String> {
        let names = state_names(self.inner.solid_rear());
        names.into_iter().map(|(name, _)| name).collect()
    }

    /// Every number of the equations by its dotted path, in a fixed order.
    fn numbers<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let all = PyDict::new(py);
        for (path, value) in self.inner.named_numbers() {
            all.set_item(path, value)?;
        }
        Ok(all)
    }

    /// The same topology with numbers replaced. Raises `KeyError` for a path that does not exist,
    /// `ValueError` for a number that is not finite.
    #[pyo3(signature = (numbers, /))]
    fn with_numbers(&self, numbers: &Bound<'_, PyMapping>) -> PyResult<Self> {
        let numbers: HashMap<String, f64> = numbers
            .items()?
            .iter()
            .map(|item| item.extract())
            .collect::<PyResult<_>>()?;
        let inner = self.inner.with_numbers(&numbers);
        Ok(Model {
            inner: inner.map_err(|e| record_error(&e))?,
        })
    }

    /// The car as it stands at rest, rolling straight ahead at a speed [m/s]: 49 numbers.
    #[pyo3(signature = (speed=0.0))]
    fn rolling_state<'py>(&self, py: Python<'py>, speed: f64) -> Bound<'py, PyArray1<f64>> {
        self.inner.rolling_state(speed).to_vec().into_pyarray(py)
    }

    /// The rate of the state on a flat road: 49 numbers.
    ///
    /// Parameters: `state`, 49 numbers in the order of `state_names`; `steering_wheel` [rad, left
    /// positive], `steering_wheel_rate` [rad/s], `drive_torque` at both rear wheels together [N m],
    /// `brake_torque` at all wheels together [N m], `friction` of the surface [-]; with
    /// `engine_on=1` the engine too: `throttle` [0 to 1], `gear_ratio` (engine speed over
    /// propeller-shaft speed), `clutch` (share of its capacity).
    #[pyo3(signature = (state, /, steering_wheel=0.0, steering_wheel_rate=0.0, drive_torque=0.0,
                        brake_torque=0.0, friction=1.0, throttle=0.0, gear_ratio=1.0, clutch=0.0,
                        engine_on=0.0))]
    fn derivative<'py>(
        &self,
        py: Python<'py>,
        state: Vec<f64>,
        steering_wheel: f64,
        steering_wheel_rate: f64,
        drive_torque: f64,
        brake_torque: f64,
        friction: f64,
        throttle: f64,
        gear_ratio: f64,
        clutch: f64,
        engine_on: f64,
    ) -> PyResult<Bound<'py, PyArray1<f64>>> {
        let inputs = Inputs {
            steering_wheel,
            steering_wheel_rate,
            drive_torque,
            brake_torque,
            friction,
            throttle,
            gear_ratio,
            clutch,
            engine_on,
        };
        let rate = self.inner.rate(&state_of(state)?, &inputs);
        Ok(rate.to_vec().into_pyarray(py))
    }

    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        other
            .cast::<Model>()
            .is_ok_and(|other| other.get().inner == self.inner)
    }

    fn __repr__(&self) -> String {
        format!("<Model \"{}\">", self.inner.name)
    }

    /// The pickled form: named numbers with a schema number.
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (Py<PyAny>,))> {
        let restore = py.get_type::<Model>().getattr("_restore")?;
        let record =
            serde_json::to_value(&self.inner).map_err(|e| PyValueError::new_err(e.to_string()))?;
        Ok((restore, (from_json(py, &record)?,)))
    }

    /// A model from the record of `__reduce__`. Raises `ValueError` for a record of another schema,
    /// with missing or with unknown numbers.
    #[staticmethod]
    #[pyo3(signature = (*record))]
    fn _restore(record: &Bound<'_, PyTuple>) -> PyResult<Self> {
        // Records without a schema number were tuples of several items.
        let record = if record.len() == 1 {
            json(&record.get_item(0)?)?
        } else {
            serde_json::json!({ "schema": 0 })
        };
        serde_json::from_value(record)
            .map(|inner| Model { inner })
            .map_err(|e| PyValueError::new_err(e.to_string()))
    }
}
