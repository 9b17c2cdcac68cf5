//! Against published and closed-form values. Flags of the cases: M from memory, then recomputed; L
//! computed with a named general-purpose library; C common practice.
#![expect(
    clippy::disallowed_methods,
    clippy::float_cmp,
    clippy::unreadable_literal,
    reason = "figures stand as their sources print them, zeros are exact; published values are recomputed without the functions under test"
)]

use axletree_tire::{DirectionSpec, Tire, TireSpec};

/// Relative agreement.
#[track_caller]
fn close(got: f64, want: f64, tolerance: f64) {
    assert!(
        (got - want).abs() <= tolerance * want.abs(),
        "{got} against {want}, {:e} apart",
        (got / want - 1.0).abs()
    );
}

/// A direction without effects of load on friction, at 4 kN.
fn plain(
    d: &DirectionSpec,
    peak: f64,
    stiffness: f64,
    shape: f64,
    curvature: f64,
) -> DirectionSpec {
    DirectionSpec {
        friction: peak / 4000.0,
        friction_fall: 0.0,
        stiffness,
        shape,
        curvature,
        ..*d
    }
}

fn at_nominal(spec: &TireSpec) -> Tire<f64> {
    spec.at(spec.nominal_pressure).unwrap()
}

/// Validation case T1: identities of the Magic Formula (Pacejka, *Tire and Vehicle Dynamics*, 2012,
/// section 4.3.1; SAE 870421). B = 0.20 1/deg, C = 1.30, D = 4000 N, E = -0.50. Tolerance 1e-6, or
/// half of the last printed digit; slope by differences 1e-5. Flag M + L (scipy brentq).
#[test]
fn val_t1_magic_formula() {
    let mut spec = TireSpec::typical(0.31, 4000.0);
    spec.lateral = plain(&spec.lateral, 4000.0, 1040f64.to_degrees(), 1.3, -0.5);
    let tire = at_nominal(&spec);
    let fy = |deg: f64| tire.force([0.0, deg.to_radians()], 4000.0, 0.0, 1.0).fy;

    close((fy(1e-3) - fy(-1e-3)) / 2e-3, 1040.0, 1e-5);
    close(fy(5.0), 3541.23, 0.005 / 3541.23);
    // The peak: where the slope changes sign.
    let (mut low, mut high) = (5.0, 20.0);
    for _ in 0..200 {
        let mid = 0.5 * (low + high);
        if fy(mid + 1e-5) > fy(mid - 1e-5) {
            low = mid;
        } else {
            high = mid;
        }
    }
    // The search by differences is good to 1e-5 of the slip; the library's own peak is closed.
    close(low, 10.6774, 1e-4);
    let contact = tire.contact(4000.0, 0.0, 1.0);
    let peak = (1.0 / (contact.elastic[1] * tire.y.normalization)).to_degrees();
    close(peak, 10.6774, 0.00005 / 10.6774);
    close(fy(peak), 4000.0, 1e-12);
    // Shape from the asymptote, curvature from the peak with B = 0.2 1/deg.
    let asymptote = tire.force([0.0, 1e9], 4000.0, 0.0, 1.0).fy;
    close(asymptote, 3564.03, 0.005 / 3564.03);
    close(
        2.0 - 2.0 / std::f64::consts::PI * (asymptote / 4000.0).asin(),
        1.3,
        1e-6,
    );
    let b = 0.2 * peak;
    close(b, tire.y.steepness, 1e-12);
    let e = (b - (std::f64::consts::PI / 2.6).tan()) / (b - b.atan());
    close(e, -0.5, 1e-9);
}

/// The pure curves of validation cases T3 and T4 at 4 kN.
fn tire_of_1987() -> TireSpec {
    let mut spec = TireSpec::typical(0.31, 4000.0);
    let per_radian = 180.0 / std::f64::consts::PI;
    let bcd_y = 1078.0 * (1.82 * (0.208f64 * 4.0).atan()).sin() * per_radian;
    let bcd_x = (49.6 * 16.0 + 226.0 * 4.0) / (0.069f64 * 4.0).exp() * 100.0;
    spec.lateral = plain(&spec.lateral, 3690.4, bcd_y, 1.3, -0.709);
    spec.longitudinal = plain(&spec.longitudinal, 4235.2, bcd_x, 1.65, 0.614);
    spec
}

