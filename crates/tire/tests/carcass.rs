//! The slip memory: lag, steady state, standstill, bounds.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::disallowed_methods,
    clippy::float_cmp,
    reason = "numbers of steps are small, a wheel at rest stays at zero exactly; motions and closed forms are computed without the functions under test"
)]

use axletree_scalar::{Dual, Lift};
use axletree_tire::{Tire, TireContact, TireSpec, driving_velocity};

fn tire() -> Tire<f64> {
    TireSpec::typical(0.31, 4000.0).at(220e3).unwrap()
}

/// The deflection after `time` at constant sliding and rolling speeds, by the classical
/// fourth-order Runge-Kutta method; `watch` receives every accepted state.
fn integrate(
    contact: &TireContact<'_, f64>,
    start: [f64; 2],
    velocity: impl Fn(f64) -> ([f64; 2], f64),
    time: f64,
    step: f64,
    mut watch: impl FnMut(f64, [f64; 2]),
) -> [f64; 2] {
    let sigma = contact.relaxation();
    let rate = |t: f64, e: [f64; 2]| {
        let (sliding, rolling) = velocity(t);
        let zeta = [e[0] / sigma[0], e[1] / sigma[1]];
        let drive = driving_velocity(sliding, rolling, contact.camber_slip);
        contact.deflection_rate(zeta, drive, rolling, sigma)
    };
    let along = |e: [f64; 2], k: [f64; 2], h: f64| [e[0] + h * k[0], e[1] + h * k[1]];
    let mut e = start;
    let steps = (time / step).round() as usize;
    for i in 0..steps {
        let t = i as f64 * step;
        let k1 = rate(t, e);
        let k2 = rate(t + 0.5 * step, along(e, k1, 0.5 * step));
        let k3 = rate(t + 0.5 * step, along(e, k2, 0.5 * step));
        let k4 = rate(t + step, along(e, k3, step));
        e = [0, 1].map(|j| e[j] + step / 6.0 * (k1[j] + 2.0 * (k2[j] + k3[j]) + k4[j]));
        watch(t + step, e);
    }
    e
}

fn slip_of(contact: &TireContact<'_, f64>, e: [f64; 2]) -> [f64; 2] {
    let sigma = contact.relaxation();
    contact.contact_slip([e[0] / sigma[0], e[1] / sigma[1]], [0.0; 2])
}

/// Validation case T8 (flag M + L): K = 60 000 N/rad over 120 000 N/m is a relaxation length of 0.5
/// m; the response to a step of slip against distance travelled is 1 - exp(-x/sigma) (Pacejka,
/// *Tire and Vehicle Dynamics*, 2012, ch. 7; Loeb, Guenther, Chen and Ellis, SAE 900129, 1990),
/// whatever the speed. Tolerance of the case for integration in time: 1e-4.
#[test]
fn val_t8_relaxation_length() {
    let mut spec = TireSpec::typical(0.31, 4000.0);
    spec.lateral.stiffness = 60_000.0;
    spec.lateral.carcass_stiffness = 120_000.0;
    let tire = spec.at(spec.nominal_pressure).unwrap();
    let contact = tire.contact(4000.0, 0.0, 1.0);
    assert!((contact.relaxation()[1] - 0.5).abs() < 1e-12);
    // The linear limit: a slip far below the peak.
    let alpha = 1e-3;
    for speed in [15.0, 3.0, -15.0] {
        let mut fractions = Vec::new();
        let speed_abs = f64::abs(speed);
        let step = 0.5 / speed_abs / 200.0;
        integrate(
            &contact,
            [0.0; 2],
            |_| ([0.0, -alpha * speed_abs], speed),
            1.5 / speed_abs,
            step,
            |_, e| fractions.push(slip_of(&contact, e)[1] / alpha),
        );
        for (i, want) in [(199, 0.63212), (399, 0.86466), (599, 0.95021)] {
            let got = fractions[i];
            assert!(
                (got / want - 1.0).abs() < 1e-4,
                "{got} against {want} at {speed} m/s"
            );
        }
    }
}

