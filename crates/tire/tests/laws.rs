//! Laws that every tire obeys in every state.
#![expect(
    clippy::disallowed_methods,
    clippy::float_cmp,
    reason = "limits and mirrored values are exact; laws are checked with functions other than those under test"
)]

use axletree_scalar::{Dual, Lift, Real};
use axletree_tire::{
    TIRE_INPUTS, Tire, TireError, TireFault, TireSpec, driving_velocity, rolling_sense,
};

/// Evenly spread points in the unit cube, the same on every run: multiples of irrational numbers.
fn spread<const N: usize>(count: usize) -> impl Iterator<Item = [f64; N]> {
    let steps = [2.0f64, 3.0, 5.0, 7.0, 11.0, 13.0, 17.0, 19.0, 23.0, 29.0].map(f64::sqrt);
    (1..=count).map(move |i| std::array::from_fn(|j| (steps[j] * i as f64).fract()))
}

/// Tires of many shapes.
fn tires() -> Vec<Tire<f64>> {
    spread::<6>(12)
        .map(|p| {
            let mut spec = TireSpec::typical(0.3, 4000.0);
            spec.lateral.shape = 1.02 + 0.9 * p[0];
            spec.longitudinal.shape = 1.02 + 0.9 * p[1];
            spec.lateral.curvature = 0.9 - 4.0 * p[2];
            spec.longitudinal.curvature = 0.9 - 4.0 * p[3];
            spec.lateral.friction = 0.3 + 1.5 * p[4];
            spec.carcass_damping_time = 2e-3 * p[5];
            spec.at(220e3 * (0.7 + 0.6 * p[5])).unwrap()
        })
        .collect()
}

/// The force never leaves the friction ellipse, and reaches it at the normalized slip of one.
#[test]
fn law_friction_ellipse() {
    let mut largest = 0.0f64;
    for tire in tires() {
        for p in spread::<5>(400) {
            let (load, gamma, mu) = (10_000.0 * p[2], 0.3 * (p[3] - 0.5), 0.1 + p[4]);
            let contact = tire.contact(load, gamma, mu);
            // From a thousandth to ten times the slip of the peak, in every direction.
            let s = 10f64.powf(4.0 * p[0] - 3.0);
            let (sine, cosine) = (std::f64::consts::TAU * p[1]).sin_cos();
            let n = [tire.x.normalization, tire.y.normalization];
            let f = contact.force(
                [
                    s * cosine / (contact.elastic[0] * n[0]),
                    s * sine / (contact.elastic[1] * n[1]),
                ],
                1.0,
            );
            let sum = (f.fx / contact.peak[0]).powi(2) + (f.fy / contact.peak[1]).powi(2);
            assert!(sum <= 1.0 + 1e-12, "{sum}");
            assert!((sum - f.utilization).abs() < 1e-12);
            largest = largest.max(sum);
            let at_peak = contact.force(
                [
                    cosine / (contact.elastic[0] * n[0]),
                    sine / (contact.elastic[1] * n[1]),
                ],
                1.0,
            );
            assert!((at_peak.utilization - 1.0).abs() < 1e-12);
        }
    }
    assert!(largest > 0.999, "the edge was never reached: {largest}");
}

