//! The integrators against problems with known answers.

#![expect(
    clippy::disallowed_methods,
    reason = "the platform's functions are what is compared with"
)]

use std::ops::ControlFlow::Continue;

use axletree_numerics::adaptive::{AdaptiveError, adaptive as reference, adaptive_step};
use axletree_test_support::dopri5::{Dopri5, Step, SteppingError, dopri5_stages, locate};
use axletree_test_support::rk4::rk4_run;

const MU: f64 = 0.012277471;

fn arenstorf(_: f64, s: &[f64; 4]) -> [f64; 4] {
    let [x, y, vx, vy] = *s;
    let other = 1.0 - MU;
    let d1 = ((x + MU).powi(2) + y * y).powf(1.5);
    let d2 = ((x - other).powi(2) + y * y).powf(1.5);
    [
        vx,
        vy,
        x + 2.0 * vy - other * (x + MU) / d1 - MU * (x - other) / d2,
        y - 2.0 * vx - other * y / d1 - MU * y / d2,
    ]
}

fn jacobi(s: &[f64; 4]) -> f64 {
    let [x, y, vx, vy] = *s;
    let (r1, r2) = ((x + MU).hypot(y), (x - 1.0 + MU).hypot(y));
    x * x + y * y + 2.0 * (1.0 - MU) / r1 + 2.0 * MU / r2 - vx * vx - vy * vy
}

const ORBIT: [f64; 4] = [0.994, 0.0, 0.0, -2.00158510637908252240537862224];
const PERIOD: f64 = 17.0652165601579625588917206249;

/// Hairer, Norsett, Wanner, *Solving ODEs I*, 2nd ed. 1993, section II.0, eqs. (0.1)-(0.2), from
/// memory; closed after one period (validation case N1: position error below 1e-4, Jacobi constant
/// 2.8564125202 to 1e-9 and conserved to 1e-8).
#[test]
fn val_n1_arenstorf_orbit() {
    assert!((jacobi(&ORBIT) / 2.8564125202 - 1.0).abs() < 1e-9);
    let solve = |tolerance: f64| {
        let method = Dopri5 {
            relative: tolerance,
            absolute: tolerance,
            ..Dopri5::default()
        };
        let mut drift: f64 = 0.0;
        let end = method
            .integrate(&mut arenstorf, (0.0, PERIOD), &ORBIT, &mut |step: &Step<
                4,
            >| {
                drift = drift.max((jacobi(&step.to) - jacobi(&ORBIT)).abs());
                Continue(())
            })
            .unwrap();
        let miss = (end.state[0] - ORBIT[0]).hypot(end.state[1]);
        (miss, drift, end)
    };
    let (miss, drift, end) = solve(1e-12);
    assert!(miss < 1e-4, "missed by {miss}");
    assert!(drift < 1e-8, "Jacobi constant drifted by {drift}");
    assert_eq!(end.time, PERIOD);
    assert_eq!(end.evaluations, 2 + 6 * (end.accepted + end.refused));
    // The control: a loose tolerance does not close the orbit.
    assert!(solve(1e-4).0 > 1e-4);

    // The reference integrator, through times of our choice.
    let times: Vec<f64> = (0..=40).map(|i| PERIOD * f64::from(i) / 40.0).collect();
    let states = reference(&arenstorf, &times, &ORBIT, (1e-12, 1e-12)).unwrap();
    let last = states[40];
    assert!((last[0] - ORBIT[0]).hypot(last[1]) < 1e-4);
    assert!(
        states
            .iter()
            .all(|s| (jacobi(s) - jacobi(&ORBIT)).abs() < 1e-8)
    );
}

fn kepler(_: f64, s: &[f64; 4]) -> [f64; 4] {
    let r3 = (s[0] * s[0] + s[1] * s[1]).powf(1.5);
    [s[2], s[3], -s[0] / r3, -s[1] / r3]
}

fn perihelion(e: f64) -> [f64; 4] {
    [1.0 - e, 0.0, 0.0, ((1.0 + e) / (1.0 - e)).sqrt()]
}

