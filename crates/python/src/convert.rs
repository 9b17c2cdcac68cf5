//! Conversion of values between Python and Rust.

use axletree_vehicle::unit::{self, QuantityError};
use axletree_vehicle::{EntryValue, Value, excerpt};
use pyo3::exceptions::{PyOverflowError, PyTypeError, PyValueError};
use pyo3::prelude::*;
use pyo3::types::{PyBool, PyDict, PyFloat, PyString};

/// Parses a quantity.
///
/// Parameters: `text`, such as "24 mm". Returns the SI value and the SI unit. Raises `ValueError`
/// if `text` is not a number with a unit.
#[pyfunction]
#[pyo3(signature = (text, /))]
pub fn parse_quantity(text: &str) -> PyResult<(f64, String)> {
    match unit::quantity(text) {
        Ok((si, _, unit)) => Ok((si, unit.dimension.si_unit())),
        Err(error) => Err(PyValueError::new_err(quantity_message(text, &error))),
    }
}

fn quantity_message(text: &str, error: &QuantityError) -> String {
    let reason = match error {
        QuantityError::NotANumber => "it does not start with a number".to_owned(),
        QuantityError::NotFinite => "the number is not finite".to_owned(),
        QuantityError::UnknownUnit(name, Some(near)) => {
            format!("unknown unit \"{name}\"; did you mean \"{near}\"?")
        }
        QuantityError::UnknownUnit(name, None) => format!("unknown unit \"{name}\""),
        QuantityError::Malformed(part) => format!("\"{part}\" is not a product of units"),
    };
    format!("\"{}\" is not a quantity: {reason}", excerpt(text, 60))
}

/// Formats an SI value in a given unit.
///
/// Parameters: `si`, the SI value; `unit`, such as "mm". Returns the number followed by the unit.
/// Raises `ValueError` for an unknown unit.
#[pyfunction]
#[pyo3(signature = (si, unit, /))]
pub fn write_quantity(si: f64, unit: &str) -> PyResult<String> {
    match unit::Unit::parse(unit) {
        Ok(_) => Ok(unit::write(si, unit)),
        Err(error) => Err(PyValueError::new_err(quantity_message(unit, &error))),
    }
}

/// Converts a Python value to the value of a car's entry: a number (SI), a text with a unit or a
/// choice, a bool, or `None` for the default. A quantity of a units library is read as its text.
pub fn value(any: &Bound<'_, PyAny>) -> PyResult<Value> {
    if any.is_none() {
        return Ok(Value::Default);
    }
    if let Ok(flag) = any.extract::<bool>() {
        return Ok(Value::Flag(flag));
    }
    if let Ok(text) = any.cast::<PyString>() {
        return Ok(Value::Text(text.to_str()?.to_owned()));
    }
    if let Some(text) = quantity_text(any)? {
        return Ok(Value::Text(text));
    }
    real(any).map(Value::Number).map_err(|error| {
        if error.is_instance_of::<PyOverflowError>(any.py()) {
            return PyValueError::new_err("the number is too large");
        }
        PyTypeError::new_err(format!(
            "expected a number, a string with a unit, a bool or None, got {}",
            kind(any)
        ))
    })
}

/// A real number; a complex one and an array of numbers are none, though NumPy converts them.
fn real(any: &Bound<'_, PyAny>) -> PyResult<f64> {
    let is_array = any.getattr("ndim").is_ok_and(|n| n.ne(0).unwrap_or(true));
    if is_array || kind(any).contains("complex") {
        return Err(PyTypeError::new_err("not a real number"));
    }
    any.extract::<f64>()
}

/// Text of a quantity of a units library, magnitude and abbreviated unit; `None` for other values.
fn quantity_text(any: &Bound<'_, PyAny>) -> PyResult<Option<String>> {
    if !(any.hasattr("magnitude")? && any.hasattr("units")?) {
        return Ok(None);
    }
    let magnitude: f64 = any.getattr("magnitude")?.extract()?;
    let units = any.getattr("units")?;
    let text = units.call_method1("__format__", ("~C",))?;
    Ok(Some(format!("{magnitude:e} {}", text.extract::<String>()?)))
}

