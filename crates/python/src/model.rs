//! Assembled cars.

use std::collections::{HashMap, HashSet};

use axletree_scalar::Lift;
use axletree_scalar::numbers::Named;
use axletree_vehicle::bundled;
use axletree_vehicle::model::STATES;
use axletree_vehicle::model::layout::state_names;
use axletree_vehicle::{Geometry, Inputs};
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

/// A state of the car from any sequence of 49 numbers.
fn state_of(state: Vec<f64>) -> PyResult<[f64; STATES]> {
    let n = state.len();
    state
        .try_into()
        .map_err(|_| PyValueError::new_err(format!("a state has {STATES} numbers, got {n}")))
}

/// Every number with its dotted path, in the order of declaration.
fn named(model: &axletree_vehicle::Model) -> Vec<(String, f64)> {
    let mut all = Vec::new();
    model.numbers.named("", &mut |path, value| {
        all.push((path.to_owned(), value));
    });
    all
}

/// What a pickled model holds: name, whether the rear end is a solid axle, numbers in the order of
/// declaration, outer measures, travels at rest.
type Pickled = (String, bool, Vec<f64>, Vec<f64>, [f64; 4], Vec<f64>);

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
        for (path, value) in named(&self.inner) {
            all.set_item(path, value)?;
        }
        Ok(all)
    }

    /// The same topology with numbers replaced. Raises `KeyError` for a path that does not exist,
    /// `ValueError` for a number that is not finite.
    #[pyo3(signature = (numbers, /))]
    fn with_numbers(&self, numbers: HashMap<String, f64>) -> PyResult<Self> {
        let order: Vec<String> = named(&self.inner)
            .into_iter()
            .map(|(path, _)| path)
            .collect();
        let known: HashSet<&String> = order.iter().collect();
        if let Some(path) = numbers.keys().find(|path| !known.contains(path)) {
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

    /// The car as it stands at rest, rolling straight ahead at a speed [m/s]: 49 numbers.
    #[pyo3(signature = (speed=0.0))]
    fn rolling_state<'py>(&self, py: Python<'py>, speed: f64) -> Bound<'py, PyArray1<f64>> {
        self.inner.rolling_state(speed).to_vec().into_pyarray(py)
    }

    /// The rate of the state on a flat road: 49 numbers.
    ///
    /// Parameters: `state`, 49 numbers in the order of `state_names`; `steering_wheel` [rad, left
    /// positive], `steering_wheel_rate` [rad/s], `drive_torque` at both rear wheels together [N m],
    /// `brake_torque` at all wheels together [N m], `friction` of the surface [-]; with `engine_on=1`
    /// the engine too: `throttle` [0 to 1], `gear_ratio` (engine speed over propeller-shaft speed),
    /// `clutch` (share of its capacity).
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

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Pickled)> {
        let restore = py.get_type::<Model>().getattr("_restore")?;
        let m = &self.inner;
        let numbers = named(m).into_iter().map(|(_, value)| value).collect();
        let g = &m.geometry;
        let [track_front, track_rear] = g.track;
        let measures = vec![
            g.wheelbase,
            g.front_axle,
            track_front,
            track_rear,
            g.width,
            g.nose,
            g.tail,
        ];
        let state = (
            m.name.clone(),
            m.solid_rear(),
            numbers,
            measures,
            m.rest_travel,
            m.gears.clone(),
        );
        Ok((restore, state))
    }

    /// A model from what `__reduce__` gave.
    #[staticmethod]
    #[pyo3(signature = (name, solid_rear, numbers, measures, rest_travel, gears, /))]
    fn _restore(
        name: String,
        solid_rear: bool,
        numbers: Vec<f64>,
        measures: [f64; 7],
        rest_travel: [f64; 4],
        gears: Vec<f64>,
    ) -> PyResult<Self> {
        // Any car with this rear end has the right shape; every number is replaced.
        let like = if solid_rear {
            "bramble-solid"
        } else {
            "bramble-independent"
        };
        let shape = bundled(like)
            .and_then(|car| car.ok()?.assemble().ok())
            .ok_or_else(|| PyValueError::new_err(format!("the bundled car {like} is gone")))?;
        let expected = named(&shape).len();
        if numbers.len() != expected {
            return Err(PyValueError::new_err(format!(
                "a pickled model of another version: {} numbers, expected {expected}",
                numbers.len()
            )));
        }
        let mut next = numbers.into_iter();
        let [
            wheelbase,
            front_axle,
            track_front,
            track_rear,
            width,
            nose,
            tail,
        ] = measures;
        Ok(Model {
            inner: axletree_vehicle::Model {
                name,
                numbers: shape.numbers.lift(&mut |old| next.next().unwrap_or(old)),
                geometry: Geometry {
                    wheelbase,
                    front_axle,
                    track: [track_front, track_rear],
                    width,
                    nose,
                    tail,
                },
                rest_travel,
                gears,
            },
        })
    }
}