/// The harmonic response of the same case: gain 0.98625 and phase -9.512 deg at 0.8 Hz, -45 deg at
/// 4.7746 Hz, at 15 m/s.
#[test]
fn val_t8_harmonic_response() {
    let mut spec = TireSpec::typical(0.31, 4000.0);
    spec.lateral.stiffness = 60_000.0;
    spec.lateral.carcass_stiffness = 120_000.0;
    let tire = spec.at(spec.nominal_pressure).unwrap();
    let contact = tire.contact(4000.0, 0.0, 1.0);
    for (hertz, gain, phase) in [(0.8, 0.98625, -9.512), (4.7746, 0.5f64.sqrt(), -45.0)] {
        let omega = std::f64::consts::TAU * hertz;
        let period = 1.0 / hertz;
        let step = period / 2000.0;
        let (mut cosine, mut sine) = (0.0, 0.0);
        integrate(
            &contact,
            [0.0; 2],
            |t| ([0.0, -15.0 * 1e-3 * (omega * t).sin()], 15.0),
            6.0 * period,
            step,
            |t, e| {
                // Fourier coefficients of the last period.
                if t > 5.0 * period + 0.5 * step {
                    let s = slip_of(&contact, e)[1] / 1e-3;
                    sine += s * (omega * t).sin() / 1000.0;
                    cosine += s * (omega * t).cos() / 1000.0;
                }
            },
        );
        let (got_gain, got_phase) = (sine.hypot(cosine), cosine.atan2(sine).to_degrees());
        assert!(
            (got_gain / gain - 1.0).abs() < 1e-4,
            "{got_gain} against {gain}"
        );
        assert!(
            (got_phase - phase).abs() < 1e-3 * phase.abs(),
            "{got_phase} against {phase}"
        );
    }
}

/// Steady state is the slip of the velocities exactly, with camber, forward and backward, from
/// small slip to deep sliding.
#[test]
fn law_steady_state_is_exact() {
    let tire = tire();
    for gamma in [0.0, 0.1, -0.05] {
        let contact = tire.contact(3500.0, gamma, 0.9);
        for (sliding, rolling) in [
            ([0.02, -0.05], 10.0),
            ([0.5, 1.0], 10.0),
            ([-6.0, 2.0], 10.0),
            ([3.0, -3.0], -5.0),
            ([-0.1, 0.4], -5.0),
            ([9.0, 1.0], 1.0),
            // A burnout: the car stands, the wheel turns.
            ([-10.0, 0.0], 10.0),
        ] {
            let e = integrate(
                &contact,
                [0.01, -0.01],
                |_| (sliding, rolling),
                20.0,
                5e-4,
                |_, _| (),
            );
            let got = slip_of(&contact, e);
            let speed = f64::abs(rolling);
            let want = [
                -sliding[0] / speed,
                -sliding[1] / speed + contact.camber_slip,
            ];
            for i in 0..2 {
                assert!(
                    (got[i] - want[i]).abs() < 1e-9 * (1.0 + want[i].abs()),
                    "{got:?} against {want:?}"
                );
            }
        }
    }
}

/// A locked wheel slides with the force of full sliding, against the sliding velocity.
#[test]
fn law_locked_wheel_slides() {
    let tire = tire();
    let contact = tire.contact(4000.0, 0.0, 1.0);
    let e = integrate(
        &contact,
        [0.0; 2],
        |_| ([8.0, 6.0], 0.0),
        2.0,
        5e-4,
        |_, _| (),
    );
    let force = contact.force(slip_of(&contact, e), 0.0);
    // The half axes of sliding friction; the force is opposite to the sliding, (0.8, 0.6).
    let sliding = |c: f64| (std::f64::consts::FRAC_PI_2 * c).sin();
    let axes = [
        contact.peak[0] * sliding(1.65),
        contact.peak[1] * sliding(1.30),
    ];
    let size = 1.0 / (0.8 / axes[0]).hypot(0.6 / axes[1]);
    let want = [-0.8 * size, -0.6 * size];
    assert!(
        (force.fx / want[0] - 1.0).abs() < 2e-3,
        "{} {}",
        force.fx,
        want[0]
    );
    assert!(
        (force.fy / want[1] - 1.0).abs() < 2e-3,
        "{} {}",
        force.fy,
        want[1]
    );
    // From standstill with the same wheel, the memory forgets the old direction within the belt's
    // time constant.
    let back = integrate(&contact, e, |_| ([-8.0, -6.0], 0.0), 0.02, 1e-4, |_, _| ());
    assert!(contact.force(slip_of(&contact, back), 0.0).fx > 0.9 * want[0].abs());
}