/// An error with the name of the item that caused it.
pub fn named(py: Python<'_>, name: &str, error: PyErr) -> PyErr {
    let text = format!("{name}: {}", error.value(py));
    if error.is_instance_of::<PyTypeError>(py) {
        PyTypeError::new_err(text)
    } else if error.is_instance_of::<PyValueError>(py) {
        PyValueError::new_err(text)
    } else {
        error
    }
}

/// Name of a value's type.
pub fn kind(any: &Bound<'_, PyAny>) -> String {
    any.get_type()
        .name()
        .map_or_else(|_| "something else".to_owned(), |n| n.to_string())
}

/// Converts the value of a car's entry to Python: a float (SI), a text, or `None`.
pub fn entry_value(py: Python<'_>, value: Option<&EntryValue>) -> Py<PyAny> {
    match value {
        None => py.None(),
        Some(EntryValue::Number(x)) => PyFloat::new(py, *x).into_any().unbind(),
        Some(EntryValue::Text(text)) => PyString::new(py, text).into_any().unbind(),
    }
}

/// Converts settings of a maneuver to JSON.
pub fn json(any: &Bound<'_, PyAny>) -> PyResult<serde_json::Value> {
    use serde_json::Value as Json;
    if any.is_none() {
        return Ok(Json::Null);
    }
    // Booleans of NumPy too.
    if let Ok(flag) = any.extract::<bool>() {
        return Ok(Json::Bool(flag));
    }
    // Integers, NumPy's included; a float does not convert.
    if let Ok(whole) = any.extract::<i64>() {
        return Ok(Json::from(whole));
    }
    if let Ok(text) = any.cast::<PyString>() {
        return Ok(Json::String(text.to_str()?.to_owned()));
    }
    if let Ok(dict) = any.cast::<PyDict>() {
        let mut map = serde_json::Map::new();
        for (key, item) in dict {
            let name = key.extract::<String>()?;
            let item = json(&item).map_err(|error| named(any.py(), &name, error))?;
            map.insert(name, item);
        }
        return Ok(Json::Object(map));
    }
    if let Ok(x) = any.extract::<f64>() {
        // JSON has neither NaN nor infinity.
        return serde_json::Number::from_f64(x)
            .map(Json::Number)
            .ok_or_else(|| PyValueError::new_err(format!("{x} is not a finite number")));
    }
    if let Ok(items) = any.try_iter() {
        return items
            .map(|item| json(&item?))
            .collect::<PyResult<_>>()
            .map(Json::Array);
    }
    Err(PyTypeError::new_err(format!(
        "expected a number, a string, a bool, a list, a dict or None as a setting, got {}",
        kind(any)
    )))
}

/// Converts JSON to Python values.
pub fn from_json(py: Python<'_>, value: &serde_json::Value) -> PyResult<Py<PyAny>> {
    use serde_json::Value as Json;
    Ok(match value {
        Json::Null => py.None(),
        Json::Bool(flag) => PyBool::new(py, *flag).to_owned().into_any().unbind(),
        Json::Number(n) if n.is_i64() || n.is_u64() => n
            .as_i64()
            .unwrap_or(i64::MAX)
            .into_pyobject(py)?
            .into_any()
            .unbind(),
        Json::Number(n) => PyFloat::new(py, n.as_f64().unwrap_or(f64::NAN))
            .into_any()
            .unbind(),
        Json::String(text) => PyString::new(py, text).into_any().unbind(),
        Json::Array(items) => {
            let list = items
                .iter()
                .map(|item| from_json(py, item))
                .collect::<PyResult<Vec<_>>>()?;
            list.into_pyobject(py)?.into_any().unbind()
        }
        Json::Object(map) => {
            let dict = PyDict::new(py);
            for (key, item) in map {
                dict.set_item(key, from_json(py, item)?)?;
            }
            dict.into_any().unbind()
        }
    })
}
