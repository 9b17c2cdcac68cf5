//! Car files in pipes and devices, read and written through Python's files: a wait for the other
//! end hears signals and lets other threads run.

use std::io::{self, Read};
use std::path::Path;

use axletree_vehicle::{Car, CarError, FaultKind, bundled};
use pyo3::exceptions::PyOSError;
use pyo3::prelude::*;
use pyo3::types::PyBytes;

use crate::errors;

/// Whether a path is neither a bundled car's name nor that of a file or folder.
pub fn is_stream(path: &Path) -> bool {
    path.to_str().and_then(bundled).is_none()
        && std::fs::metadata(path).is_ok_and(|found| !found.is_file() && !found.is_dir())
}

/// Reads a car.
pub fn load(py: Python<'_>, path: &Path) -> PyResult<Car> {
    let reading = |reason, code| FaultKind::Unreadable { reason, code };
    let file = open(py, path, "r").map_err(|error| refusal(py, error, path, &reading))?;
    let mut stream = Stream { file, failed: None };
    let origin = path.display().to_string();
    let read = Car::read(&mut stream, Some(&origin));
    close(&stream.file);
    match (stream.failed, read) {
        (Some(error), _) => Err(refusal(py, error, path, &reading)),
        (None, read) => read.map_err(|error| errors::car(py, &error)),
    }
}

/// Writes a car.
pub fn save(py: Python<'_>, car: &Car, path: &Path) -> PyResult<()> {
    let writing = |reason, code| FaultKind::Unwritable { reason, code };
    let text = car.to_toml();
    let written = open(py, path, "w").and_then(|file| {
        let mut rest = text.as_bytes();
        let mut all = || {
            while !rest.is_empty() {
                let count: usize = file
                    .call_method1("write", (PyBytes::new(py, rest),))?
                    .extract()?;
                rest = &rest[count..];
            }
            Ok(())
        };
        let done = all();
        close(&file);
        done
    });
    written.map_err(|error| refusal(py, error, path, &writing))
}

/// A file without buffer.
fn open<'py>(py: Python<'py>, path: &Path, mode: &str) -> PyResult<Bound<'py, PyAny>> {
    py.import("io")?.getattr("FileIO")?.call1((path, mode))
}

/// Closes a file; what it was opened for is done or has failed already.
fn close(file: &Bound<'_, PyAny>) {
    let _ = file.call_method0("close");
}

/// An error of Python's file as a fault of the car file; others, such as `KeyboardInterrupt`, stay.
fn refusal(
    py: Python<'_>,
    error: PyErr,
    path: &Path,
    kind: &dyn Fn(String, Option<i32>) -> FaultKind,
) -> PyErr {
    if !error.is_instance_of::<PyOSError>(py) {
        return error;
    }
    let code: Option<i32> = error
        .value(py)
        .getattr("errno")
        .and_then(|code| code.extract())
        .unwrap_or(None);
    let reason = code.map_or_else(
        || error.value(py).to_string(),
        |code| io::Error::from_raw_os_error(code).to_string(),
    );
    let origin = path.display().to_string();
    errors::car(py, &CarError::of_file(Some(&origin), kind(reason, code)))
}

/// A reader of a Python file, with the error that ended it.
struct Stream<'py> {
    file: Bound<'py, PyAny>,
    failed: Option<PyErr>,
}

impl Stream<'_> {
    fn next(&self, longest: usize) -> PyResult<Vec<u8>> {
        self.file.call_method1("read", (longest,))?.extract()
    }
}

impl Read for Stream<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        match self.next(buffer.len()) {
            Ok(bytes) => {
                buffer[..bytes.len()].copy_from_slice(&bytes);
                Ok(bytes.len())
            }
            Err(error) => {
                self.failed = Some(error);
                Err(io::Error::other("the stream failed"))
            }
        }
    }
}