/// On a standing wheel the carcass is a spring of its stiffness: against k e on the initial slope,
/// and within a tenth of the peak of it up to 0.9 of the peak. It holds without creep, and camber
/// alone makes no force.
#[test]
fn law_standstill_spring() {
    let tire = tire();
    let contact = tire.contact(4000.0, 0.05, 1.0);
    for (i, k) in [tire.x.carcass_stiffness, tire.y.carcass_stiffness]
        .into_iter()
        .enumerate()
    {
        let largest = contact.peak[i] / k;
        let push = |share: f64| {
            // A slow push over one second, then a minute of rest.
            let mut sliding = [0.0; 2];
            sliding[i] = -share * largest;
            let e = integrate(
                &contact,
                [0.0; 2],
                |t| (if t < 1.0 - 1e-9 { sliding } else { [0.0; 2] }, 0.0),
                61.0,
                1e-2,
                |_, _| (),
            );
            let f = contact.force(slip_of(&contact, e), 0.0);
            [f.fx, f.fy][i]
        };
        let small = push(0.01);
        assert!(
            (small / (0.01 * contact.peak[i]) - 1.0).abs() < 2e-3,
            "{small}"
        );
        for share in [0.3, 0.5, 0.7, 0.9] {
            let force = push(share) / contact.peak[i];
            assert!(
                (force - share).abs() < 0.1,
                "direction {i}: {force} at {share}"
            );
        }
    }
    let rest = integrate(
        &contact,
        [0.0; 2],
        |_| ([0.0; 2], 0.0),
        10.0,
        1e-2,
        |_, _| (),
    );
    assert_eq!(rest, [0.0; 2]);
    let rolling = integrate(
        &contact,
        [0.0; 2],
        |_| ([0.0; 2], 1.0),
        10.0,
        1e-2,
        |_, _| (),
    );
    assert!(contact.force(slip_of(&contact, rolling), 1.0).fy < -50.0);
}

/// The largest elastic utilization of a wheel thrown about at up to 40 m/s, and the smallest D/k.
fn thrown_about(seed: f64, step: f64) -> (f64, f64) {
    let tire = tire();
    let contact = tire.contact(
        300.0 + 200.0 * seed,
        0.01 * (seed - 20.0),
        0.2 + 0.03 * seed,
    );
    let sigma = contact.relaxation();
    let velocity = |t: f64| {
        let sliding = [
            (7.3 * t + seed).sin() * seed,
            (4.1 * t + 2.0 * seed).cos() * (40.0 - seed),
        ];
        (sliding, 20.0 * (1.7 * t + 0.3 * seed).sin())
    };
    let mut reached = 0.0f64;
    integrate(&contact, [0.0; 2], velocity, 1.0, step, |_, e| {
        for i in 0..2 {
            reached = reached.max((e[i] / sigma[i] * contact.elastic[i]).abs());
        }
    });
    let reach = [0, 1].map(|i| sigma[i] / contact.elastic[i]);
    (reached, reach[0].min(reach[1]))
}

/// The elastic force never exceeds the friction limit, along or across, however the wheel is thrown
/// about.
#[test]
fn law_memory_is_bounded() {
    let mut reached = 0.0f64;
    for seed in 1..40u8 {
        let (z, _) = thrown_about(f64::from(seed), 1e-5);
        reached = reached.max(z);
        assert!(z < 1.0 + 1e-4, "{z}");
    }
    assert!(reached > 0.99, "the bound was never approached: {reached}");
}

