//! Forces of springs, dampers, stops and bars along their own lengths.

use axletree_scalar::Real;

use super::numbers::{Damper, Spring, Stop, Strut};

impl<T: Real> Spring<T> {
    /// Force for a compression from the static position `[N, compressive positive]`.
    #[inline(always)]
    pub fn force(&self, compression: T) -> T {
        self.preload + self.rate * compression
    }
}

impl<T: Real> Damper<T> {
    /// Force for a speed of compression `[N, compressive positive]`:
    /// `high v + (low - high) v / sqrt(1 + (v/knee)^2)`.
    #[inline(always)]
    pub fn force(&self, speed: T) -> T {
        let bump = T::zero().lt(speed);
        let low = T::sel(bump, self.low[0], self.low[1]);
        let high = T::sel(bump, self.high[0], self.high[1]);
        let u = speed * T::sel(bump, self.inverse_knee[0], self.inverse_knee[1]);
        let bend = (T::one() + u * u).sqrt().recip();
        speed * (high + (low - high) * bend)
    }
}

impl<T: Real> Stop<T> {
    /// Force for a travel towards the stop `[N, never negative]`.
    #[inline(always)]
    pub fn force(&self, travel: T) -> T {
        let x = (travel - self.gap).positive();
        x * (self.rate + self.progression * x)
    }

    /// Energy stored for a travel towards the stop `[J]`.
    pub fn energy(&self, travel: T) -> T {
        let x = (travel - self.gap).positive();
        x * x * (self.rate.scale(0.5) + self.progression * x.scale(1.0 / 3.0))
    }
}

/// Compressions of the spring and the damper of one side, and the speed of the damper.
#[derive(Clone, Copy, Debug)]
pub struct Compression<T> {
    /// Of the spring `[m]`.
    pub spring: T,
    /// Of the damper `[m]`.
    pub damper: T,
    /// Speed of the damper `[m/s]`.
    pub speed: T,
}

impl<T: Real> Strut<T> {
    /// Force along the spring, and along the damper with its stops `[N, compressive positive]`.
    #[inline(always)]
    pub fn forces(&self, at: Compression<T>) -> (T, T) {
        let stops = self.bump.force(at.damper) - self.droop.force(-at.damper);
        (
            self.spring.force(at.spring),
            self.damper.force(at.speed) + stops,
        )
    }

    /// Energy of spring and stops `[J]`, zero at the static position.
    pub fn energy(&self, spring: T, damper: T) -> T {
        spring * (self.spring.preload + self.spring.rate * spring.scale(0.5))
            + self.bump.energy(damper)
            + self.droop.energy(-damper)
    }
}
