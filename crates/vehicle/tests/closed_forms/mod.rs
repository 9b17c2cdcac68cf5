//! Shared parts of the validation tests of the full car: cars under the assumptions of textbooks,
//! the textbooks' equations, and checks of limits.
#![allow(dead_code, reason = "every test uses another part of it")]

pub mod build;
pub mod limit;
pub mod numeric;
pub mod textbook;

/// One degree `[rad]`.
pub const DEGREE: f64 = std::f64::consts::PI / 180.0;
/// Standard acceleration of free fall `[m/s^2]`, the value of the validation cases.
pub const G: f64 = 9.80665;
/// One pound-force `[N]`, exact.
pub const POUND: f64 = 4.4482216152605;
/// One foot `[m]`, exact.
pub const FOOT: f64 = 0.3048;
/// One inch `[m]`, exact.
pub const INCH: f64 = 0.0254;
