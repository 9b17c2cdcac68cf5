//! What a spring or a damper is at the wheel.
//!
//! The motion ratio MR is spring travel over wheel travel. By virtual work the force at the wheel is
//! `F MR`, and its derivative by wheel travel z
//!
//! ```text
//! k_w = k MR^2 + F dMR/dz
//! ```
//!
//! (Milliken and Milliken, *Race Car Vehicle Dynamics*, 1995, ch. 16; Dixon, *Tires, Suspension and
//! Handling*, 1996). The second term is the static force times the curvature of the spring's length.
use axletree_scalar::Real;

/// Wheel rate of a spring: rate [N/m], motion ratio [-], its change per wheel travel [1/m], force at
/// rest, compression positive [N]. [N/m]
pub fn wheel_rate(rate: f64, motion_ratio: f64, motion_ratio_slope: f64, force: f64) -> f64 {
    rate * Real::sq(motion_ratio) + force * motion_ratio_slope
}

/// Damping at the wheel of a damper: `c MR^2` [N s/m].
pub fn wheel_damping(damping: f64, motion_ratio: f64) -> f64 {
    damping * Real::sq(motion_ratio)
}

/// Roll stiffness of two springs on a solid axle: `k s^2 / 2` with the rate of each along the
/// vertical [N/m] and their lateral spacing [m]. [N m/rad]
///
/// (Gillespie, *Fundamentals of Vehicle Dynamics*, 1992, ch. 6; two independent wheels have the track
/// in place of the spacing.)
pub fn roll_stiffness(rate: f64, spacing: f64) -> f64 {
    0.5 * rate * Real::sq(spacing)
}