/// Steps too long to resolve such motions overshoot by at most the sliding distance of one step.
#[test]
fn long_steps_stay_bounded() {
    for step in [1e-3, 2e-3, 4e-3] {
        for seed in 1..40u8 {
            let (z, reach) = thrown_about(f64::from(seed), step);
            assert!(z < 1.0 + 57.0 * step / reach, "{z} at steps of {step} s");
        }
    }
}

/// A car that stops with locked wheels gets back no more energy than the carcass holds: the mass
/// comes back at less than D/k times its frequency on the carcass.
#[test]
fn law_stop_returns_little_energy() {
    let tire = tire();
    let contact = tire.contact(4000.0, 0.0, 1.0);
    let sigma = contact.relaxation();
    let mass = 4000.0 / 9.80665;
    let rate = |y: [f64; 2]| {
        let zeta = [y[1] / sigma[0], 0.0];
        let drive = driving_velocity([y[0], 0.0], 0.0, 0.0);
        let e = contact.deflection_rate(zeta, drive, 0.0, sigma);
        [
            contact.force(contact.contact_slip(zeta, [0.0; 2]), 0.0).fx / mass,
            e[0],
        ]
    };
    let mut y = [10.0, 0.0];
    let h = 2e-4;
    let mut back = 0.0f64;
    for _ in 0..20_000 {
        let k1 = rate(y);
        let k2 = rate([y[0] + 0.5 * h * k1[0], y[1] + 0.5 * h * k1[1]]);
        let k3 = rate([y[0] + 0.5 * h * k2[0], y[1] + 0.5 * h * k2[1]]);
        let k4 = rate([y[0] + h * k3[0], y[1] + h * k3[1]]);
        y = [0, 1].map(|j| y[j] + h / 6.0 * (k1[j] + 2.0 * (k2[j] + k3[j]) + k4[j]));
        back = back.min(y[0]);
    }
    let spring = contact.peak[0] / (tire.x.carcass_stiffness * mass).sqrt();
    assert!(back < -0.1 * spring, "it did not rock: {back}");
    assert!(back > -1.1 * spring, "{back} against {spring}");
}

/// Damping in the carcass adds its force at standstill and changes no steady state.
#[test]
fn law_carcass_damping() {
    let mut spec = TireSpec::typical(0.31, 4000.0);
    spec.carcass_damping_time = 3e-3;
    let tire = spec.at(spec.nominal_pressure).unwrap();
    let contact = tire.contact(4000.0, 0.0, 1.0);
    let sigma = contact.relaxation();
    let rate = 1e-3;
    let slip = contact.contact_slip([0.0; 2], [0.0, rate / sigma[1]]);
    let want = spec.lateral.carcass_stiffness * spec.carcass_damping_time * rate;
    let got = contact.force(slip, 0.0).fy;
    assert!((got / want - 1.0).abs() < 1e-6, "{got} against {want}");
}

/// The decay rate of a small disturbance of the lateral memory about a steady state of pure slip,
/// by exact derivatives. [1/s]
fn decay(zeta: f64, drive: f64, rolling: f64) -> f64 {
    let tire: Tire<Dual<f64, 1>> = tire().lift(&mut Dual::constant);
    let contact = tire.contact(
        Dual::constant(4000.0),
        Dual::constant(0.0),
        Dual::constant(1.0),
    );
    let sigma = contact.relaxation();
    let rate = contact.deflection_rate(
        [Dual::constant(0.0), Dual::variable(zeta, 0)],
        [Dual::constant(0.0), Dual::constant(drive)],
        Dual::constant(rolling),
        sigma,
    );
    assert!(
        rate[1].re.abs() < 1e-9 * drive.abs(),
        "not steady: {}",
        rate[1].re
    );
    -rate[1].d[0] / sigma[1].re
}

