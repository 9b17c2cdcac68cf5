//! The driveline from the engine to the half shafts, and the wind-up of the rear housing on its
//! links.
//!
//! The housing is the axle of a solid rear end, with its differential inside, or the differential
//! with its subframe on the body. It turns about the axis n_h of the wheels (or the body's y) on
//! the compliance of its links or mounts; `w_c` is the angular velocity of the body or axle that
//! carries it. With the absolute speeds `Omega_i` of the wheels about their axes `n_i` and
//! `Omega_h` of the housing, k and c the stiffness and the damping of one half shaft with
//! everything in series with it:
//!
//! ```text
//! s_i    = Omega_i - (n_i - n_h) . w_c                 speed of the outer end of a shaft
//! crown  = om_d + Omega_h - [solid] (sense/i_f) (w_axle - w_body)_x
//! sigma' = crown - (s_L + s_R)/2                       mean twist
//! T_sum  = 2 (k sigma + c sigma')                      on both wheels together
//! u      = s_R - s_L
//! T_b    = preload + lock |T_sum|                      bias torque, lock for drive or for coast
//! D      = clamp(k xi + c u, -T_b, T_b),   T_L, T_R = (T_sum +- D)/2
//! xi'    = u - (xi - clamp(xi, -T_b/k, T_b/k))/tau     twist held by the differential
//! beta'  = Omega_h - n_h . w_c                         wind-up
//! I_h Omega_h' = -T_sum + T_brakes - (k_w beta + c_w beta')
//! I_d om_d' = T_gear + T_given - T_sum
//! u_c    = om_e - i om_d,  T_c = clamp(k_c theta + c_c u_c, -C, C)
//! theta' = u_c - (theta - clamp(theta, -C/k_c, C/k_c))/tau
//! I_e om_e' = T_e - T_c,   T_gear = T_c i eta^(+-1)
//! ```
//!
//! `om_d` is the speed of the propeller shaft over the final drive i_f, relative to the body; i is
//! the whole ratio from engine to wheels. The differential's own torque split is `T_L - T_R = D`:
//! an open one has `T_b = 0`, so `T_L = T_R`; a plate type has the preload and the ramps' lock (the
//! bias torque over the torque of both shafts), different for drive and coast; a torque-biasing one
//! with ratio TBR has `lock = (TBR - 1)/(TBR + 1)` and no preload; in a locked one T_b has no bound
//! (Milliken and Milliken, *Race Car Vehicle Dynamics*, 1995, ch. 20; from memory). Friction that
//! sticks is an elastic twist that is bounded; a twist beyond the bound relaxes to it within
//! [`SLIP_RELAXATION_TIME`] `tau`.
//!
//! The power of every pair of torques is the rate of an energy or is lost, except that of the
//! engine and of the given torque, so that the energy of the car closes. The angular momentum of
//! engine and propeller shaft about x is neglected.

use axletree_scalar::Real;

use super::numbers::{Clutch, Differential, Driveline, Engine, HalfShafts};
use super::precomputed::{DrivelineInverses, LIMITER_BAND};

/// Time constant of the relaxation of a twist beyond the bound of friction `[s]`.
pub const SLIP_RELAXATION_TIME: f64 = 0.005;
/// Rate at which the unused states of a rigid housing follow the linkage `[1/s]`.
pub const RIGID_TRACKING_RATE: f64 = 100.0;
/// Engine speed over which the drag changes its sense `[rad/s]`.
const DRAG_SPEED: f64 = 10.0;

/// `x` between `-bound` and `bound`.
#[inline(always)]
fn clamp<T: Real>(x: T, bound: T) -> T {
    x.min(bound).max(-bound)
}

/// Torque of an elastic twist that friction holds up to a bound, and the rate of the twist.
#[derive(Clone, Copy, Debug)]
pub struct FrictionTorque<T> {
    /// Torque `[N*m]`.
    pub torque: T,
    /// Rate of the twist `[rad/s]`.
    pub rate: T,
}

