//! Cars, closed forms and a plain integrator that the tests of Axletree's crates share. Not
//! published.
//!
//! - [`cars`]: the bundled cars, and cars changed for a test.
//! - [`single_track`], [`three_dof`]: textbook cars in closed form.
//! - [`rk4`]: the classical fixed-step method.

pub mod cars;
pub mod rk4;
pub mod single_track;
pub mod three_dof;

/// Asserts a value to a relative tolerance.
#[track_caller]
#[expect(
    clippy::missing_panics_doc,
    reason = "a wrong call is a mistake of the caller"
)]
pub fn near(what: &str, got: f64, want: f64, relative: f64) {
    assert!(
        (got - want).abs() <= relative * want.abs(),
        "{what}: {got} instead of {want} (off by {:.2e}, allowed {relative:.0e})",
        got / want - 1.0
    );
}

/// Asserts a value to an absolute tolerance.
#[track_caller]
#[expect(
    clippy::missing_panics_doc,
    reason = "a wrong call is a mistake of the caller"
)]
pub fn close(what: &str, got: f64, want: f64, absolute: f64) {
    assert!(
        (got - want).abs() <= absolute,
        "{what}: {got} instead of {want} (off by {:.2e}, allowed {absolute:.0e})",
        got - want
    );
}
