//! Stiffness, friction and camber slip of a tire at one load, inclination and surface.
//!
//! With the load F_z, the inclination gamma and the surface's friction scale, per direction:
//!
//! ```text
//! friction        mu = mu_0 (1 - fall (F_z - F_0)/F_0),  D = mu F_z
//! slip stiffness  K  = K_max 2 u/(1 + u^2),  u = F_z/F_K      (= K_max sin(2 atan u))
//! lateral         D -> D/(1 + c_D gamma^2),  K -> K/(1 + c_K gamma^2)
//! camber slip     sigma_gamma = -c_gamma F_z gamma/K
//! ```
//!
//! D is quadratic in F_z, so a pair of wheels at F - d and F + d loses 2 fall mu_0 d^2/F_0 of grip
//! against two at F: anti-roll bars act through this loss (Gillespie, *Fundamentals of Vehicle
//! Dynamics*, 1992, ch. 6; Milliken and Milliken, *Race Car Vehicle Dynamics*, 1995, ch. 2). The
//! saturating stiffness is the form of Bakker, Pacejka and Lidner, SAE 890087, 1989.
//!
//! A wheel leaning to the right (gamma > 0: turned about +x) is pushed to the right (-y). The
//! thrust enters as a lateral slip, so it saturates with the rest of the lateral force and needs
//! rolling to build up.
//!
//! K and D both carry the factor F_z, so their ratio stays finite on a lifted wheel.

use axletree_scalar::Real;

use crate::numbers::{Direction, Tire};

/// Least friction scale of a surface; zero would make every slip infinite. `[-]`
const LEAST_SURFACE: f64 = 1e-3;

/// A tire at one load, inclination and surface.
#[derive(Clone, Copy, Debug)]
pub struct TireContact<'a, T> {
    /// The tire.
    pub tire: &'a Tire<T>,
    /// Vertical load. `[N]`
    pub load: T,
    /// Slip stiffness at zero slip, along and across. `[N/rad]`
    pub stiffness: [T; 2],
    /// Largest force, along and across. `[N]`
    pub peak: [T; 2],
    /// K/D, along and across. `[1/rad]`
    ///
    /// It is the share of the largest force that a unit of slip gives on the initial slope.
    pub elastic: [T; 2],
    /// Lateral slip equivalent to the inclination, positive to the left. `[rad]`
    pub camber_slip: T,
}

impl<T: Real> Direction<T> {
    /// Reciprocal slip stiffness times load. `[rad]`
    #[inline(always)]
    fn softness_at(&self, load: T) -> T {
        let u = load * self.stiffness_load;
        self.softness * (T::one() + u.sq())
    }

    /// Friction on a surface of scale one. `[-]`
    #[inline(always)]
    fn friction_at(&self, load: T) -> T {
        (self.friction_unloaded - self.friction_slope * load).max(self.friction_floor)
    }
}

impl<T: Real> Tire<T> {
    /// The tire under a load, at an inclination, on a surface.
    ///
    /// - `load`: vertical load; below zero counts as zero. `[N]`
    /// - `inclination`: of the wheel to the road about +x, top to the right. `[rad]`
    /// - `surface`: friction scale of the surface, held above 0.001. `[-]`
    #[inline(always)]
    pub fn contact(&self, load: T, inclination: T, surface: T) -> TireContact<'_, T> {
        let load = load.positive();
        let surface = surface.max(T::c(LEAST_SURFACE));
        let lean = inclination.sq();

        let soft_x = self.x.softness_at(load);
        let soft_y = self.y.softness_at(load) * self.camber_stiffness_loss.mul_add(lean, T::one());
        let mu_x = self.x.friction_at(load) * surface;
        let upright = self.y.friction_at(load) * surface;
        let lost = self.camber_grip_loss.mul_add(lean, T::one());

        // One division for all: 1/(soft_x mu_x), 1/(soft_y upright) and 1/lost.
        let (along, across) = (soft_x * mu_x, soft_y * upright);
        let inverse = (along * across * lost).recip();
        let elastic_x = inverse * across * lost;
        let pressed = inverse * along * lost;
        let peak = [mu_x * load, upright * load * (inverse * along * across)];
        TireContact {
            tire: self,
            load,
            stiffness: [mu_x * load * elastic_x, upright * load * pressed],
            peak,
            elastic: [elastic_x, lost * pressed],
            camber_slip: -(self.camber_thrust * inclination * soft_y),
        }
    }
}
