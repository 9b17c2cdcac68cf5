//! Integration, linear algebra and roots for the tests.

use axletree_scalar::Real;
use axletree_vehicle::model::Inputs;
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, STATES, VELOCITY};
use axletree_vehicle::trim::{Condition, Trim};
use axletree_vehicle::{Linearization, linearize};
use axletree_vehicle::{Model, Observation};
use nalgebra::{Complex, DMatrix, DVector};

/// The classical Runge-Kutta method of fourth order, one step of `f(t, x)`.
pub fn runge_kutta<const N: usize>(
    f: &impl Fn(f64, &[f64; N]) -> [f64; N],
    t: f64,
    x: &[f64; N],
    h: f64,
) -> [f64; N] {
    let step = |k: &[f64; N], s: f64| -> [f64; N] { std::array::from_fn(|i| x[i] + s * k[i]) };
    let k1 = f(t, x);
    let k2 = f(t + h / 2.0, &step(&k1, h / 2.0));
    let k3 = f(t + h / 2.0, &step(&k2, h / 2.0));
    let k4 = f(t + h, &step(&k3, h));
    std::array::from_fn(|i| x[i] + h / 6.0 * (k1[i] + 2.0 * (k2[i] + k3[i]) + k4[i]))
}

/// Integrates a car from `start` under constant inputs and reads it at the times, which are
/// multiples of the step `h`.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count: whole, small, not negative"
)]
pub fn drive(
    model: &Model,
    start: &[f64; STATES],
    inputs: &Inputs<f64>,
    h: f64,
    times: &[f64],
) -> Vec<([f64; STATES], Observation<f64>)> {
    let mut x = *start;
    let mut done = 0u64;
    let mut seen = Vec::new();
    for time in times {
        let until = (time / h).round() as u64;
        assert!(
            (until as f64 * h - time).abs() < 1e-9,
            "{time} s, steps of {h} s"
        );
        while done < until {
            x = runge_kutta(&|_, x| model.rate(x, inputs), 0.0, &x, h);
            done += 1;
        }
        assert!(x.iter().all(|v| v.is_finite()), "not finite at {time} s");
        seen.push((x, model.observe(&x, inputs).observation));
    }
    seen
}

/// The car linearized as it rolls straight ahead. Without drag and rolling resistance that is an
/// exact equilibrium for any stiffness and mass of its parts, where a solver is limited by
/// rounding.
pub fn rolling(model: &Model, speed: f64) -> Linearization {
    let state = model.rolling_state(speed);
    let inputs = Inputs::coasting();
    let gone = model.evaluate(&state, &inputs).acceleration;
    assert!(gone.dot(gone).sqrt() < 1e-6, "not in equilibrium: {gone:?}");
    let trim = Trim {
        condition: Condition::straight(speed),
        state,
        inputs,
    };
    linearize(model, &trim)
}

/// Magnitude of a complex number.
pub fn gain(x: Complex<f64>) -> f64 {
    Real::hypot(x.re, x.im)
}

/// Angle of a complex number `[deg]`.
pub fn phase(x: Complex<f64>) -> f64 {
    Real::atan2(x.im, x.re).to_degrees()
}

/// Eigenvalues of the modes, both of each conjugate pair.
pub fn eigenvalues(lin: &Linearization) -> Vec<Complex<f64>> {
    let modes = lin.modes().expect("eigenvalues converge");
    modes
        .iter()
        .flat_map(|mode| {
            let value = Complex::new(mode.real, mode.imaginary);
            let pair = [value, value.conj()];
            pair.into_iter()
                .take(if mode.imaginary > 0.0 { 2 } else { 1 })
        })
        .collect()
}

/// The eigenvalue nearest to a guess.
pub fn nearest(values: &[Complex<f64>], guess: [f64; 2]) -> [f64; 2] {
    let guess = Complex::new(guess[0], guess[1]);
    let found = values
        .iter()
        .min_by(|a, b| {
            (**a - guess)
                .norm_sqr()
                .total_cmp(&(**b - guess).norm_sqr())
        })
        .unwrap();
    [found.re, found.im]
}

pub fn part(a: &DMatrix<f64>, rows: &[usize], columns: &[usize]) -> DMatrix<f64> {
    DMatrix::from_fn(rows.len(), columns.len(), |i, j| a[(rows[i], columns[j])])
}

/// Slow states alone, with everything else of the car at the equilibrium that the slow states and
/// the input prescribe: `A_ss - A_sf A_ff^-1 A_fs`, and the same for the column of the steering
/// wheel. Forward speed, which has no restoring force without drag, is constant.
pub fn slow_part(lin: &Linearization, slow: &[usize]) -> (DMatrix<f64>, DVector<f64>) {
    let apart = [POSITION, POSITION + 1, ATTITUDE, VELOCITY];
    let fast: Vec<usize> = (0..STATES)
        .filter(|i| !slow.contains(i) && !apart.contains(i) && !lin.resting.contains(i))
        .collect();
    let a_ff = part(&lin.a, &fast, &fast).lu();
    let a_sf = part(&lin.a, slow, &fast);
    let join = |direct: DMatrix<f64>, through: DMatrix<f64>| {
        direct
            - &a_sf
                * a_ff
                    .solve(&through)
                    .expect("fast states have an equilibrium")
    };
    let a = join(part(&lin.a, slow, slow), part(&lin.a, &fast, slow));
    let b = join(part(&lin.b, slow, &[0]), part(&lin.b, &fast, &[0]));
    (a, b.column(0).into_owned())
}

/// Steady gain of an output to the steering wheel (at a frequency so low that the dynamics enter
/// with its square, below 1e-9).
pub fn steady_gain(lin: &Linearization, output: usize) -> f64 {
    lin.steering_response(1e-6)[output].re
}

/// Right eigenvector of a real matrix by inverse iteration.
pub fn eigenvector(a: &DMatrix<f64>, value: [f64; 2]) -> DVector<Complex<f64>> {
    let n = a.nrows();
    let shift = Complex::new(value[0], value[1]) * (1.0 + 1e-9) + Complex::new(1e-9, 1e-9);
    let mut shifted = a.map(|x| Complex::new(x, 0.0));
    for i in 0..n {
        shifted[(i, i)] -= shift;
    }
    let lu = shifted.lu();
    let mut x = DVector::from_element(n, Complex::new(1.0, 0.2));
    for _ in 0..5 {
        x = lu.solve(&x).unwrap();
        let size = x.norm();
        x = x.unscale(size);
    }
    x
}

/// Root of a function by bisection between two points where its signs differ.
pub fn root(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64, accuracy: f64) -> f64 {
    let rising = f(low) < 0.0;
    assert_eq!(f(high) > 0.0, rising, "no change of sign");
    while high - low > accuracy {
        let mid = 0.5 * (low + high);
        if (f(mid) < 0.0) == rising {
            low = mid;
        } else {
            high = mid;
        }
    }
    0.5 * (low + high)
}