/// A contact that slides as a whole is pulled against its sliding, in every direction, and friction
/// takes power; the half axes are those of the sliding curves. Beyond the peak its
/// direction lies between that of the normalized slip and that of the sliding. The control: at the
/// peak it leans.
#[test]
fn law_a_sliding_force_opposes_the_sliding() {
    let mut leaning = 0.0f64;
    for tire in tires() {
        for p in spread::<3>(100) {
            let (load, mu) = (500.0 + 9000.0 * p[1], 0.1 + p[2]);
            let contact = tire.contact(load, 0.0, mu);
            let (sine, cosine) = (std::f64::consts::TAU * p[0]).sin_cos();
            let per_slip = [
                contact.elastic[0] * tire.x.normalization,
                contact.elastic[1] * tire.y.normalization,
            ];
            let one = 1.0 / (cosine * per_slip[0]).hypot(sine * per_slip[1]);
            let lean = |f: [f64; 2]| (f[1] * cosine - f[0] * sine) / f[0].hypot(f[1]);
            let at = |s: f64| contact.force([s * one * cosine, s * one * sine], 1.0);
            for i in 0..60 {
                let s = 1.0 + 0.02 * f64::from(i * i);
                let f = at(s);
                assert!(f.fx * cosine + f.fy * sine > 0.0);
                // Between the direction of the normalized slip and that of the sliding.
                let by_slip = lean([
                    contact.peak[0] * tire.x.curve(s) * cosine * per_slip[0],
                    contact.peak[1] * tire.y.curve(s) * sine * per_slip[1],
                ]);
                let leans = lean([f.fx, f.fy]);
                assert!(leans * by_slip >= -1e-12 && leans.abs() <= by_slip.abs() + 1e-12);
                leaning = leaning.max(if i == 0 { leans.abs() } else { 0.0 });
            }
            // Sliding as a whole: the largest slip that the memory gives.
            let f = at(1e4);
            let left = lean([f.fx, f.fy]);
            assert!(left.abs() < 1e-6, "{left}");
            let half = [&tire.x, &tire.y].map(|d| (std::f64::consts::FRAC_PI_2 * d.shape).sin());
            let ellipse =
                (f.fx / (contact.peak[0] * half[0])).hypot(f.fy / (contact.peak[1] * half[1]));
            assert!((ellipse - 1.0).abs() < 1e-2, "{ellipse}");
        }
    }
    assert!(leaning > 0.1, "{leaning}");
}

/// A tire without trail has no aligning moment, and exact slopes at zero slip and without load.
#[test]
fn law_no_trail_is_smooth() {
    let spec = TireSpec {
        trail: 0.0,
        ..TireSpec::typical(0.31, 4000.0)
    };
    let tire = spec.at(220e3).unwrap();
    let lifted: Tire<Dual<f64, 2>> = tire.lift(&mut Dual::constant);
    for load in [0.0, 4000.0] {
        let (slip, load) = (Dual::variable(0.0, 0), Dual::variable(load, 1));
        let contact = lifted.contact(load, Dual::constant(0.0), Dual::constant(1.0));
        let f = contact.force([Dual::constant(0.0), slip], Dual::constant(1.0));
        assert_eq!(f.mz.re, 0.0);
        assert!(
            [f.fx, f.fy, f.mz]
                .iter()
                .all(|f| f.d.iter().all(|d| d.is_finite()))
        );
        let stiffness = contact.stiffness[1].re;
        assert!(
            (f.fy.d[0] - stiffness).abs() <= 1e-6 * stiffness,
            "{}",
            f.fy.d[0]
        );
    }
}

/// The slope at zero slip is the stiffness in every direction, by exact derivatives.
#[test]
fn law_initial_slope() {
    for tire in tires() {
        for p in spread::<3>(50) {
            let (load, gamma) = (8000.0 * p[0], 0.2 * (p[1] - 0.5));
            let lifted: Tire<Dual<f64, 2>> = tire.lift(&mut Dual::constant);
            let contact = lifted.contact(Real::c(load), Real::c(gamma), Real::c(0.2 + p[2]));
            let f = contact.force(
                [Dual::variable(0.0, 0), Dual::variable(0.0, 1)],
                Real::one(),
            );
            let k = [contact.stiffness[0].re, contact.stiffness[1].re];
            assert!((f.fx.d[0] / k[0] - 1.0).abs() < 1e-9 && f.fx.d[1].abs() < 1e-9 * k[0]);
            assert!((f.fy.d[1] / k[1] - 1.0).abs() < 1e-9 && f.fy.d[0].abs() < 1e-9 * k[1]);
        }
    }
}

