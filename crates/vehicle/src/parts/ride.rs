//! Ride rates, natural frequencies, damping ratios.
//!
//! Gillespie, *Fundamentals of Vehicle Dynamics*, 1992, ch. 5; any text on vibrations.

use axletree_scalar::Real;
use std::f64::consts::PI;

/// Frequency of a mass [kg] on a spring [N/m]: `sqrt(k/m) / (2 pi)` [Hz].
pub fn frequency(rate: f64, mass: f64) -> f64 {
    (rate / mass).sqrt() / (2.0 * PI)
}

/// Frequency by static deflection [m] under free fall `gravity` [m/s^2]: `sqrt(g/d) / (2 pi)` [Hz].
pub fn frequency_of_deflection(deflection: f64, gravity: f64) -> f64 {
    (gravity / deflection).sqrt() / (2.0 * PI)
}

/// Frequencies of a body [kg] on its wheel rate [N/m] above a wheel [kg] on its tire [N/m], without
/// damping: body mode, wheel-hop mode [Hz].
///
/// The squares of the angular frequencies are the roots of
/// `m M w^4 - (M (k + t) + m k) w^2 + k t = 0`.
pub fn two_mass(body: f64, wheel_rate: f64, unsprung: f64, tire_rate: f64) -> [f64; 2] {
    let a = body * unsprung;
    let b = body * (wheel_rate + tire_rate) + unsprung * wheel_rate;
    let c = wheel_rate * tire_rate;
    // The larger root first, the smaller from the product of both: no cancellation.
    let large = (b + (b * b - 4.0 * a * c).sqrt()) / (2.0 * a);
    let small = c / (a * large);
    [small.sqrt() / (2.0 * PI), large.sqrt() / (2.0 * PI)]
}

/// Critical damping of a mass [kg] on a spring [N/m]: `2 sqrt(k m)` [N s/m].
pub fn critical_damping(rate: f64, mass: f64) -> f64 {
    2.0 * (rate * mass).sqrt()
}

/// Damping over critical damping [-].
pub fn damping_ratio(damping: f64, rate: f64, mass: f64) -> f64 {
    damping / critical_damping(rate, mass)
}

/// Overshoot of the step response of a damped oscillator, `exp(-pi z / sqrt(1 - z^2))` [-]; none from
/// critical damping on.
pub fn overshoot(damping_ratio: f64) -> f64 {
    if damping_ratio >= 1.0 {
        return 0.0;
    }
    Real::exp(-PI * damping_ratio / (1.0 - Real::sq(damping_ratio)).sqrt())
}

/// Logarithm of the ratio of two neighboring peaks, `2 pi z / sqrt(1 - z^2)` [-].
pub fn log_decrement(damping_ratio: f64) -> f64 {
    2.0 * PI * damping_ratio / (1.0 - Real::sq(damping_ratio)).sqrt()
}

/// Damped frequency, `f sqrt(1 - z^2)` [Hz].
pub fn damped_frequency(frequency: f64, damping_ratio: f64) -> f64 {
    frequency * (1.0 - Real::sq(damping_ratio)).sqrt()
}
