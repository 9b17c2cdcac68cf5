//! Force and aligning moment at any slip.
//!
//! Combined slip by similarity (Pacejka, *Tire and Vehicle Dynamics*, 3rd ed. 2012, sections 4.2
//! and 4.3.2) on slips normalized by where each pure curve peaks:
//!
//! ```text
//! s_x = k_x sigma_x,  k_x = K_x/(B_x C_x D_x),  s_y likewise,  s = hypot(s_x, s_y)
//! F_x = D_x f_x(s) e_x,  F_y = D_y f_y(s) e_y,  e = w/|w|
//! ```
//!
//! Up to the peak the direction is that of the normalized slip, w = (s_x, s_y), as the book has it.
//! That is not the direction of sliding, since stiffness and friction differ along and across; and a
//! contact that slides as a whole must be pulled against its sliding, along sigma, or friction would
//! do no more than lean on it. Beyond the peak the direction therefore turns from one to the other:
//!
//! ```text
//! w_x = s_x (A + 2 t^2 k_y D_y f_y(s)),  w_y = s_y (A + 2 t^2 k_x D_x f_x(s))
//! t = max(s - 1, 0),  A = k_x D_x + k_y D_y
//! ```
//!
//! For large t, F_x/F_y -> sigma_x/sigma_y; half of the turn is done at twice the slip of the peak
//! (our choice: in the brush model, section 3.2 of the book, it is done at the peak, where all of the
//! contact slides). A tire without these differences, k_x D_x f_x = k_y D_y f_y, does not turn at all.
//!
//! Since |f| <= 1, (F_x/D_x)^2 + (F_y/D_y)^2 <= 1: the force never leaves the friction ellipse. The
//! initial slopes are K_x and K_y in every direction, and pure slip gives the pure curves. Fully
//! sliding friction has the half axes D_x sin(pi C_x/2) and D_y sin(pi C_y/2).
//!
//! The lateral force acts behind the contact's center by the trail t, so that M_z = -t F_y. It
//! falls with slip as in the brush model with parabolic pressure (the same book, section 3.2): with
//! tau = slip over the slip of full sliding,
//!
//! ```text
//! t/t_0 = (1 - tau)^3/(1 - tau + tau^2/3)      tau < 1, else 0;   tau = s B_y C_y/(3 reach)
//! t_0 grows as sqrt(F_z): the contact length follows the root of the deflection
//! ```
//!
//! Rolling backward puts the trail on the other side, and a standing wheel has none: the moment
//! carries the rolling sense tanh(V_r/v_0), as does the rolling resistance about the spin axis,
//! M = -f F_z R tanh(V_r/v_0). Residual moments of a tire that slides, and the moment of F_x at a
//! laterally deflected contact, are left out.

use axletree_scalar::{Real, numbers};

use crate::contact::TireContact;
use crate::numbers::Tire;

/// Rolling speed over which the rolling sense changes. `[m/s]`
const SENSE_SPEED: f64 = 0.05;

numbers! {
    /// Force and moment of the road on the tire at the contact.
    pub struct TireForce {
        /// Longitudinal force, forward. `[N]`
        pub fx: T,
        /// Lateral force, left. `[N]`
        pub fy: T,
        /// Aligning moment about the normal of the contact, counterclockwise from above. `[N*m]`
        pub mz: T,
        /// Utilization of the friction ellipse, (F_x/D_x)^2 + (F_y/D_y)^2, 0 to 1. `[-]`
        pub utilization: T,
        /// Slip relative to the slip of the largest force, 1 at the peak. `[-]`
        pub normalized_slip: T,
    }
}

/// Sense of rolling: 1 forward, -1 backward, smooth through zero. `[-]`
///
/// ```
/// use axletree_tire::rolling_sense;
///
/// assert_eq!(rolling_sense(20.0), 1.0);
/// assert_eq!(rolling_sense(0.0), 0.0);
/// ```
#[inline(always)]
pub fn rolling_sense<T: Real>(rolling_speed: T) -> T {
    rolling_speed.scale(1.0 / SENSE_SPEED).tanh()
}

impl<T: Real> TireContact<'_, T> {
    /// The force at a slip along and across, camber slip included `[rad]`, and a rolling sense, -1
    /// to 1 `[-]`.
    #[inline(always)]
    pub fn force(&self, slip: [T; 2], sense: T) -> TireForce<T> {
        let tire = self.tire;
        let kx = self.elastic[0] * tire.x.normalization;
        let ky = self.elastic[1] * tire.y.normalization;
        let (sx, sy) = (slip[0] * kx, slip[1] * ky);
        // The last term keeps the slope of the root finite at zero slip.
        let s = sx.mul_add(sx, sy.mul_add(sy, T::c(1e-24))).sqrt();
        let (curve_x, curve_y) = (tire.x.curve(s), tire.y.curve(s));

        // The direction; the constant is for a wheel without load.
        let (pull_x, pull_y) = (kx * self.peak[0], ky * self.peak[1]);
        let elastic = pull_x + pull_y + T::c(1e-9);
        let beyond = (s - T::one()).positive();
        let sliding = (beyond * beyond).scale(2.0);
        let wx = sx * (sliding * pull_y).mul_add(curve_y, elastic);
        let wy = sy * (sliding * pull_x).mul_add(curve_x, elastic);
        let least = elastic.scale(1e-12);
        let length = wx.mul_add(wx, wy.mul_add(wy, least * least)).sqrt();

        let tau = s * tire.trail_slip;
        let rest = (T::one() - tau).positive();
        // 1 - tau + tau^2/3, and one division for its inverse and that of the length.
        let spread = (tau.scale(1.0 / 3.0) - T::one()).mul_add(tau, T::one());
        let both = (length * spread).recip();
        let inverse = both * spread;
        let ux = curve_x * wx * inverse;
        let uy = curve_y * wy * inverse;
        let (fx, fy) = (self.peak[0] * ux, self.peak[1] * uy);

        let fall = rest * rest.sq() * (both * length);
        let trail = tire.trail_by_root * (self.load + T::c(1e-9)).sqrt() * fall;
        TireForce {
            fx,
            fy,
            mz: -(trail * fy * sense),
            utilization: ux.mul_add(ux, uy.sq()),
            normalized_slip: s,
        }
    }

    /// Moment of rolling resistance about the spin axis, +y, at a loaded radius `[m]`. `[N*m]`
    ///
    /// Negative when rolling forward.
    #[inline(always)]
    pub fn rolling_moment(&self, loaded_radius: T, sense: T) -> T {
        -(self.tire.rolling_resistance * self.load * loaded_radius * sense)
    }
}

impl<T: Real> Tire<T> {
    /// The steady force of a wheel that rolls forward.
    ///
    /// - `slip`: along and across, without camber slip. `[rad]`
    /// - `load`, `inclination`, `surface`: as for [`Tire::contact`]. `[N, rad, -]`
    #[inline(always)]
    pub fn force(&self, slip: [T; 2], load: T, inclination: T, surface: T) -> TireForce<T> {
        let contact = self.contact(load, inclination, surface);
        contact.force([slip[0], slip[1] + contact.camber_slip], T::one())
    }
}