/// Validation case T6: combined slip by similarity (Pacejka 2012, sections 4.2 and 4.3.2) from the
/// pure curves of SAE 870421 at 4 kN, normalized slip along (0.6, 0.8), up to the peak. Tolerance
/// 1e-4. Flag M + L. Beyond the peak the book's direction is left on purpose, see
/// `law_a_sliding_force_opposes_the_sliding`.
#[test]
fn val_t6_combined_slip() {
    let spec = tire_of_1987();
    let tire = at_nominal(&spec);
    let contact = tire.contact(4000.0, 0.0, 1.0);
    let peak = [
        1.0 / (contact.elastic[0] * tire.x.normalization),
        1.0 / (contact.elastic[1] * tire.y.normalization),
    ];
    close(peak[0] * 100.0, 10.348, 1e-4);
    close(peak[1].to_degrees(), 9.351, 1e-4);
    for (s, fx, fy, sum) in [(0.5, 2318.2, 2649.2, 0.814926), (1.0, 2541.1, 2952.3, 1.0)] {
        let f = contact.force([0.6 * s * peak[0], 0.8 * s * peak[1]], 1.0);
        close(f.fx, fx, 1e-4);
        close(f.fy, fy, 1e-4);
        close(f.utilization, sum, 1e-4);
        close(f.normalized_slip, s, 1e-12);
    }
}

/// Validation case T7: the grip that a pair of wheels loses when 2 kN move across (SAE 870421 for
/// D; Gillespie 1992, ch. 6; Milliken and Milliken 1995, ch. 2). D = -22.1 F^2 + 1011 F with F in
/// kN. Tolerance 1e-5. Flag M. The cornering stiffness of the case follows another load law, of
/// which the form here has the same peak: 1 %.
#[test]
fn val_t7_load_sensitivity() {
    let mut spec = TireSpec::typical(0.31, 4000.0);
    spec.lateral.friction = 1.011 - 0.0221 * 4.0;
    spec.lateral.friction_fall = 0.0221 * 4.0 / spec.lateral.friction;
    // The largest stiffness, 1078 N/deg at tan(pi/(2 * 1.82))/0.208 kN.
    let top = 1000.0 * (std::f64::consts::FRAC_PI_2 / 1.82).tan() / 0.208;
    let u = 4000.0 / top;
    spec.lateral.stiffness_peak_load = top;
    spec.lateral.stiffness = 1078f64.to_degrees() * 2.0 * u / (1.0 + u * u);
    let tire = at_nominal(&spec);
    let peak = |load: f64| tire.contact(load, 0.0, 1.0).peak[1];
    close(2.0 * peak(4000.0), 7380.8, 1e-5);
    close(peak(2000.0) + peak(6000.0), 7204.0, 1e-5);
    let loss = 2.0 * peak(4000.0) - peak(2000.0) - peak(6000.0);
    close(loss, 176.8, 1e-9);
    for (load, mu) in [
        (2000.0, 0.9668),
        (4000.0, 0.9226),
        (6000.0, 0.8784),
        (8000.0, 0.8342),
    ] {
        close(peak(load) / load, mu, 1e-5);
    }
    let stiffness = |load: f64| tire.contact(load, 0.0, 1.0).stiffness[1].to_radians();
    close(2.0 * stiffness(4000.0), 2054.7, 0.01);
    close(stiffness(2000.0) + stiffness(6000.0), 1784.9, 0.02);
}

/// Validation case T9: cornering stiffness and vertical stiffness against inflation pressure (form
/// after Besselink, Schmeitz and Pacejka 2010; numbers illustrative). Tolerance 1e-6 or half of the
/// last printed digit. Flag M.
#[test]
fn val_t9_pressure() {
    let mut spec = TireSpec::typical(0.31, 4000.0);
    let u = 4000.0 / 6000.0;
    spec.lateral.stiffness = 80_000.0 * 2.0 * u / (1.0 + u * u);
    spec.lateral.stiffness_peak_load = 6000.0;
    spec.lateral.stiffness_pressure = 0.30;
    spec.lateral.peak_load_pressure = 1.10;
    spec.vertical_stiffness_pressure = 0.70;
    let at = |dp: f64| spec.at(spec.nominal_pressure * (1.0 + dp)).unwrap();
    let stiffness = |dp: f64, load: f64| at(dp).contact(load, 0.0, 1.0).stiffness[1];
    for (dp, row) in [
        (-0.2, [54348.0, 74282.6, 72937.1, 65550.9]),
        (0.0, [48000.0, 73846.2, 80000.0, 76800.0]),
        (0.2, [43119.8, 71367.0, 83150.6, 84466.5]),
    ] {
        for (load, want) in [2000.0, 4000.0, 6000.0, 8000.0].into_iter().zip(row) {
            close(stiffness(dp, load), want, 1e-6);
        }
    }
    // Where more pressure changes nothing.
    for (dp, load) in [(-0.2, 4103.6), (0.2, 4895.6)] {
        close(stiffness(dp, load) / stiffness(0.0, load), 1.0, 1e-5);
    }
    close(
        stiffness(0.2, 1e-3) / stiffness(0.0, 1e-3),
        0.86885,
        0.000005 / 0.86885,
    );
    for (dp, factor) in [(0.2, 1.140), (-0.2, 0.860)] {
        close(
            at(dp).vertical_stiffness / at(0.0).vertical_stiffness,
            factor,
            1e-12,
        );
    }
    // Trends: trail and relaxation length fall as pressure rises.
    let trail = |dp: f64| {
        let f = at(dp).force([0.0, 1e-6], 4000.0, 0.0, 1.0);
        -f.mz / f.fy
    };
    assert!(trail(0.2) < trail(0.0) && trail(0.0) < trail(-0.2));
    let relaxation = |dp: f64| at(dp).contact(3000.0, 0.0, 1.0).relaxation()[1];
    assert!(relaxation(0.2) < relaxation(0.0) && relaxation(0.0) < relaxation(-0.2));
}

