//! Speed control by the driver's right foot: a proportional-integral drive torque within the bounds
//! of the driveline.
//!
//! ```text
//! e = V - u,   i' = e,   T = T0 + m R (e/t_p + i/(t_p t_i))
//! -s T_most <= T <= T_most(omega) = min(T_peak, P_peak/omega)
//! ```
//!
//! V is the speed asked for, u the car's, m its mass, R the radius of its rear wheels, T the torque
//! on both rear wheels together (forward positive), T0 the torque that holds V, omega the mean
//! speed of the rear wheels, t_p, t_i and s the proportional time, the integral time and the
//! overrun share of [`SpeedGains`].
//!
//! Two forms of the bounds: [`SpeedHold`] clamps the torque and holds the integral while it does;
//! [`SpeedGains::smooth_torque`] approaches the bounds smoothly, for searches that differentiate.

use axletree_scalar::{Real, lone};
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{SPIN, STATES, VELOCITY};

/// Wheel speed below which the power bound counts as at it `[rad/s]`: a wheel at rest would have no
/// bound.
const LEAST_SPIN: f64 = 1.0;
/// Torque asked for over its bound from which on the bound counts as reached `[-]`; its eighth
/// power must stay finite.
const MOST_THROTTLE: f64 = 1e6;

/// Gains of the driver's right foot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpeedGains {
    /// Time in which the proportional part alone would make up a speed error `[s]`.
    pub proportional_time: f64,
    /// Time constant of the integral part `[s]`.
    pub integral_time: f64,
    /// Largest overrun torque over the driveline's largest drive torque `[-]`.
    pub overrun: f64,
}

impl Default for SpeedGains {
    fn default() -> Self {
        SpeedGains {
            // Slow beside the car's lateral motion, so that a measured response stays the car's:
            // our choice.
            proportional_time: 0.6,
            // Four times the proportional time damps critically: our choice.
            integral_time: 2.4,
            // Engine braking in the gear that holds the speed: common practice, no source.
            overrun: 0.1,
        }
    }
}

impl SpeedGains {
    /// Drive torque for a speed `error` `[m/s]` and its `integral` `[m]`, approaching its bounds
    /// smoothly, and the torque asked for over the bound on its side: `T = L a/(1 + a^8)^(1/8)`
    /// with `a = T_asked/L`, L the torque `most` for drive and its overrun share below zero. `push`
    /// is the car's mass times the radius of its rear wheels `[kg*m]`.
    #[inline(always)]
    pub fn smooth_torque<T: Real>(&self, push: f64, error: T, integral: T, most: T) -> [T; 2] {
        let asked = (error.scale(1.0 / self.proportional_time)
            + integral.scale(1.0 / (self.proportional_time * self.integral_time)))
        .scale(push);
        let bound = T::sel(asked.lt(T::zero()), most.scale(-self.overrun), most);
        let throttle = asked / bound;
        let held = throttle.min(T::c(MOST_THROTTLE));
        let root = (T::one() + held.sq().sq().sq()).sqrt().sqrt().sqrt();
        [bound * held / root, throttle]
    }

    /// Integral of the speed error with which [`Self::smooth_torque`] asks for a torque without an
    /// error `[m]`.
    pub fn integral_for(&self, push: f64, torque: f64) -> f64 {
        torque * self.proportional_time * self.integral_time / push
    }
}

/// A proportional-integral throttle about a torque that is known to hold the speed.
#[derive(Clone, Copy, Debug)]
pub struct SpeedHold {
    /// Speed to hold `[m/s]`.
    pub speed: f64,
    /// Torque on both rear wheels together that holds it `[N*m]`.
    pub torque: f64,
    gain: f64,
    gains: SpeedGains,
    peak_torque: f64,
    peak_power: f64,
}