/// Friction that sticks elastically, with its stiffness and the inverse of it: the equations of `D`
/// and `T_c` in the header.
#[inline(always)]
fn sticking_friction<T: Real>(
    [stiffness, inverse]: [T; 2],
    damping: T,
    twist: T,
    slip: T,
    bound: T,
) -> FrictionTorque<T> {
    let kept = clamp(twist, bound * inverse);
    FrictionTorque {
        torque: clamp(stiffness.mul_add(twist, damping * slip), bound),
        rate: (kept - twist).mul_add(T::c(1.0 / SLIP_RELAXATION_TIME), slip),
    }
}

/// Torques of the half shafts.
#[derive(Clone, Copy, Debug)]
pub struct ShaftTorques<T> {
    /// On the left and the right wheel `[N*m]`.
    pub torque: [T; 2],
    /// Of both together `[N*m]`.
    pub sum: T,
    /// Rate of the mean twist `[rad/s]`.
    pub mean_rate: T,
    /// Rate of the twist that the differential holds `[rad/s]`.
    pub difference_rate: T,
}

impl<T: Real> Differential<T> {
    /// Largest difference of the shafts' torques, at the sum `sum` of both `[N*m]`.
    #[inline(always)]
    pub fn bias_torque(&self, sum: T) -> T {
        let lock = T::sel(T::zero().lt(sum), self.lock_drive, self.lock_coast);
        lock.mul_add(sum.abs(), self.preload)
    }
}

impl<T: Real> HalfShafts<T> {
    /// Torques of the shafts with twists `[mean, difference]` `[rad]`, at the speeds of crown wheel
    /// and outer ends `[rad/s]`; `inverse` is one over their stiffness.
    #[inline(always)]
    pub fn torques(
        &self,
        inverse: T,
        differential: &Differential<T>,
        twist: [T; 2],
        crown: T,
        ends: [T; 2],
    ) -> ShaftTorques<T> {
        let mean_rate = (ends[0] + ends[1]).mul_add(T::c(-0.5), crown);
        let one = self.stiffness.mul_add(twist[0], self.damping * mean_rate);
        let sum = one + one;
        let slip = ends[1] - ends[0];
        let bound = differential.bias_torque(sum);
        let split = sticking_friction(
            [self.stiffness, inverse],
            self.damping,
            twist[1],
            slip,
            bound,
        );
        ShaftTorques {
            torque: [
                (sum + split.torque).scale(0.5),
                (sum - split.torque).scale(0.5),
            ],
            sum,
            mean_rate,
            difference_rate: split.rate,
        }
    }
}

impl<T: Real> Engine<T> {
    /// Torque with the throttle closed `[N*m, never positive forward]`.
    #[inline(always)]
    pub fn drag_torque(&self, speed: T) -> T {
        let drag = self.drag[0] + self.drag[1] * speed.abs();
        -(drag * speed / (speed.abs() + T::c(DRAG_SPEED)))
    }

    /// Torque with the throttle open, the limiter included `[N*m]`.
    #[inline(always)]
    pub fn full_torque(&self, speed: T) -> T {
        let (fall, limiter) = (
            self.fall_span.recip(),
            self.limit.scale(LIMITER_BAND).recip(),
        );
        self.open_torque(speed, self.drag_torque(speed), fall, limiter)
    }

    /// As [`Self::full_torque`], from the drag and one over the spans of fall and limiter.
    #[inline(always)]
    fn open_torque(&self, speed: T, drag: T, fall: T, limiter: T) -> T {
        let beyond = (speed - self.peak_speed).positive() * fall;
        let second = beyond * beyond;
        let short = (self.peak_speed - speed).positive();
        let drop = (self.fall[1] * second * second).mul_add(second, self.fall[0]);
        let rise = (-(self.rise * short)).mul_add(short, self.peak_torque);
        let curve = (-second).mul_add(drop, rise);
        let share = ((self.limit - speed) * limiter).min(T::one()).positive();
        let smooth = share * share * share.mul_add(T::c(-2.0), T::c(3.0));
        smooth.mul_add(curve - drag, drag)
    }

