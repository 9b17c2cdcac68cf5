//! Springs, dampers, stops and bars of one end.

use super::End;
use crate::model::numbers::{Curve, Damper, Spring, Stop, Strut, Surface};
use crate::parts::bar::{Arms, Bar};
use crate::parts::damper;
use crate::parts::section::Round;
use crate::parts::series::in_series;
use crate::parts::spring::Coil;

/// Rate of one spring with its mounts [N/m].
pub(super) fn spring_rate(end: End<'_>) -> f64 {
    let rate = end.maybe("spring.rate").unwrap_or_else(|| {
        Coil {
            wire: end.of("spring.wire_diameter"),
            diameter: end.of("spring.coil_diameter"),
            active: end.of("spring.active_coils"),
            shear_modulus: end.of("spring.shear_modulus"),
        }
        .rate()
    });
    in_series(&[Some(rate), end.maybe("spring.mount_rate")])
}

/// Rate of the bar over the relative travel of its ends; nothing without a bar [N/m].
pub(super) fn bar_rate(end: End<'_>) -> f64 {
    let outer = end.of("bar.outer_diameter");
    let lever = end.bar_lever().unwrap_or_else(|| end.of("bar.arm_length"));
    let arms = match (
        end.maybe("bar.arm_rate"),
        end.car.text(&end.path("bar.arm")),
    ) {
        (Some(rate), _) => Arms::Rate(rate),
        (None, Some("rigid")) => Arms::Rigid,
        (None, _) => Arms::SameSection,
    };
    Bar {
        section: Round::tube(outer, end.of("bar.wall")),
        length: end.of("bar.length"),
        lever,
        arm_length: end.maybe("bar.arm_bend_length").unwrap_or(lever),
        arms,
        bearing_inset: end.of("bar.bearing_inset"),
        bushing_rate: end.maybe("bar.bushing_rate"),
        link_rate: end.maybe("bar.link_rate"),
        shear_modulus: end.of("bar.shear_modulus"),
        youngs_modulus: end.of("bar.youngs_modulus"),
    }
    .rate()
}

/// Spring, damper and stops of one side; the preload is settled by the balance at rest.
pub(super) fn strut(end: End<'_>) -> Strut<f64> {
    let setting = end.of("damper.setting");
    let senses = ["bump", "rebound"].map(|sense| {
        let d = |name: &str| end.of(&format!("damper.{sense}.{name}"));
        damper::Curve {
            low: d("low"),
            high: d("high"),
            knee: d("knee"),
        }
        .set(setting, d("per_click"))
    });
    let stop = |name: &str| Stop {
        gap: end.of(&format!("{name}.gap")),
        rate: end.of(&format!("{name}.rate")),
        progression: end.of(&format!("{name}.progression")),
    };
    Strut {
        spring: Spring {
            preload: 0.0,
            rate: spring_rate(end),
        },
        damper: Damper {
            low: senses.map(|s| s.low),
            high: senses.map(|s| s.high),
            inverse_knee: senses.map(|s| s.knee.recip()),
        },
        bump: stop("bump_stop"),
        droop: stop("droop_stop"),
    }
}

/// Force of both stops at a compression of the damper [m], compressive positive [N].
pub(super) fn stop_force(strut: &Strut<f64>, compression: f64) -> f64 {
    let one = |stop: &Stop<f64>, x: f64| {
        let x = (x - stop.gap).max(0.0);
        stop.rate * x + stop.progression * x * x
    };
    one(&strut.bump, compression) - one(&strut.droop, -compression)
}

/// Length as a function of a corner's travel s: `MR s + MR' s^2 / 2`, for spring, damper or bar.
pub(super) fn curve(end: End<'_>, part: &str) -> Curve<f64> {
    let ratio = end.of(&format!("{part}.motion_ratio"));
    let slope = end.of(&format!("{part}.motion_ratio_slope"));
    Curve {
        c: [0.0, ratio, 0.5 * slope, 0.0, 0.0],
    }
}

/// Length as a function of an axle's heave h and roll r, on the side `left` (1 or -1): with the rise
/// of the axle at the part, `t = h + left r spacing/2`, it is `MR t + MR' t^2 / 2 + curvature r^2 / 2`.
pub(super) fn surface(end: End<'_>, part: &str, left: f64, curvature: f64) -> Surface<f64> {
    let ratio = end.of(&format!("{part}.motion_ratio"));
    let slope = end.of(&format!("{part}.motion_ratio_slope"));
    let lever = 0.5 * left * end.of(&format!("{part}.spacing"));
    Surface {
        c: [
            0.0,
            ratio,
            ratio * lever,
            0.5 * slope,
            slope * lever,
            0.5 * (slope * lever * lever + curvature),
            0.0,
            0.0,
            0.0,
            0.0,
        ],
    }
}