/// Leaning, and force, are towards the same side; the tire seen in a mirror is the same tire.
#[test]
fn law_mirror_symmetry() {
    for tire in tires() {
        for p in spread::<5>(200) {
            let (load, gamma) = (8000.0 * p[0], 0.3 * (p[1] - 0.5));
            let slip = [p[2] - 0.5, p[3] - 0.5];
            let (a, b) = (
                tire.contact(load, gamma, 1.0),
                tire.contact(load, -gamma, 1.0),
            );
            let fa = a.force(slip, 1.0);
            let fb = b.force([slip[0], -slip[1]], 1.0);
            assert_eq!((fa.fx, fa.fy, fa.mz), (fb.fx, -fb.fy, -fb.mz));
            // Front to back: a wheel rolling backward drives and steers alike.
            let fc = a.force([-slip[0], slip[1]], -1.0);
            assert_eq!((fa.fx, fa.fy, fa.mz), (-fc.fx, fc.fy, -fc.mz));
            // The memory mirrors too.
            let (v_s, v_r) = ([3.0 * (p[4] - 0.5), 2.0 * (p[0] - 0.5)], 10.0 * p[2]);
            let sigma = a.relaxation();
            let ra = a.deflection_rate(slip, driving_velocity(v_s, v_r, a.camber_slip), v_r, sigma);
            let mirrored = driving_velocity([v_s[0], -v_s[1]], v_r, b.camber_slip);
            let rb = b.deflection_rate([slip[0], -slip[1]], mirrored, v_r, sigma);
            assert_eq!(ra, [rb[0], -rb[1]]);
        }
        let f = tire.force([0.0; 2], 3000.0, 0.1, 1.0);
        assert!(f.fy < 0.0);
    }
}

/// The friction scale multiplies the largest forces, and leaves the stiffness.
#[test]
fn law_surface_scales_friction() {
    let tire = &tires()[0];
    let (dry, wet) = (
        tire.contact(4000.0, 0.0, 1.0),
        tire.contact(4000.0, 0.0, 0.5),
    );
    assert_eq!(dry.stiffness, wet.stiffness);
    for i in 0..2 {
        assert!((wet.peak[i] / dry.peak[i] - 0.5).abs() < 1e-15);
    }
    // Forces at slips in proportion are in proportion.
    let (a, b) = (dry.force([0.04, 0.06], 1.0), wet.force([0.02, 0.03], 1.0));
    assert!((b.fx / a.fx - 0.5).abs() < 1e-12 && (b.fy / a.fy - 0.5).abs() < 1e-12);
}

/// Rolling resistance brakes forward and backward, and nothing at standstill.
#[test]
fn law_rolling_resistance() {
    let spec = TireSpec::typical(0.3, 4000.0);
    let tire = spec.at(spec.nominal_pressure).unwrap();
    let contact = tire.contact(4000.0, 0.0, 1.0);
    let moment = |v: f64| contact.rolling_moment(0.29, rolling_sense(v));
    assert!((moment(10.0) + 0.012 * 4000.0 * 0.29).abs() < 1e-9);
    assert_eq!(moment(-10.0), -moment(10.0));
    assert_eq!(moment(0.0), 0.0);
    let soft = spec.at(150e3).unwrap();
    assert!(soft.rolling_resistance > tire.rolling_resistance);
}

/// Friction keeps falling in a straight line through test loads and stops at 0.3 far beyond; grip
/// is best at the pressure of best grip.
#[test]
fn law_friction_against_load_and_pressure() {
    let spec = TireSpec::typical(0.3, 4000.0);
    let mu = |p: f64, load: f64| spec.at(p).unwrap().contact(load, 0.0, 1.0).peak[1] / load;
    let line = mu(220e3, 2000.0) - mu(220e3, 4000.0);
    assert!((mu(220e3, 6000.0) - mu(220e3, 8000.0) - line).abs() < 1e-12 && line > 0.0);
    assert!((mu(220e3, 90_000.0) / spec.lateral.friction - 0.3).abs() < 1e-12);
    assert!(mu(180e3, 4000.0) < mu(220e3, 4000.0) && mu(260e3, 4000.0) < mu(220e3, 4000.0));
}

