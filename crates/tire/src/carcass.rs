//! The slip memory and the relaxation length.
//!
//! The force of a tire follows its slip only after some travel, because the carcass between rim and
//! contact must first be deflected. The deflection e = (along, across) is the state; it is positive
//! where it gives positive force. On the initial slope the elastic force k e equals K zeta, so the
//! slip that the deflection remembers is
//!
//! ```text
//! zeta = e/sigma,   sigma = K/k          relaxation length: slip stiffness over carcass stiffness
//! ```
//!
//! (Pacejka, *Tire and Vehicle Dynamics*, 3rd ed. 2012, ch. 7). Where wheels share compliance,
//! sigma is a matrix and the car solves for zeta; all else below holds for each wheel alone.
//!
//! With the driving velocity w = -V_s + (0, sigma_gamma |V_r|), the elastic utilization
//! z = K zeta/D per direction (the elastic force over the largest friction force), |z| its length,
//! and w~ = K w/D alike,
//!
//! ```text
//! e'   = (w - zeta R)/(1 + 6 T S/sigma),   R = |V_r| + S,   S = |w~| |z|^5
//! slip = zeta/(1 - |z|^6)
//! ```
//!
//! and the force is the steady formula at that slip. Consequences:
//!
//! - Small slip: S vanishes, sigma zeta' + |V_r| zeta = w, the first-order lag with travel.
//! - Steady state: zeta R = w, hence S = R |z|^6 and |V_r| = R (1 - |z|^6), so slip = w/|V_r| =
//!   -V_s/|V_r| + (0, sigma_gamma) exactly, forward and backward, at every slip.
//! - Standstill: e' = w while |z| is small, a spring of the carcass stiffness that holds a car on a
//!   slope without creep. Camber needs rolling to act.
//! - Bounded: where |z_i| > 1, |w~_i| - |z_i| R < |w~| (1 - |z_i| |z|) < 0, so |z_i| falls. A
//!   locked or sliding contact keeps no more deflection than friction can hold, D/k, and when the
//!   car comes to rest it gives back little more energy than that spring holds.
//! - Near the peak the remembered travel shortens, the lag in slip being sigma (1 - |z|^6)/
//!   (1 + 5 |z|^6), much as the slope of the force curve over k does.
//!
//! The fifth power makes force over deflection at standstill nearly straight up to the friction
//! limit for usual shapes of the curve. T, 2 ms, is the time of the belt's lowest mode in the plane
//! of the wheel (about 80 Hz; common practice, no source): a sliding contact turns its force no
//! faster, which also bounds how stiff the equations become when a wheel locks at speed.
//!
//! Damping in the carcass, k (e + tau e'), is zeta + tau zeta' in place of zeta in the slip; it
//! vanishes in steady state.

use axletree_scalar::Real;

use crate::contact::TireContact;
use crate::numbers::Tire;

/// Shortest time in which a sliding contact turns its force. `[s]`
const BELT_TIME: f64 = 2e-3;

/// Least 1 - |z|^6: the slip is recovered up to ten thousand times D/K, where the force is within
/// one or two thousandths of full sliding. `[-]`
const LEAST_MARGIN: f64 = 1e-4;

impl Tire<f64> {
    /// Upper bound of the rate of the slip memory at a rolling speed `[m/s]`, however the contact
    /// slides. `[1/s]`
    ///
    /// The step of an explicit method must be short against its reciprocal. In steady sliding that
    /// rate is (V + 6 S)/(sigma + 6 T S): between V/sigma where nothing slides, largest for a light
    /// wheel, and 1/T where all does.
    pub fn fastest_memory(&self, speed: f64) -> f64 {
        let shortest = [&self.x, &self.y].map(|d| d.stiffness_floor / d.carcass_stiffness);
        let rolling = speed.abs() / shortest[0].min(shortest[1]);
        rolling.max(1.0 / BELT_TIME)
    }
}

impl<T: Real> TireContact<'_, T> {
    /// Slip stiffnesses of the relaxation lengths, along and across. `[N/rad]`
    ///
    /// Those at zero slip, but at least those of the smallest relaxation length.
    #[inline(always)]
    pub fn memory_stiffness(&self) -> [T; 2] {
        [
            self.stiffness[0].max(self.tire.x.stiffness_floor),
            self.stiffness[1].max(self.tire.y.stiffness_floor),
        ]
    }

    /// Relaxation lengths of a wheel on a rigid suspension, along and across. `[m]`
    #[inline(always)]
    pub fn relaxation(&self) -> [T; 2] {
        let k = self.memory_stiffness();
        [
            k[0] / self.tire.x.carcass_stiffness,
            k[1] / self.tire.y.carcass_stiffness,
        ]
    }

    /// Rate of the carcass deflection, along and across. `[m/s]`
    ///
    /// - `zeta`: remembered slip. `[rad]`
    /// - `drive`: driving velocity, from [`driving_velocity`](crate::driving_velocity). `[m/s]`
    /// - `rolling_speed`: V_r. `[m/s]`
    /// - `relaxation`: relaxation lengths. `[m]`
    #[inline(always)]
    pub fn deflection_rate(
        &self,
        zeta: [T; 2],
        drive: [T; 2],
        rolling_speed: T,
        relaxation: [T; 2],
    ) -> [T; 2] {
        let used = self.elastic_utilization_sq(zeta);
        let driven = self.elastic_utilization_sq(drive);
        // |w~| |z|^5; the constant keeps the slope of the root finite at rest.
        let sliding = driven.mul_add(used, T::c(1e-24)).sqrt() * used.sq();
        let through = rolling_speed.abs() + sliding;
        let slow = sliding.scale(6.0 * BELT_TIME);
        // One division for both directions.
        let (along, across) = (relaxation[0] + slow, relaxation[1] + slow);
        let inverse = (along * across).recip();
        [
            (-zeta[0]).mul_add(through, drive[0]) * relaxation[0] * (across * inverse),
            (-zeta[1]).mul_add(through, drive[1]) * relaxation[1] * (along * inverse),
        ]
    }

    /// Slip at the contact, along and across, from the remembered slip `[rad]` and its rate
    /// `[rad/s]`. `[rad]`
    #[inline(always)]
    pub fn contact_slip(&self, zeta: [T; 2], zeta_rate: [T; 2]) -> [T; 2] {
        let tau = self.tire.carcass_damping_time;
        let damped = [
            tau.mul_add(zeta_rate[0], zeta[0]),
            tau.mul_add(zeta_rate[1], zeta[1]),
        ];
        let used = self.elastic_utilization_sq(damped);
        let margin = (-used).mul_add(used.sq(), T::one()).max(T::c(LEAST_MARGIN));
        let widen = margin.recip();
        [damped[0] * widen, damped[1] * widen]
    }

    /// The square of the elastic utilization, (K_x v_x/D_x)^2 + (K_y v_y/D_y)^2.
    /// `[unit of v^2/rad^2]`
    #[inline(always)]
    fn elastic_utilization_sq(&self, v: [T; 2]) -> T {
        let (along, across) = (v[0] * self.elastic[0], v[1] * self.elastic[1]);
        along.mul_add(along, across * across)
    }
}
