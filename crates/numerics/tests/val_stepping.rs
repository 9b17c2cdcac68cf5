//! The integrators against problems with known answers.

#![expect(
    clippy::disallowed_methods,
    reason = "the platform's functions are what is compared with"
)]

use std::ops::ControlFlow::Continue;

use axletree_numerics::adaptive::{AdaptiveError, adaptive, adaptive_step};
use axletree_numerics::root::zero_between;
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
    let times: Vec<f64> = (0..=40).map(|i| PERIOD * f64::from(i) / 40.0).collect();
    let solve = |tolerance: f64| {
        let states = adaptive(&arenstorf, &times, &ORBIT, (tolerance, tolerance)).unwrap();
        let drift = |s: &[f64; 4]| (jacobi(s) - jacobi(&ORBIT)).abs();
        let last = states[40];
        let miss = (last[0] - ORBIT[0]).hypot(last[1]);
        (miss, states.iter().map(drift).fold(0.0, f64::max))
    };
    let (miss, drift) = solve(1e-12);
    assert!(miss < 1e-4, "missed by {miss}");
    assert!(drift < 1e-8, "Jacobi constant drifted by {drift}");
    // The control: a loose tolerance does not close the orbit.
    assert!(solve(1e-4).0 > 1e-4);
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

/// Hull, Enright, Fellen, Sedgwick 1972, problems D1 and D3; Kepler's equation gives the exact
/// state; errors of fixed steps recomputed with SciPy (validation case N2, 1e-2 relative on errors,
/// order within 0.15).
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
}

/// The adaptive method on the same problems; the states to 1e-12 are from Kepler's equation (N2).
/// The error falls with the tolerance.
#[test]
fn val_n2_adaptive_method() {
    for (e, want) in AT_20 {
        let error = |tolerance: f64| {
            let times = [0.0, 7.0, 20.0];
            let tolerances = (tolerance, tolerance);
            let states = adaptive(&kepler, &times, &perihelion(e), tolerances).unwrap();
            distance(&states[2], &want)
        };
        assert!(error(1e-13) < 1e-10, "{e}: {}", error(1e-13));
        assert!(error(1e-7) > 100.0 * error(1e-10), "{e}");
    }
}

/// Van der Pol with mu = 1: period 6.6632868593 (literature, from memory; Radau agrees to 1e-7) and
/// amplitude 2.0086197 of the limit cycle (validation case N3, 1e-6 relative).
#[test]
fn val_n3_van_der_pol_limit_cycle() {
    let oscillator = |_: f64, s: &[f64; 2]| [s[1], (1.0 - s[0] * s[0]) * s[1] - s[0]];
    let tolerances = (1e-12, 1e-12);
    let times: Vec<f64> = (0..=600).map(|i| 0.1 * f64::from(i)).collect();
    let states = adaptive(&oscillator, &times, &[2.0, 0.0], tolerances).unwrap();
    let mut tops = Vec::new();
    for (pair, ends) in times.windows(2).zip(states.windows(2)) {
        // A maximum of x is where x' falls through zero.
        let (before, after) = (ends[0][1], ends[1][1]);
        if before > 0.0 && after <= 0.0 {
            let at = |t: f64| {
                let span = t - pair[0];
                adaptive_step(&oscillator, pair[0], span, &ends[0], tolerances, 1000).unwrap()
            };
            let time = zero_between((pair[0], before), (pair[1], after), &|t| at(t)[1]);
            tops.push((time, at(time)[0]));
        }
    }
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
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn singular_and_non_finite_rates_are_named() {
    // x' = x^2 from 1 blows up at t = 1.
    let blown = adaptive(
        &|_, x: &[f64; 1]| [x[0] * x[0]],
        &[0.0, 0.5, 2.0],
        &[1.0],
        (1e-10, 1e-10),
    );
    assert!(
        matches!(
            blown,
            Err(AdaptiveError::StepTooSmall { from } | AdaptiveError::NotFinite { from, .. }) if from == 0.5
        ),
        "{blown:?}"
    );
    let undefined = |t: f64, x: &[f64; 1]| [if t > 0.5 { f64::NAN } else { -x[0] }];
    let nan = adaptive(&undefined, &[0.0, 0.2, 2.0], &[1.0], (1e-8, 1e-8));
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
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn the_fixed_step_reaches_the_end_exactly() {
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
