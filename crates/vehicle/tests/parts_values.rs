//! Springs, bars, dampers and units against closed-form and book values.
//!
//! Validation cases P1 to P10. Flags: M from memory then recomputed, L computed with a
//! general-purpose library, as noted beside each.
#![expect(
    clippy::disallowed_methods,
    reason = "closed forms are compared to many digits, not to the last bit"
)]
#![expect(
    clippy::float_cmp,
    reason = "equal values must be the same number, to the bit"
)]

use axletree_vehicle::parts::bar::{AntiRollBar, Arms};
use axletree_vehicle::parts::damper;
use axletree_vehicle::parts::section::RoundSection;
use axletree_vehicle::parts::series::in_series;
use axletree_vehicle::parts::spring::Coil;
use axletree_vehicle::unit::{Unit, quantity};

/// Relative difference, or half a unit of the last printed digit where that is larger.
#[track_caller]
fn close(got: f64, want: f64, relative: f64, half_digit: f64) {
    let allowed = (relative * want.abs()).max(half_digit);
    assert!((got - want).abs() <= allowed, "{got} against {want}");
}

const INCH: f64 = 0.0254;
const LBF: f64 = 4.448_221_615_260_5;
const LBF_PER_INCH: f64 = LBF / INCH;

/// The bar of P1: 22 mm, 0.90 m, levers of 0.22 m, nothing but torsion.
fn torsion_only() -> AntiRollBar {
    AntiRollBar {
        section: RoundSection::tube(0.022, 0.0),
        length: 0.90,
        lever: 0.22,
        arm_length: 0.22,
        arms: Arms::Rigid,
        bearing_inset: 0.0,
        bushing_rate: None,
        link_rate: None,
        shear_modulus: 79.3e9,
        youngs_modulus: 207e9,
    }
}

/// P1: torsion alone. Shigley, Mechanical Engineering Design; SAE AE-11. Flags M, L; tolerance
/// 1e-6.
#[test]
fn val_p1_bar_with_rigid_arms() {
    let bar = torsion_only();
    close(bar.section.polar() * 1e12, 22998.0, 1e-6, 0.05);
    let rate = bar.rate();
    close(rate, 41867.4, 1e-6, 0.05);
    close(rate / LBF_PER_INCH, 239.069, 1e-6, 5e-4);
    close(2.0 * rate, 83734.8, 1e-6, 0.05);
    // No bar has no rate.
    let none = AntiRollBar {
        section: RoundSection::tube(0.0, 0.0),
        ..bar
    };
    assert_eq!(none.rate(), 0.0);
}

/// P2: tubes and the fourth-power rule. As P1. Flag M; tolerance 1e-6.
#[test]
fn val_p2_tubes() {
    let bar = torsion_only();
    let of = |outer: f64, wall: f64| {
        AntiRollBar {
            section: RoundSection::tube(outer, wall),
            ..bar
        }
        .rate()
    };
    close(of(0.024, 0.0) / of(0.022, 0.0), 1.41630, 1e-6, 5e-6);
    close(of(INCH, 0.0) / of(0.875 * INCH, 0.0), 1.70596, 1e-6, 5e-6);
    close(of(0.0254, 0.0032), 51099.3, 1e-6, 0.05);
    close(of(0.0254, 0.0032) / of(0.0254, 0.0), 0.68690, 1e-6, 5e-6);
    close(of(0.03, 0.0075) / of(0.03, 0.0), 0.9375, 1e-12, 0.0);
    // A wall of the radius is a solid bar.
    assert_eq!(of(0.03, 0.015), of(0.03, 0.0));
}

