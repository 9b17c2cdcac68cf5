//! The closed-form cars that the library is compared with meet the published or independently
//! computed numbers; the metric code meets closed-form responses.

#![expect(
    clippy::disallowed_methods,
    reason = "the platform's functions are an independent route"
)]

use axletree_numerics::adaptive::adaptive;
use axletree_simulation::metrics::History;
use axletree_simulation::metrics::{SteadyWindow, StepResponse, steer_times, step_response};
use axletree_test_support::single_track::{ABE, RAJAMANI, SingleTrack, modes, response};
use axletree_test_support::three_dof::Y7;
use axletree_test_support::{close, near};
use nalgebra::{DMatrix, DVector};

const G: f64 = 9.80665;

/// After Rajamani 2012, sections 2.3 and 2.5 (inputs from memory, numbers recomputed; case Y1).
#[test]
fn val_y1_single_track_matrices() {
    let (a, b) = RAJAMANI.matrices(30.0);
    for (what, got, want) in [
        ("A11", a[(0, 0)], -6.7810977),
        ("A12", a[(0, 1)], -28.372537),
        ("A21", a[(1, 0)], 0.89105465),
        ("A22", a[(1, 1)], -6.880427),
        ("B1", b[0], 101.71647),
        ("B2", b[1], 61.260007),
        ("K", RAJAMANI.understeer(), 0.0017608209),
        (
            "K deg/g",
            RAJAMANI.understeer().to_degrees() * G,
            0.98936944,
        ),
    ] {
        near(what, got, want, 1e-7);
    }
}

/// After Abe, ch. 3 and Pacejka, ch. 1 (from memory; NumPy eigenvalues; case Y2).
#[test]
fn val_y2_modes_against_speed() {
    for (car, v, frequency, damping) in [
        (RAJAMANI, 10.0, 20.822868, 0.98412413),
        (RAJAMANI, 20.0, 11.333432, 0.90406359),
        (RAJAMANI, 40.0, 7.2222158, 0.70934902),
        (ABE, 10.0, 16.88218, 0.97574287),
        (ABE, 30.0, 7.5440042, 0.72784806),
        (ABE, 40.0, 6.6661833, 0.61776979),
    ] {
        let (re, im) = modes(&car.matrices(v).0)[0];
        near("frequency", re.hypot(im), frequency, 1e-6);
        near("damping", -re / re.hypot(im), damping, 1e-6);
    }
}

/// With relaxation lengths (Pacejka ch. 1 and 7; SAE 910235, from memory; case Y6).
#[test]
fn val_y6_relaxation_length() {
    let (a, b) = RAJAMANI.with_lag(30.0, 0.5);
    let m = modes(&a);
    near("re", m[0].0, -7.3885266, 1e-6);
    near("im", m[0].1, 6.2335949, 1e-6);
    near("re", m[1].0, -52.611473, 1e-6);
    let (gain, phase) = response(&a, &b, &[0.0, 1.0, 0.0, 0.0], 0.0, 1.0);
    near("gain", gain, 7.2059407, 1e-6);
    near("phase", phase, -33.864105, 1e-6);
}

/// With roll (form of Segel 1956-57, inputs invented, SciPy; case Y7).
#[test]
fn val_y7_three_degrees_of_freedom() {
    let (a, b) = Y7.matrices(25.0);
    let m = modes(&a);
    near("roll re", m[0].0, -2.7369791, 1e-6);
    near("roll im", m[0].1, 7.6973543, 1e-6);
    near("yaw re", m[1].0, -8.7695988, 1e-6);
    near("yaw im", m[1].1, 5.906281, 1e-6);
    let steady = a.clone().lu().solve(&-&b).unwrap();
    near("v_y", steady[0], -6.1689262, 1e-6);
    near("r", steady[1], 4.9584635, 1e-6);
    near("phi", steady[2], 1.343743, 1e-6);
    let (gain, phase) = response(&a, &b, &[0.0, 0.0, 1.0, 0.0], 0.0, 2.0);
    near("gain", gain, 0.35254371, 1e-6);
    near("phase", phase, -135.55384, 1e-6);
}

/// Integrates x' = A x + B u(t) through the given times with a ramp of the steer that ends on one
/// of them.
fn ramp(
    (a, b): &(DMatrix<f64>, DVector<f64>),
    steer: f64,
    rise: f64,
    times: &[f64],
) -> Vec<[f64; 2]> {
    let u = |t: f64| {
        if rise > 0.0 {
            steer * (t / rise).min(1.0)
        } else {
            steer
        }
    };
    let rate = |t: f64, x: &[f64; 2]| {
        [
            a[(0, 0)] * x[0] + a[(0, 1)] * x[1] + b[0] * u(t),
            a[(1, 0)] * x[0] + a[(1, 1)] * x[1] + b[1] * u(t),
        ]
    };
    adaptive(&rate, times, &[0.0, 0.0], (1e-12, 1e-13)).unwrap()
}

/// Step responses (SciPy matrix exponential; case Y3), through the library's adaptive integrator.
#[test]
fn val_y3_step_response() {
    let one = 1f64.to_radians();
    for (car, v, table) in [
        (
            RAJAMANI,
            30.0,
            [
                (0.05, 0.04441307, 0.046370262, 1.5495838),
                (0.2, -0.067700054, 0.1158773, 2.422954),
                (0.5, -0.24517524, 0.12692469, 3.6444098),
                (2.0, -0.25189516, 0.12277402, 3.6832231),
            ],
        ),
        (
            ABE,
            80.0 / 3.6,
            [
                (0.05, 0.037049816, 0.036127625, 1.1012162),
                (0.2, -0.0019225925, 0.087587618, 1.4797356),
                (0.5, -0.081258995, 0.095182548, 2.043334),
                (2.0, -0.084975743, 0.092883723, 2.0640831),
            ],
        ),
    ] {
        let matrices = car.matrices(v);
        let times: Vec<f64> = [0.0].into_iter().chain(table.map(|row| row.0)).collect();
        let states = ramp(&matrices, one, 0.0, &times);
        for (row, x) in table.iter().zip(&states[1..]) {
            let (a, b) = &matrices;
            let vy_rate = a[(0, 0)] * x[0] + a[(0, 1)] * x[1] + b[0] * one;
            near("v_y", x[0], row.1, 1e-6);
            near("r", x[1], row.2, 1e-6);
            near("a_y", vy_rate + v * x[1], row.3, 1e-6);
        }
    }
}