/// The lag shortens with slip by (1 - z^6)/(1 + 5 z^6) while rolling slowly enough for the belt's
/// time not to matter, and a contact that slides fast forgets no faster than in 2 ms.
#[test]
fn law_lag_against_slip() {
    let tire = tire();
    let contact = tire.contact(4000.0, 0.0, 1.0);
    let (sigma, elastic) = (contact.relaxation()[1], contact.elastic[1]);
    let v = 1e-3;
    for z in [0.01f64, 0.5, 0.8, 0.95] {
        let zeta = z / elastic;
        let slip = zeta / (1.0 - z.powi(6));
        let got = v / decay(zeta, slip * v, v);
        let want = sigma * (1.0 - z.powi(6)) / (1.0 + 5.0 * z.powi(6));
        assert!(
            (got / want - 1.0).abs() < 1e-3,
            "{got} against {want} at {z}"
        );
    }
    for speed in [30.0, 300.0] {
        let rate = decay(1.0 / elastic, speed, 0.0);
        let want = 1.0 / (2e-3 + sigma / (6.0 * speed * elastic));
        assert!(
            (rate / want - 1.0).abs() < 1e-6 && rate < 500.0,
            "{rate} against {want}"
        );
    }
}

/// The smallest relaxation length holds on a lifted wheel, and the stiffness takes over above it.
#[test]
fn relaxation_floor() {
    let spec = TireSpec::typical(0.31, 4000.0);
    let tire = tire();
    let lifted = tire.contact(0.0, 0.0, 1.0);
    for sigma in lifted.relaxation() {
        assert!((sigma - spec.relaxation_floor).abs() < 1e-12);
    }
    let loaded = tire.contact(4000.0, 0.0, 1.0);
    let want = spec.lateral.stiffness / spec.lateral.carcass_stiffness;
    assert!((loaded.relaxation()[1] - want).abs() < 1e-12 && want > spec.relaxation_floor);
    let e = integrate(
        &lifted,
        [0.01, 0.02],
        |_| ([0.0; 2], 10.0),
        1.0,
        1e-3,
        |_, _| (),
    );
    assert!(e[0].abs() < 1e-6 && e[1].abs() < 1e-6);
}

/// Steady sliding in any direction, at any load and speed: no eigenvalue of the slip memory exceeds
/// the bound by which steps are chosen, and some come close to it, rolling and sliding.
#[test]
fn law_no_memory_is_faster_than_its_bound() {
    let tire = tire();
    let mut closest = [0.0f64; 2];
    for load in [20.0, 800.0, 4000.0, 9000.0] {
        let contact = tire.contact(load, 0.0, 1.0);
        let sigma = contact.relaxation();
        for speed in [3.0, 20.0, 45.0, 70.0] {
            let bound = tire.fastest_memory(speed);
            for along in [0.0, 0.02, 0.1, 0.5, 3.0] {
                for across in [0.0, 0.01, 0.06, 0.15, 0.6, 3.0] {
                    let sliding = [-along * speed, -across * speed];
                    let drive = driving_velocity(sliding, speed, contact.camber_slip);
                    let rate = |e: [f64; 2]| {
                        let zeta = [e[0] / sigma[0], e[1] / sigma[1]];
                        contact.deflection_rate(zeta, drive, speed, sigma)
                    };
                    let e = integrate(
                        &contact,
                        [0.0; 2],
                        |_| (sliding, speed),
                        1.0,
                        5e-4,
                        |_, _| {},
                    );
                    let step = 1e-7 * (e[0].abs() + e[1].abs() + 1e-3);
                    let by = |i: usize| {
                        let (mut a, mut b) = (e, e);
                        a[i] -= step;
                        b[i] += step;
                        let (a, b) = (rate(a), rate(b));
                        [0, 1].map(|j| (b[j] - a[j]) / (2.0 * step))
                    };
                    let ([a, c], [b, d]) = (by(0), by(1));
                    // The eigenvalue of larger magnitude of [[a, b], [c, d]].
                    let (mean, product) = (0.5 * (a + d), a * d - b * c);
                    let square = mean * mean - product;
                    let fastest = if square > 0.0 {
                        mean.abs() + square.sqrt()
                    } else {
                        product.sqrt()
                    };
                    assert!(
                        fastest < 1.001 * bound,
                        "{load} N, {speed} m/s, slip {along} and {across}: {fastest} and {bound}"
                    );
                    let slides = usize::from(along + across > 0.0);
                    closest[slides] = closest[slides].max(fastest / bound);
                }
            }
        }
    }
    assert!(closest[0] > 0.95 && closest[1] > 0.95, "{closest:?}");
}