/// P3: arms bend; a handbook formula recovered. Roark; Shigley; Puhn, How to Make Your Car Handle,
/// 1981. Flag M; tolerance 1e-5, 5e-4 between handbook and mechanics.
#[test]
fn val_p3_arms_bend() {
    let bar = AntiRollBar {
        arms: Arms::SameSection,
        ..torsion_only()
    };
    close(bar.rate(), 37220.1, 1e-5, 0.05);
    close(bar.rate() / torsion_only().rate(), 0.88900, 1e-5, 5e-6);
    // An arm of a given bending rate is the same thing.
    let each = 3.0 * 207e9 * bar.section.diametral() / 0.22f64.powi(3);
    let blade = AntiRollBar {
        arms: Arms::Rate(each),
        ..bar
    };
    close(blade.rate(), bar.rate(), 1e-12, 0.0);

    let (d, a, b, c) = (0.875f64, 9.0f64, 36.0f64, 10.0f64);
    let handbook = 500_000.0 * d.powi(4) / (0.4244 * a * a * b + 0.2264 * c.powi(3));
    close(handbook, 200.21, 1e-5, 5e-3);
    let psi = LBF / (INCH * INCH);
    let mechanics = AntiRollBar {
        section: RoundSection::tube(d * INCH, 0.0),
        length: b * INCH,
        lever: a * INCH,
        arm_length: c * INCH,
        shear_modulus: 12.0e6 * psi,
        youngs_modulus: 30.0e6 * psi,
        ..bar
    };
    close(mechanics.rate() / LBF_PER_INCH, 200.21, 1e-5, 5e-3);
    close(mechanics.rate() / LBF_PER_INCH, handbook, 5e-4, 0.0);
}

/// P4: bearings set inboard. Castigliano; checked there by a frame of beam elements
/// (Przemieniecki). Flags M, L (numpy); tolerance 1e-6.
#[test]
fn val_p4_bearings_inboard() {
    let bar = AntiRollBar {
        arms: Arms::SameSection,
        bearing_inset: 0.08,
        ..torsion_only()
    };
    close(bar.rate(), 36135.2, 1e-6, 0.05);
    close(bar.rate() / torsion_only().rate(), 0.86309, 1e-6, 5e-6);
}

/// The same bar by stiffness matrices: a plane frame of the bar's bending in the plane of the end
/// forces, with springs at the bearings; torsion and arms added. Przemieniecki, Theory of Matrix
/// Structural Analysis, the 4-degree-of-freedom beam element. Also settles the bushings' term.
#[test]
fn val_bar_against_beam_elements_with_bushings() {
    let bar = AntiRollBar {
        arms: Arms::SameSection,
        bearing_inset: 0.08,
        bushing_rate: Some(2.0e6),
        ..torsion_only()
    };
    let bending = bar.youngs_modulus * bar.section.diametral();
    // Nodes: end, bearing, bearing, end; each with deflection and slope.
    let lengths = [0.08f64, 0.74, 0.08];
    let mut k = nalgebra::DMatrix::<f64>::zeros(8, 8);
    for (e, l) in lengths.into_iter().enumerate() {
        let s = bending / l.powi(3);
        let element = nalgebra::Matrix4::new(
            12.0,
            6.0 * l,
            -12.0,
            6.0 * l,
            6.0 * l,
            4.0 * l * l,
            -6.0 * l,
            2.0 * l * l,
            -12.0,
            -6.0 * l,
            12.0,
            -6.0 * l,
            6.0 * l,
            2.0 * l * l,
            -6.0 * l,
            4.0 * l * l,
        ) * s;
        for i in 0..4 {
            for j in 0..4 {
                k[(2 * e + i, 2 * e + j)] += element[(i, j)];
            }
        }
    }
    for node in [1, 2] {
        k[(2 * node, 2 * node)] += 2.0e6;
    }
    let mut f = nalgebra::DVector::zeros(8);
    (f[0], f[6]) = (1.0, -1.0);
    let u = k.lu().solve(&f).unwrap();
    let beam = u[0] - u[6];
    let torsion = bar.lever.powi(2) * bar.length / (bar.shear_modulus * bar.section.polar());
    let arms = 2.0 * bar.arm_length.powi(3) / (3.0 * bending);
    close(bar.compliance(), torsion + arms + beam, 1e-9, 0.0);
    // The bushings matter here: without them the bar is stiffer.
    let rigid = AntiRollBar {
        bushing_rate: None,
        ..bar
    };
    assert!(rigid.rate() > 1.04 * bar.rate());
}

