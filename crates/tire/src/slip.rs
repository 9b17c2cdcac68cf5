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
//! positive where it gives a positive (left) force, tan alpha = -V_y/V_x; it is the negative of the
//! angle that ISO 8855 draws from the wheel plane to the velocity. Then (Pacejka, *Tire and Vehicle
//! Dynamics*, 3rd ed. 2012, section 3.2)
//!
//! ```text
//! sigma_x = kappa/(1 + kappa),  sigma_y = tan alpha/(1 + kappa)
//! ```

use axletree_scalar::Real;

/// The theoretical slip [along, across] at a slip ratio [-, above -1] and a slip angle [rad,
/// positive for a force to the left].
pub fn theoretical(slip_ratio: f64, slip_angle: f64) -> [f64; 2] {
    let turn = 1.0 + slip_ratio;
    [slip_ratio / turn, Real::tan(slip_angle) / turn]
}

/// The velocity at which the carcass would be deflected if the tread did not roll through: the
/// sliding velocity reversed, and the camber slip's share. [m/s; `sliding` V_s along, across]
#[inline(always)]
pub fn drive<T: Real>(sliding: [T; 2], rolling_speed: T, camber_slip: T) -> [T; 2] {
    [-sliding[0], camber_slip * rolling_speed.abs() - sliding[1]]
}
