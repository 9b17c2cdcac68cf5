//! Vertical load and effective radius.
//!
//! The tire acts as a spring and a damper in parallel under the wheel:
//!
//! ```text
//! F = k rho + c rho'        rho > 0, never pulling
//! ```
//!
//! rho is the radial deflection. The damping fades in over the first millimeter of deflection, so
//! that the force does not jump when a wheel lands.
//!
//! The wheel rolls on the radius R_e = R_0 - eta rho, for which V_x = Omega R_e without slip. A
//! tread of R_0 whose arc of half-angle t is pressed into its chord passes 2 R_0 sin t of road per
//! 2 t of turn, so R_e = R_0 sin t/t = R_0 (1 - t^2/6) while the loaded radius is R_0 cos t =
//! R_0 (1 - t^2/2): eta = 1/3. A belt that resists being shortened has less, down to 0.1.

use axletree_scalar::Real;

use crate::numbers::Tire;

/// Deflection over which the damping fades in. `[m]`
const FADE: f64 = 1e-3;

impl<T: Real> Tire<T> {
    /// The load, at least zero. `[N]`
    ///
    /// - `rho`: radial deflection, positive when compressed. `[m]`
    /// - `rho_rate`: its rate. `[m/s]`
    #[inline(always)]
    pub fn normal_load(&self, rho: T, rho_rate: T) -> T {
        let rho = rho.positive();
        let fade = rho.scale(1.0 / FADE).min(T::one());
        self.vertical_stiffness
            .mul_add(rho, self.vertical_damping * fade * rho_rate)
            .positive()
    }

    /// The radius on which the wheel rolls without slip, at a radial deflection `rho` `[m]`. `[m]`
    #[inline(always)]
    pub fn effective_radius(&self, rho: T) -> T {
        (-self.radius_fraction).mul_add(rho.positive(), self.unloaded_radius)
    }
}
