//! Preview steering against closed forms and independently computed gains.

#![expect(
    clippy::disallowed_methods,
    reason = "the platform's functions are what is compared with"
)]

use axletree_numerics::riccati::{RiccatiError, care};
use axletree_simulation::driver::{LateralCar, discretize};
use axletree_simulation::driver::{lq_preview, macadam, macadam_gains};
use axletree_test_support::near;
use axletree_test_support::single_track::{ABE, RAJAMANI, SingleTrack, modes};
use nalgebra::{DMatrix, DVector};

fn lateral(car: SingleTrack, v: f64) -> LateralCar {
    let (a, b) = car.matrices(v);
    LateralCar::from_rows(
        v,
        [[a[(0, 0)], a[(0, 1)]], [a[(1, 0)], a[(1, 1)]]],
        [b[0], b[1]],
    )
}

fn double_integrator() -> (DMatrix<f64>, DVector<f64>, DVector<f64>) {
    (
        DMatrix::from_row_slice(2, 2, &[0.0, 1.0, 0.0, 0.0]),
        DVector::from_row_slice(&[0.0, 1.0]),
        DVector::from_row_slice(&[1.0, 0.0]),
    )
}

/// MacAdam 1980 and 1981 (read in its opening page; gains derived, closed forms 10/(3 T^2) and
/// 5/(2 T); validation case D1, 1e-6).
#[test]
fn val_d1_preview_of_a_double_integrator() {
    let (a, b, c) = double_integrator();
    for preview in [0.8, 1.5] {
        let (k, ahead, path) = macadam_gains(&a, &b, &c, preview, 200);
        near("on y", k[0], 10.0 / (3.0 * preview * preview), 1e-8);
        near("on y'", k[1], 5.0 / (2.0 * preview), 1e-8);
        // Moving and shearing the road with the car changes nothing.
        let sum: f64 = path.iter().sum();
        let first: f64 = path.iter().zip(&ahead).map(|(w, t)| w * t).sum();
        near("sum", sum, k[0], 1e-12);
        near("first moment", first, k[1], 1e-12);
        let frequency = k[0].sqrt();
        near("frequency", frequency * preview, 1.8257419, 1e-6);
        near("damping", k[1] / (2.0 * frequency), 0.6846532, 1e-6);
    }
    let (k, _, _) = macadam_gains(&a, &b, &c, 0.8, 200);
    near("on y", k[0], 5.2083333, 1e-7);
}

/// MacAdam 1981 on the single-track car (computed with SciPy; validation case D2, gains 1e-5, poles
/// 1e-4).
#[test]
fn val_d2_preview_of_the_single_track_car() {
    for (car, v, preview, gains, poles) in [
        (
            RAJAMANI,
            30.0,
            1.3,
            [0.01162007, 0.004602201, 0.3477653, 0.02679868],
            [(-1.054997, 1.157365), (-6.830669, 5.027087)],
        ),
        (
            ABE,
            80.0 / 3.6,
            1.0,
            [0.03533774, 0.01074434, 0.6000331, 0.04001251],
            [(-1.361828, 1.525001), (-7.413134, 5.038689)],
        ),
    ] {
        let car = lateral(car, v);
        let driver = macadam(&car, preview, 400);
        for (got, want) in driver.state.iter().zip(gains) {
            near("gain", *got, want, 1e-5);
        }
        let sum: f64 = driver.path.iter().sum();
        near("sum of the path's weights", sum, driver.state[0], 1e-10);
        let k = DVector::from_row_slice(&driver.state);
        let closed = &car.a - &car.b * k.transpose();
        for (got, want) in modes(&closed).iter().zip(poles) {
            near("re", got.0, want.0, 1e-4);
            near("im", got.1, want.1, 1e-4);
        }
    }
}

/// Continuous LQ preview of y'' = u (closed forms; SciPy's Riccati solver; validation case D3,
/// 1e-6).
#[test]
fn val_d3_kernel_of_a_double_integrator() {
    let (a, b, c) = double_integrator();
    let table = [
        (0.0, 0.0),
        (0.25, 2.7506029),
        (0.5, 3.6239577),
        (1.0, 2.7169015),
        (1.5, 1.1558315),
        (2.0, 0.20600917),
        (3.0, -0.14496383),
    ];
    let ahead = table.map(|row| row.0);
    let (gains, kernel) = lq_kernel(&a, &b, &c, (16.0, 1.0), &ahead).unwrap();
    near("on y", gains[0], 4.0, 1e-10);
    near("on y'", gains[1], 2.8284271, 1e-8);
    assert!(kernel[0].abs() < 1e-12);
    for (got, want) in kernel.iter().zip(table).skip(1) {
        near("kernel", *got, want.1, 1e-6);
    }
}

