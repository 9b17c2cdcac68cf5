//! Slip from velocities and from test-rig quantities.
//!
//! The theoretical slip is the sliding velocity over the speed at which tread enters the contact:
//!
//! ```text
//! V_s = (V_x - Omega R_e, V_y)     velocity of the tread over the road
//! V_r = Omega R_e                  rolling speed
//! sigma = -V_s/|V_r|               positive slip gives positive force
//! ```
//!
//! Test rigs report the slip ratio kappa = -V_sx/V_x and the slip angle alpha. Here alpha is
//! positive where it gives a positive (left) force, tan alpha = -V_y/V_x. **This sign is opposite
//! to ISO 8855**, which measures alpha from the wheel plane to the velocity. Then (Pacejka, *Tire
//! and Vehicle Dynamics*, 3rd ed. 2012, section 3.2)
//!
//! ```text
//! sigma_x = kappa/(1 + kappa),  sigma_y = tan alpha/(1 + kappa)
//! ```

use axletree_scalar::Real;

/// The theoretical slip along and across the wheel. `[-]`
///
/// `slip_ratio` is above -1 `[-]`; `slip_angle` is positive for a force to the left, opposite to
/// ISO 8855 `[rad]`.
///
/// ```
/// use axletree_tire::theoretical_slip;
///
/// let [along, across] = theoretical_slip(-0.2, 0.1);
/// assert!((along + 0.25).abs() < 1e-15);
/// assert!(across > 0.0);
/// ```
pub fn theoretical_slip(slip_ratio: f64, slip_angle: f64) -> [f64; 2] {
    let turn = 1.0 + slip_ratio;
    [slip_ratio / turn, Real::tan(slip_angle) / turn]
}

/// The driving velocity w of the slip memory along and across the wheel. `[m/s]`
///
/// It is the rate of deflection of a carcass whose tread does not roll through: the sliding
/// velocity `sliding` = V_s reversed `[m/s]`, plus the camber slip times the rolling speed `[m/s]`.
#[inline(always)]
pub fn driving_velocity<T: Real>(sliding: [T; 2], rolling_speed: T, camber_slip: T) -> [T; 2] {
    [-sliding[0], camber_slip * rolling_speed.abs() - sliding[1]]
}