impl SpeedHold {
    /// For a car at a speed `[m/s]` that a torque `[N*m]` holds, with the gains of the default.
    ///
    /// ```
    /// use axletree_simulation::driver::SpeedHold;
    ///
    /// let model = axletree_vehicle::bundled("bramble-solid").unwrap()?.assemble()?;
    /// let hold = SpeedHold::new(&model, 20.0, 150.0);
    /// let (torque, _) = hold.act(&model.rolling_state(19.0), 0.0);
    /// assert!(torque > 150.0);
    /// # Ok::<(), axletree_vehicle::CarError>(())
    /// ```
    pub fn new(model: &Model, speed: f64, torque: f64) -> Self {
        let driveline = &model.numbers.chassis.driveline;
        let radius = model.wheels()[2].tire.unloaded_radius;
        let gains = SpeedGains::default();
        SpeedHold {
            speed,
            torque,
            gain: model.mass() * radius / gains.proportional_time,
            gains,
            peak_torque: driveline.peak_torque,
            peak_power: driveline.peak_power,
        }
    }

    /// Torque `[N*m]` and the rate of the integral of the speed error `[m/s]`, zero while the
    /// torque is at a bound and the error would drive it further.
    pub fn act(&self, car: &[f64; STATES], integral: f64) -> (f64, f64) {
        let error = self.speed - speed_of(car);
        let wanted = self.torque + self.gain * (error + integral / self.gains.integral_time);
        let least = -self.gains.overrun * self.peak_torque;
        let given = wanted.clamp(least, self.available(car));
        let winds_up = (wanted - given) * error > 0.0;
        (given, if winds_up { 0.0 } else { error })
    }

    /// Torque per error of the speed `[N*s]`.
    pub fn gain(&self) -> f64 {
        self.gain
    }

    /// Largest torque that the driveline gives at the rear wheels' speed `[N*m]`.
    pub fn available(&self, car: &[f64; STATES]) -> f64 {
        let spin = 0.5 * (car[SPIN + 2] + car[SPIN + 3]);
        available_torque(self.peak_torque, self.peak_power, spin)
    }
}

/// Speed of O along the body's floor `[m/s]`; on a flat road its horizontal speed but for the
/// body's small heave.
pub fn speed_of(car: &[f64; STATES]) -> f64 {
    lone::hypot(car[VELOCITY], car[VELOCITY + 1])
}

/// Largest torque on both driven wheels together at a wheel speed `[rad/s]`, `min(T_peak,
/// P_peak/omega)` `[N*m]`.
///
/// ```
/// use axletree_simulation::driver::available_torque;
///
/// assert_eq!(available_torque(3000.0, 150e3, 40.0), 3000.0);
/// assert_eq!(available_torque(3000.0, 150e3, 75.0), 2000.0);
/// ```
#[inline(always)]
pub fn available_torque<T: Real>(peak_torque: f64, peak_power: f64, spin: T) -> T {
    T::c(peak_torque).min(T::c(peak_power) / spin.max(T::c(LEAST_SPIN)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The smooth torque is the law's far from its bounds, a bound beyond them, and the integral of
    /// a torque gives it back.
    #[test]
    #[expect(clippy::float_cmp, reason = "the same bits are meant")]
    fn law_smooth_torque_and_its_bounds() {
        let gains = SpeedGains::default();
        let (push, most) = (400.0, 2000.0);
        let at = |error, integral| gains.smooth_torque(push, error, integral, most);
        let [small, throttle] = at(0.3, 0.0);
        assert!((small / (push * 0.3 / gains.proportional_time) - 1.0).abs() < 1e-8);
        assert!((throttle - small / most).abs() < 1e-8);
        assert!((at(50.0, 0.0)[0] / most - 1.0).abs() < 1e-6);
        assert!((at(-50.0, 0.0)[0] / (-gains.overrun * most) - 1.0).abs() < 1e-6);
        assert_eq!(at(1e12, 0.0)[0], most);
        let [torque, _] = at(0.0, gains.integral_for(push, 300.0));
        assert!((torque / 300.0 - 1.0).abs() < 1e-6, "{torque}");
    }
}