/// P5: coil springs. Shigley, chapter on helical springs (its example prints 4.13 lbf/in); Wahl,
/// Mechanical Springs. Flag M; tolerance 1e-6.
#[test]
fn val_p5_coil_springs() {
    let psi = LBF / (INCH * INCH);
    let music_wire = |diameter: f64| {
        Coil {
            wire: 0.037 * INCH,
            diameter: diameter * INCH,
            active: 10.5,
            shear_modulus: 11.85e6 * psi,
        }
        .rate()
            / LBF_PER_INCH
    };
    close(music_wire(0.4375 - 0.037), 4.1156, 1e-6, 5e-5);
    close(music_wire(0.400), 4.1311, 1e-6, 5e-5);
    let car = Coil {
        wire: 0.013,
        diameter: 0.110,
        active: 6.5,
        shear_modulus: 79.3e9,
    };
    close(car.rate(), 32723.9, 1e-6, 0.05);
    close(car.rate() / LBF_PER_INCH, 186.86, 1e-6, 5e-3);
    let cut = Coil { active: 6.0, ..car };
    close(cut.rate() / car.rate(), 1.08333, 1e-6, 5e-6);
    let thick = Coil {
        wire: 0.0135,
        ..car
    };
    close(thick.rate() / car.rate(), 1.16295, 1e-6, 5e-6);
}

/// P7: bushings in series. Elementary statics; Reimpell, Stoll, Betzler, 2001. Flag M; tolerance
/// 1e-6.
#[test]
fn val_p7_series() {
    close(in_series(&[Some(60e3), Some(1.2e6)]), 57142.9, 1e-6, 0.05);
    assert_eq!(in_series(&[Some(60e3), None]), 60e3);
    let linked = AntiRollBar {
        link_rate: Some(400e3),
        ..torsion_only()
    };
    close(linked.rate(), 34620.1, 1e-6, 0.05);
    let rod = in_series(&[Some(4e6), Some(4e6)]);
    close(rod / 1e6, 2.0, 1e-12, 0.0);
}

/// P10: conversion factors. NIST SP 811 (2008), Appendix B. Flag L; tolerance 1e-7, or half of the
/// last printed digit.
#[test]
fn val_p10_units() {
    for (text, unit, want, half_digit) in [
        ("1 lbf/in", "N/m", 175.126835, 5e-7),
        ("1 psi", "kPa", 6.894757, 5e-7),
        ("32 psi", "kPa", 220.6322, 5e-5),
        ("1 lbf*ft/deg", "N*m/rad", 77.6826, 5e-5),
        ("1 lbf/deg", "N/rad", 254.8643, 5e-5),
        ("1 lbf*s/in", "N*s/m", 175.1268, 5e-5),
        ("60 mph", "m/s", 26.8224, 5e-12),
        ("1 slug", "kg", 14.593903, 5e-7),
        ("9.80665 m/s^2", "ft/s^2", 32.17405, 5e-6),
        ("500 lbf/in", "N/m", 87563.42, 5e-3),
        ("1 lb", "kg", 0.45359237, 1e-16),
    ] {
        let (si, _, from) = quantity(text).unwrap();
        let to = Unit::parse(unit).unwrap();
        assert_eq!(from.dimension, to.dimension, "{text}");
        close(to.from_si(si), want, 1e-9, half_digit);
    }
}

/// The damper's slope is `low` at rest and tends to `high`; a click scales the whole curve.
#[test]
fn law_damper_slopes_and_clicks() {
    let curve = damper::DamperCurve {
        low: 3000.0,
        high: 900.0,
        knee: 0.12,
    };
    let slope = |v: f64| (curve.force(v + 1e-6) - curve.force(v - 1e-6)) / 2e-6;
    close(slope(0.0), 3000.0, 1e-6, 0.0);
    close(slope(20.0), 900.0, 1e-4, 0.0);
    assert!(slope(0.12) < 2200.0 && slope(0.12) > 1200.0);
    let set = curve.set(4.0, 0.05);
    close(set.force(0.3), 1.2 * curve.force(0.3), 1e-14, 0.0);
    assert_eq!(curve.set(0.0, 0.05), curve);
}