const AT_20: [(f64, [f64; 4]); 2] = [
    (
        0.1,
        [
            0.21988353520084,
            0.94270768463418,
            -0.97876598410582,
            0.3287977990962,
        ],
    ),
    (
        0.5,
        [
            -0.57804329530353,
            0.86338400091942,
            -0.95950837303807,
            -0.065049151267117,
        ],
    ),
];

fn distance<const N: usize>(a: &[f64; N], b: &[f64; N]) -> f64 {
    a.iter()
        .zip(b)
        .map(|(x, y)| (x - y).powi(2))
        .sum::<f64>()
        .sqrt()
}

fn rk4_error(steps: usize) -> f64 {
    let (_, x, _) = rk4_run(
        &mut kepler,
        (0.0, 20.0),
        &perihelion(0.1),
        steps,
        &mut |_, _, _, _| Continue(()),
    );
    distance(&x, &AT_20[0].1)
}

fn dopri5_error(steps: usize) -> f64 {
    let h = 20.0 / steps as f64;
    let mut x = perihelion(0.1);
    for _ in 0..steps {
        let k1 = kepler(0.0, &x);
        x = dopri5_stages(&mut kepler, 0.0, &x, &k1, h).1;
    }
    distance(&x, &AT_20[0].1)
}

/// Hull, Enright, Fellen, Sedgwick 1972, problems D1 and D3; Kepler's equation gives the exact state;
/// errors of fixed steps recomputed with SciPy (validation case N2, 1e-2 relative on errors, order
/// within 0.15).
#[test]
fn val_n2_order_of_convergence() {
    for (steps, want) in [
        (1600, 2.754958e-08),
        (3200, 1.570408e-09),
        (6400, 9.340176e-11),
    ] {
        let got = rk4_error(steps);
        assert!(
            (got / want - 1.0).abs() < 1e-2,
            "RK4, {steps}: {got} for {want}"
        );
    }
    let order = (rk4_error(3200) / rk4_error(6400)).log2();
    assert!((order - 4.0).abs() < 0.15, "RK4 order {order}");
    for (steps, want) in [
        (400, 8.474015e-08),
        (800, 2.979736e-09),
        (1600, 9.631229e-11),
    ] {
        let got = dopri5_error(steps);
        assert!(
            (got / want - 1.0).abs() < 1e-2,
            "DOPRI5, {steps}: {got} for {want}"
        );
    }
    let order = (dopri5_error(800) / dopri5_error(1600)).log2();
    assert!((order - 5.0).abs() < 0.15, "DOPRI5 order {order}");
}

/// The adaptive methods on the same problems; the states to 1e-12 are from Kepler's equation (N2).
#[test]
fn val_n2_adaptive_methods() {
    for (e, want) in AT_20 {
        let method = Dopri5 {
            relative: 1e-13,
            absolute: 1e-13,
            ..Dopri5::default()
        };
        let end = method
            .integrate(&mut kepler, (0.0, 20.0), &perihelion(e), &mut |_| {
                Continue(())
            })
            .unwrap();
        assert!(distance(&end.state, &want) < 1e-10, "{e}: {:?}", end.state);
        let states = reference(&kepler, &[0.0, 7.0, 20.0], &perihelion(e), (1e-13, 1e-13)).unwrap();
        assert!(distance(&states[2], &want) < 1e-10, "{e}: {:?}", states[2]);
    }
}

/// The interpolant is of fourth order inside every step: the error at mid-step against the exact
/// orbit stays near the step's own.
#[test]
fn val_dense_output() {
    let method = Dopri5 {
        relative: 1e-8,
        absolute: 1e-8,
        ..Dopri5::default()
    };
    let exact = Dopri5 {
        relative: 1e-13,
        absolute: 1e-13,
        ..Dopri5::default()
    };
    let mut worst: f64 = 0.0;
    method
        .integrate(&mut kepler, (0.0, 5.0), &perihelion(0.5), &mut |step| {
            let t = 0.4 * step.start + 0.6 * step.end;
            let end = exact
                .integrate(&mut kepler, (0.0, t), &perihelion(0.5), &mut |_| {
                    Continue(())
                })
                .unwrap();
            worst = worst.max(distance(&step.at(t), &end.state));
            Continue(())
        })
        .unwrap();
    assert!(worst > 0.0 && worst < 1e-6, "{worst}");
}

