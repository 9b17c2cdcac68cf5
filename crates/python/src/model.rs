//! Assembled cars.

use std::collections::HashMap;

use axletree_scalar::Lift;
use axletree_scalar::numbers::Named;
use axletree_vehicle::Inputs;
use axletree_vehicle::model::STATES;
use axletree_vehicle::model::layout::state_names;
use numpy::{IntoPyArray, PyArray1};
use pyo3::exceptions::{PyKeyError, PyValueError};
use pyo3::prelude::*;
use pyo3::types::PyDict;

/// A car as numbers, ready for the equations. Immutable.
#[pyclass(frozen, module = "axletree._core", from_py_object)]
#[derive(Clone)]
pub struct Model {
    pub inner: axletree_vehicle::Model,
}

/// A state of the car from any sequence of 41 numbers.
fn state_of(state: Vec<f64>) -> PyResult<[f64; STATES]> {
    let n = state.len();
    state
        .try_into()
        .map_err(|_| PyValueError::new_err(format!("a state has {STATES} numbers, got {n}")))
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

    /// Names of the 41 states.
    #[getter]
    fn state_names(&self) -> Vec<String> {
        let names = state_names(self.inner.solid_rear());
        names.into_iter().map(|(name, _)| name).collect()
    }

    /// Every number of the equations by its dotted path.
    fn numbers(&self) -> HashMap<String, f64> {
        let mut all = HashMap::new();
        self.inner.numbers.named("", &mut |path, value| {
            all.insert(path.to_owned(), value);
        });
        all
    }

    /// The same topology with numbers replaced. Raises `KeyError` for a path that does not exist,
    /// `ValueError` for a number that is not finite.
    #[pyo3(signature = (numbers, /))]
    fn with_numbers(&self, numbers: HashMap<String, f64>) -> PyResult<Self> {
        let mut order = Vec::new();
        self.inner
            .numbers
            .named("", &mut |path, _| order.push(path.to_owned()));
        if let Some(path) = numbers.keys().find(|path| !order.contains(path)) {
            return Err(PyKeyError::new_err(format!(
                "no number has the path {path}"
            )));
        }
        if let Some((path, value)) = numbers.iter().find(|(_, value)| !value.is_finite()) {
            return Err(PyValueError::new_err(format!(
                "{path} = {value} is not finite"
            )));
        }
        let mut next = order.iter();
        let mut inner = self.inner.clone();
        inner.numbers = self.inner.numbers.lift(&mut |old| {
            let path = next.next();
            path.and_then(|p| numbers.get(p)).copied().unwrap_or(old)
        });
        Ok(Model { inner })
    }

    /// The car as it stands at rest, rolling straight ahead at a speed [m/s]: 41 numbers.
    #[pyo3(signature = (speed=0.0))]
    fn rolling_state<'py>(&self, py: Python<'py>, speed: f64) -> Bound<'py, PyArray1<f64>> {
        self.inner.rolling_state(speed).to_vec().into_pyarray(py)
    }

    /// The rate of the state on a flat road: 41 numbers.
    ///
    /// Parameters: `state`, 41 numbers in the order of `state_names`; `steering_wheel` [rad, left
    /// positive], `steering_wheel_rate` [rad/s], `drive_torque` at both rear wheels together [N m],
    /// `brake_torque` at all wheels together [N m], `friction` of the surface [-].
    #[pyo3(signature = (state, /, steering_wheel=0.0, steering_wheel_rate=0.0, drive_torque=0.0,
                        brake_torque=0.0, friction=1.0))]
    fn derivative<'py>(
        &self,
        py: Python<'py>,
        state: Vec<f64>,
        steering_wheel: f64,
        steering_wheel_rate: f64,
        drive_torque: f64,
        brake_torque: f64,
        friction: f64,
    ) -> PyResult<Bound<'py, PyArray1<f64>>> {
        let inputs = Inputs {
            steering_wheel,
            steering_wheel_rate,
            drive_torque,
            brake_torque,
            friction,
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
}
