//! Holding a speed with the driveline.

use axletree_scalar::Real;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{SPIN, STATES, VELOCITY};

/// Time in which an error of the speed would vanish under the proportional part alone [s]. Slow
/// beside the car's lateral motion, so that the measured response stays the car's; our choice.
const RESPONSE: f64 = 0.6;
/// Integral time [s]; critically damped would be four times the response time, our choice.
const INTEGRAL: f64 = 2.4;
/// Least drive torque as a share of the peak torque: engine braking; common practice, no source.
const OVERRUN: f64 = -0.1;

/// A proportional-integral throttle about a torque that is known to hold the speed.
#[derive(Clone, Copy, Debug)]
pub struct SpeedHold {
    /// Speed to hold [m/s].
    pub speed: f64,
    /// Torque at the wheels together that holds it [N m].
    pub torque: f64,
    gain: f64,
    peak_torque: f64,
    peak_power: f64,
}

impl SpeedHold {
    /// For a car at a speed [m/s] that a torque [N m] holds.
    pub fn new(model: &Model, speed: f64, torque: f64) -> Self {
        let driveline = &model.numbers.chassis.driveline;
        let radius = model.wheels()[2].tire.unloaded_radius;
        SpeedHold {
            speed,
            torque,
            gain: model.mass() * radius / RESPONSE,
            peak_torque: driveline.peak_torque,
            peak_power: driveline.peak_power,
        }
    }

    /// Torque and the rate of the integral of the speed's error [m], held where the torque is at its
    /// limit.
    pub fn act(&self, car: &[f64; STATES], integral: f64) -> (f64, f64) {
        let error = self.speed - speed_of(car);
        let wanted = self.torque + self.gain * (error + integral / INTEGRAL);
        let given = wanted.clamp(OVERRUN * self.peak_torque, self.available(car));
        let winds_up = (wanted - given) * error > 0.0;
        (given, if winds_up { 0.0 } else { error })
    }

    /// Torque per error of the speed [N s].
    pub fn gain(&self) -> f64 {
        self.gain
    }

    /// The most torque that the driveline gives at the rear wheels' speed [N m].
    pub fn available(&self, car: &[f64; STATES]) -> f64 {
        let spin = 0.5 * (car[SPIN + 2] + car[SPIN + 3]);
        available_torque(self.peak_torque, self.peak_power, spin)
    }
}

/// Speed of O along the body's floor, which on a flat road is its horizontal speed but for the body's
/// small heave [m/s].
pub fn speed_of(car: &[f64; STATES]) -> f64 {
    Real::hypot(car[VELOCITY], car[VELOCITY + 1])
}

/// The most torque at both driven wheels together at a wheel speed [N m].
pub fn available_torque(peak_torque: f64, peak_power: f64, spin: f64) -> f64 {
    peak_torque.min(peak_power / spin.max(1e-3))
}