/// Exact derivatives of the whole evaluation against differences: two routes.
#[test]
fn law_derivatives_agree_with_differences() {
    const N: usize = 8;
    /// Everything one wheel computes: slip memory, contact slip, force, from eight inputs.
    fn all<T: Real>(tire: &Tire<T>, x: [T; N]) -> [T; 6] {
        let contact = tire.contact(tire.normal_load(x[0], x[1]), x[2], T::c(0.9));
        let sigma = contact.relaxation();
        let zeta = [x[3] / sigma[0], x[4] / sigma[1]];
        let drive = driving_velocity([x[5], x[6]], x[7], contact.camber_slip);
        let rate = contact.deflection_rate(zeta, drive, x[7], sigma);
        let zeta_rate = [rate[0] / sigma[0], rate[1] / sigma[1]];
        let sense = rolling_sense(x[7]);
        let f = contact.force(contact.contact_slip(zeta, zeta_rate), sense);
        [
            rate[0],
            rate[1],
            f.fx,
            f.fy,
            f.mz,
            contact.rolling_moment(T::c(0.29), sense),
        ]
    }
    let mut compared = 0;
    for tire in tires() {
        let lifted: Tire<Dual<f64, N>> = tire.lift(&mut Dual::constant);
        for p in spread::<N>(60) {
            let x = [
                0.005 + 0.02 * p[0],
                0.2 * (p[1] - 0.5),
                0.2 * (p[2] - 0.5),
                0.02 * (p[3] - 0.5),
                0.05 * (p[4] - 0.5),
                2.0 * (p[5] - 0.5),
                2.0 * (p[6] - 0.5),
                10.0 * (p[7] - 0.5),
            ];
            let exact = all(&lifted, std::array::from_fn(|i| Dual::variable(x[i], i)));
            for j in 0..N {
                let h = 1e-6;
                let shifted = |by: f64| {
                    let mut y = x;
                    y[j] += by;
                    all(&tire, y)
                };
                let (up, down, at) = (shifted(h), shifted(-h), all(&tire, x));
                for k in 0..6 {
                    let slopes = [(up[k] - at[k]) / h, (at[k] - down[k]) / h];
                    // Differences across a kink (full sliding, trail vanished) are not slopes.
                    let scale = slopes[0].abs().max(slopes[1].abs()).max(1.0);
                    if (slopes[0] - slopes[1]).abs() > 1e-2 * scale {
                        continue;
                    }
                    compared += 1;
                    let mean = 0.5 * (slopes[0] + slopes[1]);
                    assert!(
                        (exact[k].d[j] - mean).abs() < 1e-4 * scale,
                        "output {k} by input {j}: {} against {mean} at {x:?}",
                        exact[k].d[j]
                    );
                }
            }
        }
    }
    assert!(compared > 30_000, "{compared}");
}

/// Everything is finite, with its derivatives, over a grid of absurd states: lifted wheels, huge
/// slips, ice, wheels on their side.
#[test]
fn law_finite_everywhere() {
    type D = Dual<f64, 6>;
    let mut spec = TireSpec::typical(0.3, 4000.0);
    spec.carcass_damping_time = 2e-3;
    let tire: Tire<D> = spec.at(220e3).unwrap().lift(&mut Dual::constant);
    let signed = [-1e3, -1.0, -1e-9, 0.0, 1e-9, 1.0, 1e3];
    let mut count = 0;
    for load in [-1e4, 0.0, 1e-12, 1.0, 4e3, 1e6] {
        for gamma in [-1.5, 0.0, 1e-3, 1.5] {
            for mu in [0.0, 1e-3, 1.0, 10.0] {
                let contact =
                    tire.contact(D::variable(load, 0), D::variable(gamma, 1), D::constant(mu));
                let sigma = contact.relaxation();
                for a in signed {
                    for b in signed {
                        for v in [-100.0, 0.0, 1e-9, 100.0] {
                            let zeta = [D::variable(a, 2), D::variable(b, 3)];
                            let v_r = D::variable(v, 4);
                            let drive = driving_velocity(
                                [D::variable(b, 5), D::constant(a)],
                                v_r,
                                contact.camber_slip,
                            );
                            let rate = contact.deflection_rate(zeta, drive, v_r, sigma);
                            let felt = contact
                                .contact_slip(zeta, [rate[0] / sigma[0], rate[1] / sigma[1]]);
                            let f = contact.force(felt, rolling_sense(v_r));
                            let g = contact.force(zeta, rolling_sense(v_r));
                            for x in [
                                sigma[0],
                                sigma[1],
                                rate[0],
                                rate[1],
                                felt[0],
                                felt[1],
                                f.fx,
                                f.fy,
                                f.mz,
                                f.utilization,
                                g.fx,
                                g.fy,
                                g.mz,
                            ] {
                                assert!(
                                    x.re.is_finite() && x.d.iter().all(|d| d.is_finite()),
                                    "load {load} camber {gamma} surface {mu} zeta {a} {b} v {v}: {x:?}"
                                );
                                count += 1;
                            }
                        }
                    }
                }
            }
        }
    }
    assert!(count > 200_000);
}