/// Van der Pol with mu = 1: period 6.6632868593 (literature, from memory; Radau agrees to 1e-7) and
/// amplitude 2.0086197 of the limit cycle (validation case N3, 1e-6 relative).
#[test]
fn val_n3_van_der_pol_limit_cycle() {
    let mut oscillator = |_: f64, s: &[f64; 2]| [s[1], (1.0 - s[0] * s[0]) * s[1] - s[0]];
    let method = Dopri5 {
        relative: 1e-12,
        absolute: 1e-12,
        ..Dopri5::default()
    };
    let mut tops = Vec::new();
    method
        .integrate(&mut oscillator, (0.0, 60.0), &[2.0, 0.0], &mut |step| {
            // A maximum of x is where x' falls through zero.
            if let Some(event) = locate(step, &|_, s| s[1])
                && !event.rising
            {
                tops.push((event.time, event.state[0]));
            }
            Continue(())
        })
        .unwrap();
    assert!(tops.len() >= 8);
    let (a, b) = (tops[tops.len() - 2], tops[tops.len() - 1]);
    assert!(
        ((b.0 - a.0) / 6.6632868593 - 1.0).abs() < 1e-6,
        "{}",
        b.0 - a.0
    );
    assert!((b.1 / 2.0086197 - 1.0).abs() < 1e-6, "{}", b.1);
}

#[test]
fn singular_and_non_finite_rates_are_named() {
    let method = Dopri5::default();
    // x' = x^2 from 1 blows up at t = 1.
    let blown = method.integrate(
        &mut |_, x: &[f64; 1]| [x[0] * x[0]],
        (0.0, 2.0),
        &[1.0],
        &mut |_| Continue(()),
    );
    assert!(
        matches!(blown, Err(SteppingError::StepTooSmall { time, .. }) if (time - 1.0).abs() < 1e-3),
        "{blown:?}"
    );
    let undefined = |t: f64, x: &[f64; 1]| [if t > 0.5 { f64::NAN } else { -x[0] }];
    let mut own = undefined;
    let nan = method.integrate(&mut own, (0.0, 2.0), &[1.0], &mut |_| Continue(()));
    assert!(
        matches!(nan, Err(SteppingError::StepTooSmall { time, .. }) if (time - 0.5).abs() < 1e-3),
        "{nan:?}"
    );
    let nan = reference(&undefined, &[0.0, 0.2, 2.0], &[1.0], (1e-8, 1e-8));
    let want = AdaptiveError::NotFinite {
        from: 0.2,
        component: 0,
    };
    assert_eq!(nan, Err(want));
    // A wave of a thousand turns takes more than ten steps; with enough of them it is followed.
    let wave = |t: f64, _: &[f64; 1]| [6283.0 * (6283.0 * t).cos()];
    let step = |most| adaptive_step(&wave, 0.5, 1.0, &[0.0], (1e-8, 1e-8), most);
    assert_eq!(step(10), Err(AdaptiveError::StepTooSmall { from: 0.5 }));
    assert!(step(100_000).is_ok());
}

#[test]
fn stops_when_told_and_reaches_the_end_exactly() {
    let method = Dopri5::default();
    let mut seen = 0;
    let end = method
        .integrate(
            &mut |_, x: &[f64; 1]| [-x[0]],
            (0.3, 7.7),
            &[1.0],
            &mut |_| {
                seen += 1;
                if seen == 3 {
                    std::ops::ControlFlow::Break(())
                } else {
                    Continue(())
                }
            },
        )
        .unwrap();
    assert!(end.broken_off && end.accepted == 3 && end.time < 7.7);
    let (t, x, _) = rk4_run(
        &mut |_, x: &[f64; 1]| [-x[0]],
        (0.3, 7.7),
        &[1.0],
        1000,
        &mut |_, _, _, _| Continue(()),
    );
    assert_eq!(t, 7.7);
    assert!((x[0] - (-7.4f64).exp()).abs() < 1e-12);
}
