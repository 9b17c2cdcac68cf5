//! A wheel at rest on the road.
//!
//! All points are in the frame of the car at rest: x forward from the front axle line, y left of
//! the center plane, z above the road. The wheel is a disc with axis `n = Rz(toe) Rx(tilt) e_y`;
//! its contact is the lowest point of the disc,
//!
//! ```text
//! C = c - R_l e_r,   e_r = t x n,   R_l = R_0 - rho,   N = k rho / cos(tilt)
//! ```
//!
//! as in the equations of motion, so that the load N of a wheel fixes the place of its center.

use axletree_scalar::{Mat3, Real, Vec3};
use axletree_tire::Tire;

/// A wheel at rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct WheelAtRest {
    /// Load `[N]`.
    pub load: f64,
    /// First turn of the wheel's axis, about z, to the left positive `[rad]`.
    pub toe: f64,
    /// Second turn, about the turned x, top to the right positive `[rad]`.
    pub tilt: f64,
    /// Radius in the wheel's plane `[m]`.
    pub loaded_radius: f64,
    /// Contact `[m]`.
    pub contact: [f64; 3],
    /// Center `[m]`.
    pub center: [f64; 3],
}

/// The wheel's axes at rest as columns: forward in its plane, axis, upward in its plane.
pub(super) fn axes(toe: f64, tilt: f64) -> Mat3<f64> {
    Mat3::about_z(toe) * Mat3::about_x(tilt)
}

/// A wheel with a load at a place on the road.
pub(super) fn wheel_at_rest(
    tire: &Tire<f64>,
    load: f64,
    toe: f64,
    tilt: f64,
    contact: [f64; 3],
) -> WheelAtRest {
    let deflection = load * Real::cos(tilt) / tire.vertical_stiffness;
    let loaded_radius = tire.unloaded_radius - deflection;
    let upward = axes(toe, tilt).0[2];
    let center = Vec3(contact) + upward.times(loaded_radius);
    WheelAtRest {
        load,
        toe,
        tilt,
        loaded_radius,
        contact,
        center: center.0,
    }
}
