//! What the validation tests of the full car share: cars reduced to what a textbook assumes, the
//! textbook's equations on their own, and how a limit is shown to be reached.
#![allow(dead_code, reason = "every test uses another part of it")]

pub mod build;
pub mod limit;
pub mod numeric;
pub mod textbook;

/// One degree [rad].
pub const DEGREE: f64 = std::f64::consts::PI / 180.0;
/// Standard acceleration of free fall [m/s^2], as the validation cases have it unless they say
/// otherwise.
pub const G: f64 = 9.80665;
/// One pound-force [N], exact.
pub const POUND: f64 = 4.4482216152605;
/// One foot [m], exact.
pub const FOOT: f64 = 0.3048;
/// One inch [m], exact.
pub const INCH: f64 = 0.0254;