    /// Torque at a speed `[rad/s]` and a throttle `[-]`.
    #[inline(always)]
    pub fn torque(&self, speed: T, throttle: T) -> T {
        let drag = self.drag_torque(speed);
        self.throttled(speed, throttle, drag, self.full_torque(speed))
    }

    #[inline(always)]
    fn throttled(&self, speed: T, throttle: T, drag: T, full: T) -> T {
        let idle = self.idle_gain * (self.idle - speed).positive();
        throttle.mul_add(full - drag, drag + idle)
    }
}

/// Rates of the engine's side of the driveline, and its torque on the crown wheel.
#[derive(Clone, Copy, Debug)]
pub struct EngineSide<T> {
    /// Torque at the crown wheel `[N*m]`.
    pub gear_torque: T,
    /// Torque in the clutch `[N*m]`.
    pub clutch_torque: T,
    /// Torque of the engine `[N*m]`.
    pub engine_torque: T,
    /// Rate of the engine's speed `[rad/s^2]`.
    pub engine_rate: T,
    /// Rate of the clutch's twist `[rad/s]`.
    pub clutch_rate: T,
    /// Rate of the throttle after its lag `[1/s]`.
    pub throttle_rate: T,
    /// Inertia of all that turns with the crown wheel, at the crown wheel `[kg*m^2]`.
    pub inertia: T,
}

/// The driver's inputs to the engine.
#[derive(Clone, Copy, Debug)]
pub struct EngineInputs<T> {
    /// Throttle `[-, 0 to 1]`.
    pub throttle: T,
    /// Engine speed over propeller-shaft speed `[-]`.
    pub gear_ratio: T,
    /// Share of the clutch's capacity `[-]`.
    pub clutch: T,
    /// 1 where the engine is simulated, 0 where it rests and passes no torque `[-]`.
    pub engine_on: T,
}

impl<T: Real> Driveline<T> {
    /// The engine's side, at the speed `crown` of the crown wheel `[rad/s]` and the states engine
    /// speed, clutch twist, throttle.
    #[inline(always)]
    pub fn engine_side(
        &self,
        pre: &DrivelineInverses<T>,
        inputs: &EngineInputs<T>,
        crown: T,
        state: [T; 3],
    ) -> EngineSide<T> {
        let [speed, twist, throttle] = state;
        let on = inputs.engine_on;
        let ratio = inputs.gear_ratio * self.final_drive;
        let clutch: &Clutch<T> = &self.clutch;
        let slip = speed - ratio * crown;
        let bound = inputs.clutch * clutch.capacity;
        let grip = sticking_friction(
            [clutch.stiffness, pre.clutch],
            clutch.damping,
            twist,
            slip,
            bound,
        );
        let drag = self.engine.drag_torque(speed);
        let full = self.engine.open_torque(speed, drag, pre.fall, pre.limiter);
        let engine_torque = self.engine.throttled(speed, throttle, drag, full);
        let drives = T::zero().lt(grip.torque);
        let passed = T::sel(drives, self.efficiency, pre.efficiency);
        EngineSide {
            gear_torque: on * grip.torque * ratio * passed,
            clutch_torque: on * grip.torque,
            engine_torque: on * engine_torque,
            engine_rate: on * (engine_torque - grip.torque) * pre.engine,
            clutch_rate: on * grip.rate,
            throttle_rate: on * (inputs.throttle - throttle) * pre.throttle,
            inertia: self.shaft_inertia * self.final_drive * self.final_drive
                + self.gear_inertia * ratio * ratio,
        }
    }
}