/// Discrete LQ preview of Abe's car at 80 km/h, step 0.02 s (Sharp and Valtetsiotis 2001, from
/// memory; SciPy's Riccati solver; validation case D3: gains 1e-5, path weights 1e-4, cost 1e-5).
#[test]
fn val_d3_preview_of_the_single_track_car() {
    let car = lateral(ABE, 80.0 / 3.6);
    let driver = lq_preview(&car, 2000.0, 0.02, 1500).unwrap();
    for (got, want) in driver
        .state
        .iter()
        .zip([0.02185753, 0.008329398, 0.4765487, 0.03387041])
    {
        near("gain", *got, want, 1e-5);
    }
    for (steps, want) in [
        (1, 6.779536e-06),
        (10, 0.0001037635),
        (25, 0.0002574129),
        (50, 0.0003072751),
        (75, 0.0002077077),
        (100, 9.793769e-05),
        (150, -6.866824e-06),
    ] {
        near(
            &format!("{steps} ahead"),
            driver.path[steps - 1],
            want,
            1e-4,
        );
    }
    let sum: f64 = driver.path.iter().sum();
    near("sum", sum, 0.0218575, 1e-5);
    near("sum and gain", sum, driver.state[0], 1e-6);
    let first: f64 = driver
        .path
        .iter()
        .zip(&driver.ahead)
        .map(|(w, t)| w * t)
        .sum();
    near(
        "turning the road with the car",
        first * car.speed,
        driver.state[2],
        1e-6,
    );
    let peak = driver.path.iter().fold(0.0f64, |m, w| m.max(w.abs()));
    let last = driver
        .path
        .iter()
        .rposition(|w| w.abs() >= 0.01 * peak)
        .unwrap();
    assert!(
        (driver.ahead[last + 1] - 4.88).abs() <= 0.02,
        "{}",
        driver.ahead[last + 1]
    );

    // The cost of a step of the road, and that no other gains do better.
    let cost = |scale: f64| {
        let (a, b) = discretize(&car.a, &car.b, 0.02);
        let road = |k: usize| {
            if k as f64 * 0.02 >= 14.0 - 1e-9 {
                1.0
            } else {
                0.0
            }
        };
        let k = DVector::from_row_slice(&driver.state) * scale;
        let mut x = DVector::zeros(4);
        let mut sum = 0.0;
        for i in 0..2000 {
            let ahead: f64 = (1..=600).map(|j| driver.path[j - 1] * road(i + j)).sum();
            let u = ahead - k.dot(&x);
            sum += (x[0] - road(i)).powi(2) + 2000.0 * u * u;
            x = &a * x + &b * u;
        }
        sum
    };
    near("cost", cost(1.0), 11.00669, 1e-5);
    assert!(cost(1.02) > cost(1.0) && cost(0.98) > cost(1.0));
}

/// The continuous counterpart of `lq_gains`: least integral of `q (y - f)^2 + r u^2`. Returned are
/// the feedback gains and the kernel of the path at the times ahead,
/// `w(s) = b' exp(A_cl' s) c q/r`.
fn lq_kernel(
    a: &DMatrix<f64>,
    b: &DVector<f64>,
    c: &DVector<f64>,
    (q, r): (f64, f64),
    ahead: &[f64],
) -> Result<(DVector<f64>, Vec<f64>), RiccatiError> {
    let input = DMatrix::from_column_slice(a.nrows(), 1, b.as_slice());
    let p = care(
        a,
        &input,
        &(c * c.transpose() * q),
        &DMatrix::from_element(1, 1, r),
    )?;
    let gains = &p * b / r;
    let closed = (a - b * gains.transpose()).transpose();
    let kernel = ahead
        .iter()
        .map(|s| b.dot(&(axletree_numerics::exponential(&(&closed * *s)) * c)) * q / r)
        .collect();
    Ok((gains, kernel))
}