/// Frequency response (python-control; case Y5) of the closed form.
#[test]
fn val_y5_frequency_response() {
    let (a, b) = RAJAMANI.matrices(30.0);
    let (gain, phase) = response(&a, &b, &[0.0, 1.0], 0.0, 1.0);
    near("gain", gain, 6.928116, 1e-6);
    near("phase", phase, -32.028361, 1e-6);
    // a_y = v_y' + V r.
    let (gain, phase) = response(&a, &b, &[a[(0, 0)], a[(0, 1)] + 30.0], b[0], 2.0);
    near("gain", gain, 52.531079, 1e-6);
    near("phase", phase, -21.590243, 1e-6);
}

struct Y4 {
    car: SingleTrack,
    kmh: f64,
    steer_deg: f64,
    yaw: [f64; 3],
    lateral: [f64; 3],
    sideslip_deg: f64,
    tb_deg: f64,
}

const Y4: [Y4; 4] = [
    Y4 {
        car: RAJAMANI,
        kmh: 80.0,
        steer_deg: 1.6473272,
        yaw: [0.1871684, 0.4040434, 0.01168729],
        lateral: [0.3093266, 0.7149227, 0.001118416],
        sideslip_deg: -0.1915317,
        tb_deg: 0.07738711,
    },
    Y4 {
        car: RAJAMANI,
        kmh: 100.0,
        steer_deg: 1.1995676,
        yaw: [0.185038, 0.3798666, 0.03605365],
        lateral: [0.3472604, 0.6867123, 0.00514179],
        sideslip_deg: -0.4555094,
        tb_deg: 0.1730328,
    },
    Y4 {
        car: ABE,
        kmh: 80.0,
        steer_deg: 1.9379072,
        yaw: [0.1810945, 0.3723254, 0.0379946],
        lateral: [0.3361992, 0.6885586, 0.004465489],
        sideslip_deg: -0.4245829,
        tb_deg: 0.158083,
    },
    Y4 {
        car: ABE,
        kmh: 100.0,
        steer_deg: 1.4868061,
        yaw: [0.1672522, 0.3524463, 0.09257157],
        lateral: [0.3601938, 0.6612136, 0.01484223],
        sideslip_deg: -0.6919021,
        tb_deg: 0.2438583,
    },
];

/// ISO 7401 step-steer measures of the linear car (definitions from memory, numbers with SciPy;
/// case Y4: times and overshoots to 1e-4, sideslip and TB factor to 1e-3 relative), by the metric
/// code on histories sampled every 4 ms.
#[test]
fn val_y4_step_steer_measures() {
    let mut dips = 0;
    for case in Y4 {
        let v = case.kmh / 3.6;
        let matrices = case.car.matrices(v);
        let [_, gain] = case.car.steady(v);
        let steer = 4.0 / (gain * v);
        near("steer", steer.to_degrees(), case.steer_deg, 1e-6);

        let rise = 0.1;
        let times: Vec<f64> = (0..=1000).map(|i| 0.004 * f64::from(i)).collect();
        let states = ramp(&matrices, steer, rise, &times);
        let u: Vec<f64> = times.iter().map(|t| steer * (t / rise).min(1.0)).collect();
        let (a, b) = &matrices;
        let yaw: Vec<f64> = states.iter().map(|x| x[1]).collect();
        let lateral: Vec<f64> = states
            .iter()
            .zip(&u)
            .map(|(x, u)| a[(0, 0)] * x[0] + a[(0, 1)] * x[1] + b[0] * u + v * x[1])
            .collect();
        let sideslip: Vec<f64> = states.iter().map(|x| x[0] / v).collect();

        let (zero, rest) = steer_times(History::new(&times, &u)).unwrap();
        close("time zero", zero, 0.05, 1e-12);
        close("rest", rest, 0.1, 1e-12);
        let window = SteadyWindow { from: 3.0, to: 4.0 };
        let measure =
            |values: &[f64]| step_response(History::new(&times, values), zero, rest, window, 1e-6);
        let check = |what: &str, got: StepResponse, want: [f64; 3]| {
            close(
                &format!("{what} response"),
                got.response_time,
                want[0],
                1e-4,
            );
            close(
                &format!("{what} peak"),
                got.peak_response_time,
                want[1],
                1e-4,
            );
            close(&format!("{what} overshoot"), got.overshoot, want[2], 1e-4);
        };
        check("yaw rate", measure(&yaw), case.yaw);
        check("lateral acceleration", measure(&lateral), case.lateral);
        near("a_y", measure(&lateral).steady, 4.0, 1e-5);
        let slip = measure(&sideslip).steady.to_degrees();
        near("sideslip", slip, case.sideslip_deg, 1e-3);
        near(
            "TB",
            measure(&yaw).peak_response_time * slip.abs(),
            case.tb_deg,
            1e-3,
        );
        let at_kink = lateral[25];
        dips += usize::from(at_kink > lateral[24] && at_kink > lateral[26]);
    }
    // The trap of the case: the kink of a_y at the end of the ramp is a local maximum.
    assert!(dips > 0);
}