/// A description out of its ranges is refused with every fault named.
#[test]
fn faults_are_reported_together() {
    let mut spec = TireSpec::typical(0.3, 4000.0);
    assert_eq!(spec.check(), Ok(()));
    spec.lateral.curvature = 1.0;
    spec.longitudinal.stiffness = 4e3;
    spec.trail = f64::NAN;
    spec.relaxation_floor = 0.0;
    let faults = spec.check().unwrap_err();
    assert_eq!(faults.len(), 4, "{faults:?}");
    let text = TireError::Spec(faults).to_string();
    for part in [
        "4 tire inputs are out of range: ",
        "trail = NaN m is out of range (allowed: 0 to 0.15 m)",
        "relaxation_floor = 0 m is out of range (allowed: 0.005 to 0.5 m)",
        "longitudinal.stiffness = 4000 N is out of range (allowed: 5000 to 1000000 N)",
        "lateral.curvature = 1 is out of range (allowed: -20 to 0.99)",
    ] {
        assert!(text.contains(part), "{part} in {text}");
    }
}

/// Both ends of every range are allowed, and the next numbers beyond them are not.
#[test]
fn law_ranges_include_their_ends() {
    for input in TIRE_INPUTS {
        let [low, high] = input.range_si();
        assert!(low < high, "{}", input.key);
        for (end, beyond) in [(low, low.next_down()), (high, high.next_up())] {
            // The nominal pressure is where pressure coefficients are one, so that only ranges
            // count.
            let mut spec = TireSpec::typical(0.3, 4000.0);
            (input.set)(&mut spec, end);
            assert_eq!((input.get)(&spec), end, "{}", input.key);
            assert_eq!(spec.check(), Ok(()), "{}", input.key);
            (input.set)(&mut spec, beyond);
            let faults = spec.check().unwrap_err();
            assert!(
                faults
                    .iter()
                    .any(|f| matches!(f, TireFault::Range { field, .. } if *field == input.key)),
                "{}: {faults:?}",
                input.key
            );
        }
    }
}

/// Every input is declared once, and a usual tire of every size that a car may have is in range.
#[test]
fn law_usual_tires_are_in_range() {
    for (i, input) in TIRE_INPUTS.iter().enumerate() {
        assert!(TIRE_INPUTS[..i].iter().all(|other| other.key != input.key));
        assert_eq!(input.entry, format!("tire.{}", input.key));
        let text = format!("{} {}", input.usual, input.unit.name);
        assert_eq!(input.usual_text, text.trim(), "{}", input.key);
        let usual = input.usual_si(0.3, 4000.0);
        assert_eq!(usual, input.unit.to_si(input.usual), "{}", input.key);
    }
    for radius in [0.15, 0.3, 0.6] {
        for load in [500.0, 4000.0, 30_000.0] {
            let spec = TireSpec::typical(radius, load);
            assert_eq!(spec.check(), Ok(()));
            assert_eq!((spec.unloaded_radius, spec.nominal_load), (radius, load));
        }
    }
    // A size out of range is reported, not mended.
    assert!(TireSpec::typical(3.0, 4000.0).check().is_err());
    assert!(TireSpec::typical(0.3, f64::NAN).check().is_err());
}

/// A pressure that leaves nothing of a stiffness is refused.
#[test]
fn impossible_pressures_are_refused() {
    let mut spec = TireSpec::typical(0.3, 4000.0);
    for pressure in [0.0, -1e5, f64::NAN, 3e6, 15e3] {
        let text = spec.at(pressure).unwrap_err().to_string();
        assert!(text.contains("pressure = "), "{text}");
    }
    // 1 + 1.4 dp is below zero.
    spec.lateral.peak_load_pressure = 1.4;
    let text = spec.at(60e3).unwrap_err().to_string();
    assert!(
        text.contains("lateral.peak_load_pressure = 1.4 leaves a factor of -0.0182 at 60 kPa"),
        "{text}"
    );
}
