//! Static alignment of a wheel.
//!
//! A rigid knuckle turns the wheel with it. With `R(s)` the turn of the knuckle from static at the
//! travel s, and A the axes of the wheel at static in axes of the body,
//!
//! ```text
//! A = Rz(toe_0) Rx(tilt_0),   R_w(s) = R(s) A,   n(s) = R(s) A e_y
//! ```
//!
//! Toe and camber over the travel are the angles of n: the turn of a knuckle about y moves the toe
//! of a cambered wheel and the camber of a toed one.

use axletree_scalar::Mat3;

/// Toe-in and camber of a wheel at static, the same on both sides of the car.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Alignment {
    /// Toe-in `[rad]`.
    pub toe_in: f64,
    /// Camber, top outward positive `[rad]`.
    pub camber: f64,
}

impl Alignment {
    /// Axes of a wheel at static as columns, in axes of the body: forward in the wheel's plane, to
    /// the left along the wheel's axis, upward in the wheel's plane; `left` for a wheel on the left
    /// side of the car.
    pub fn axes(self, left: bool) -> Mat3<f64> {
        let inward = if left { -1.0 } else { 1.0 };
        Mat3::about_z(inward * self.toe_in) * Mat3::about_x(inward * self.camber)
    }
}