impl Driveline<f64> {
    /// An upper bound of the natural frequencies of the driveline `[rad/s]`, for the step of an
    /// explicit method. `spin_inertia` is that of one wheel; `ratio` is engine speed over
    /// propeller-shaft speed where the engine runs.
    ///
    /// The sum over the springs of their stiffness over the inertias at their two ends
    /// (Gershgorin); a damper counts as `c w^2/k`.
    pub fn fastest_rate(&self, spin_inertia: f64, ratio: Option<f64>) -> f64 {
        let whole = self.final_drive * ratio.unwrap_or(1.0);
        let crown =
            self.shaft_inertia * Real::sq(self.final_drive) + self.gear_inertia * Real::sq(whole);
        let shafts = self.half_shafts;
        let windup = self.windup;
        let housing = windup.flexible / windup.inertia;
        let masses = 2.0 / crown + 2.0 * housing + 2.0 / spin_inertia;
        let rate = |stiffness: f64, damping: f64, masses: f64| {
            (stiffness * masses).sqrt().max(damping * masses)
        };
        let mut fastest = rate(shafts.stiffness, shafts.damping, masses);
        fastest = Real::hypot(fastest, rate(windup.stiffness, windup.damping, housing));
        if ratio.is_some() {
            let masses = 1.0 / self.engine.inertia + Real::sq(whole) / crown;
            let clutch = rate(self.clutch.stiffness, self.clutch.damping, masses);
            fastest = Real::hypot(fastest, clutch);
        }
        fastest.max(1.0 / SLIP_RELAXATION_TIME)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shafts() -> HalfShafts<f64> {
        HalfShafts {
            stiffness: 8000.0,
            damping: 5.0,
        }
    }

    fn differential(preload: f64, lock_drive: f64, lock_coast: f64) -> Differential<f64> {
        Differential {
            preload,
            lock_drive,
            lock_coast,
        }
    }

    /// The torque split of each kind: open, plate type (preload, ramps for drive and coast),
    /// torque-biasing, locked. Milliken and Milliken, ch. 20, from memory.
    #[test]
    fn val_each_differential_splits_the_torque_by_its_equations() {
        let twisted = |d: &Differential<f64>, mean: f64, difference: f64| {
            shafts()
                .torques(1.0 / 8000.0, d, [mean, difference], 20.0, [20.0, 20.0])
                .torque
        };
        // Open: equal torques at any twist.
        let [l, r] = twisted(&differential(0.0, 0.0, 0.0), 0.05, 0.3);
        assert!((l - r).abs() < 1e-12 && (l + r - 800.0).abs() < 1e-9);
        // Plate type: sticks up to preload + lock times torque, then slips at that difference.
        let plate = differential(60.0, 0.45, 0.2);
        let [l, r] = twisted(&plate, 0.05, 0.02);
        assert!((l - r - 160.0).abs() < 1e-9, "held elastically");
        let [l, r] = twisted(&plate, 0.05, 0.3);
        assert!((l - r - (60.0 + 0.45 * 800.0)).abs() < 1e-9);
        let [l, r] = twisted(&plate, -0.05, -0.3);
        assert!((l - r + (60.0 + 0.2 * 800.0)).abs() < 1e-9);
        // Torque-biasing with 2.5 to 1: the slower wheel has 2.5 times the torque of the faster.
        let ratio = 2.5;
        let lock = (ratio - 1.0) / (ratio + 1.0);
        let [l, r] = twisted(&differential(0.0, lock, lock), 0.05, 0.3);
        assert!((l / r - ratio).abs() < 1e-9);
        // Locked: the wheels' difference is that of the two shafts' twists.
        let [l, r] = twisted(&differential(1e12, 0.0, 0.0), 0.05, 0.3);
        assert!((l - r - 2400.0).abs() < 1e-9);
    }

    /// Beyond the bound the twist settles where slip and relaxation balance, and returns to the
    /// bound when the slip ends.
    #[test]
    #[expect(clippy::float_cmp, reason = "the same bits are meant")]
    fn law_a_twist_beyond_the_bound_relaxes() {
        let bound = 400.0;
        let slip = 30.0;
        let settled = bound / 8000.0 + slip * SLIP_RELAXATION_TIME;
        let at = sticking_friction([8000.0, 1.0 / 8000.0], 5.0, settled, slip, bound);
        assert!(at.rate.abs() < 1e-9 && (at.torque - bound).abs() < 1e-12);
        assert!(sticking_friction([8000.0, 1.0 / 8000.0], 5.0, settled, 0.0, bound).rate < 0.0);
        assert_eq!(
            sticking_friction([8000.0, 1.0 / 8000.0], 5.0, 0.01, slip, bound).rate,
            slip
        );
    }
}