/// Validation case T10, its size check only: the typical tire's camber thrust at 3 deg and 4 kN is
/// 0.01 of the load per degree (flag C), towards the lean, below the geometric F_z tan gamma of
/// 209.63 N; the thrust is lateral and linear at small inclination.
#[test]
fn val_t10_camber_thrust_size() {
    let tire = at_nominal(&TireSpec::typical(0.31, 4000.0));
    let gamma = 3f64.to_radians();
    let f = tire.force([0.0; 2], 4000.0, gamma, 1.0);
    close(f.fy, -0.01 * 3.0 * 4000.0, 0.01);
    assert!(f.fy.abs() < 209.63 && f.fx == 0.0);
}

/// Validation case T11, the brush model with parabolic pressure (Pacejka 2012, section 3.2), for
/// the trail, which the library takes from it: a/3 = 20 mm at zero slip, 4.2857 mm at half of full
/// sliding, never negative. mu 1, 4000 N, 60 000 N/rad. Tolerance 1e-9 in closed form.
#[test]
fn val_t11_brush_trail() {
    let mut spec = TireSpec::typical(0.31, 4000.0);
    spec.lateral = plain(&spec.lateral, 4000.0, 60_000.0, 1.3, -0.7);
    spec.trail = 0.02;
    let tire = at_nominal(&spec);
    for (slip, trail) in [(1e-9, 0.020), (0.1, 0.02 * 0.125 / (7.0 / 12.0))] {
        let f = tire.force([0.0, slip], 4000.0, 0.0, 1.0);
        close(-f.mz / f.fy, trail, 1e-7);
    }
    for slip in [0.2, 0.3, 5.0] {
        let mz = tire.force([0.0, slip], 4000.0, 0.0, 1.0).mz;
        assert!(mz <= 0.0 && mz > -1e-12, "{mz}");
    }
    // Growing as the root of load, as the contact length does.
    let trail = |load| {
        let f = tire.force([0.0, 1e-9], load, 0.0, 1.0);
        -f.mz / f.fy
    };
    close(trail(1000.0) / trail(4000.0), 0.5, 1e-6);
}

/// The vertical direction: static deflection, the damper's share, no pull, and the effective radius
/// between the unloaded and the loaded one.
#[test]
fn val_vertical_spring() {
    let mut spec = TireSpec::typical(0.31, 4000.0);
    spec.radius_fraction = 1.0 / 3.0;
    let tire = at_nominal(&spec);
    close(tire.normal_load(0.02, 0.0), 4000.0, 1e-12);
    close(
        tire.normal_load(0.02, 0.1),
        4000.0 + 0.1 * spec.vertical_damping,
        1e-12,
    );
    assert_eq!(tire.normal_load(-0.01, 5.0), 0.0);
    assert_eq!(tire.normal_load(1e-4, -1e3), 0.0);
    close(tire.effective_radius(0.03), 0.30, 1e-12);
    assert_eq!(tire.effective_radius(-0.03), 0.31);
    // Geometry of a tread pressed into its chord, at a half-angle of 0.3 rad: R_e = R sin t/t.
    let t = 0.3f64;
    let r_e = tire.effective_radius(0.31 * (1.0 - t.cos()));
    close(r_e, 0.31 * t.sin() / t, 1e-4);
}
