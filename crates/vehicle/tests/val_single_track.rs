//! The full car against the single-track model: matrices, modes, gains, step and frequency
//! response.
//!
//! Flags of the sources: M recalled from memory and recomputed, P read, L computed with a
//! general-purpose library (NumPy, SciPy, python-control). The inputs are those of the validation
//! cases; that the books print exactly them is not claimed.

mod closed_forms;

use axletree_vehicle::Model;
use axletree_vehicle::model::Inputs;
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, RATE, VELOCITY};
use axletree_vehicle::trim::{Condition, solve};
use axletree_vehicle::{Linearization, linearize};
use closed_forms::limit::{assert_close, assert_limit};
use closed_forms::numeric::{
    drive, eigenvalues, gain, nearest, phase, root, slow_part, steady_gain,
};
use closed_forms::textbook::{ABE, RAJAMANI, SingleTrack};
use closed_forms::{DEGREE, FOOT, G, INCH, POUND};
use nalgebra::DMatrix;

/// Outputs of a linearization.
const SIDESLIP: usize = 2;
const YAW_RATE: usize = 3;
const LATERAL: usize = 5;
const LATERAL_VELOCITY: usize = 1;

/// The two states of the single track.
const TWO: [usize; 2] = [VELOCITY + 1, RATE + 2];

fn straight(model: &Model, speed: f64) -> Linearization {
    let trim = solve(model, Condition::straight(speed)).unwrap();
    linearize(model, &trim)
}

/// The single-track matrices inside the full car: everything but lateral velocity and yaw rate at
/// the equilibrium that those two prescribe. No limit is needed: roll and lags only add dynamics.
fn two_states(car: &SingleTrack, speed: f64) -> (DMatrix<f64>, [f64; 2]) {
    let (a, b) = slow_part(&straight(&car.case(1.0).model(), speed), &TWO);
    (a, [b[0], b[1]])
}

/// Natural frequency `[rad/s]` and damping ratio of a two-state matrix.
fn frequency_and_damping(a: &DMatrix<f64>) -> [f64; 2] {
    let frequency = a.determinant().sqrt();
    [frequency, -a.trace() / (2.0 * frequency)]
}

/// Case Y1: Rajamani 2012, sections 2.3 and 2.5. Flag M. Tolerance of the case, 1e-6: the same
/// equations once the rest of the car is in equilibrium.
#[test]
fn val_y1_matrices() {
    let speed = 30.0;
    let expected = [-6.7810977, -28.372537, 0.89105465, -6.880427];
    let (a, b) = two_states(&RAJAMANI, speed);
    let found = [a[(0, 0)], a[(0, 1)], a[(1, 0)], a[(1, 1)]];
    assert_close("Y1 A", &found, &expected, 1e-6);
    assert_close("Y1 B", &b, &[101.71647, 61.260007], 1e-6);

    // Path-error form: the lateral position's rate is v_y + V yaw, and the heading is a state.
    let four = [POSITION + 1, VELOCITY + 1, ATTITUDE, RATE + 2];
    let lin = straight(&RAJAMANI.case(1.0).model(), speed);
    let (two, _) = slow_part(&lin, &TWO);
    // Rows of position and heading as the library has them, rows of the speeds as reduced.
    let mut a = DMatrix::from_fn(4, 4, |i, j| lin.a[(four[i], four[j])]);
    for (i, row) in [1, 3].into_iter().enumerate() {
        a[(row, 0)] = 0.0;
        a[(row, 2)] = 0.0;
        for (j, column) in [1, 3].into_iter().enumerate() {
            a[(row, column)] = two[(i, j)];
        }
    }
    let mut t = DMatrix::identity(4, 4);
    t[(1, 2)] = lin.a[(POSITION + 1, ATTITUDE)];
    let error_form = &t * a * t.clone().try_inverse().unwrap();
    let found = [error_form[(1, 2)], error_form[(1, 3)], error_form[(3, 2)]];
    assert_close(
        "Y1 error form",
        &found,
        &[203.43293, 1.6274634, -26.731639],
        1e-6,
    );
    let values = error_form.complex_eigenvalues();
    let zeros = values.iter().filter(|v| gain(**v) < 1e-6).count();
    assert_eq!(zeros, 2, "{values}");
    let rest: Vec<_> = values.iter().copied().collect();
    let pair = nearest(&rest, [-6.8, 5.0]);
    assert_close(
        "Y1 error form, eigenvalue",
        &pair,
        &[-6.8307623, 5.027824],
        1e-6,
    );

    // The control: one percent of front stiffness shows.
    let mut other = RAJAMANI;
    other.stiffness[0] *= 1.01;
    let (a, _) = two_states(&other, speed);
    assert!((a[(0, 0)] / expected[0] - 1.0).abs() > 1e-3);
}

/// Case Y1: the understeer gradient, by the linearized car and on the static sheet. Flag M.
#[test]
fn val_y1_understeer_gradient() {
    let speed = 30.0;
    let model = RAJAMANI.case(1.0).model();
    let gain = steady_gain(&straight(&model, speed), LATERAL);
    let gradient = 1.0 / gain - RAJAMANI.wheelbase() / (speed * speed);
    assert_close("Y1 K", &[gradient], &[0.0017608209], 1e-6);
    assert_close(
        "Y1 K in deg/g",
        &[gradient * G / DEGREE],
        &[0.98936944],
        1e-6,
    );
    let characteristic = (RAJAMANI.wheelbase() / gradient).sqrt();
    assert_close(
        "Y1 characteristic speed",
        &[characteristic],
        &[39.013041],
        1e-6,
    );

    // The sheet reads it between 0.5 and 1 m/s^2 on circles of 800 and 400 m, where it is no longer
    // linear: front wheels steered in parallel meet different slips (by 0.2 % here, half the track
    // over the radius), and the wheel that carries more load counts more (by 7 %). The product of
    // both, over the share of K in the steer, is 7e-4; without height there is no load transfer,
    // and the squares of the angles (0.01 rad) remain, 1e-4.
    let on_sheet = |slip: f64, sprung_height: f64| {
        let mut case = RAJAMANI.case(1.0);
        case.sprung_height = sprung_height;
        case.ends.iter_mut().for_each(|end| end.slip = slip);
        let sheet = case.model().static_sheet().unwrap();
        sheet.get("understeer_gradient").unwrap() / 0.0017608209 - 1.0
    };
    let level = -80.0 * 0.3 / 1493.0;
    let (high, low) = (on_sheet(1e6, 0.5), on_sheet(1e6, level));
    assert!(low.abs() < 1e-4 && high.abs() < 1e-3, "{low} {high}");
    // The control: soft along, the drive that holds the speed slips and counts.
    assert!(on_sheet(1e3, 0.5).abs() > 1e-2);
}

/// Case Y2: eigenvalues over speed. Abe ch. 3, Pacejka ch. 1; flags M, L (NumPy). The full car's
/// own yaw-sideslip mode tends to it as springs stiffen and relaxation shortens; 1e-5 after
/// removing the first order of a difference below 3 %.
#[test]
fn val_y2_modes_over_speed() {
    let cases = [
        (
            RAJAMANI,
            10.0,
            [20.822868, 0.98412413],
            [-20.492287, 3.6956746],
        ),
        (
            RAJAMANI,
            20.0,
            [11.333432, 0.90406359],
            [-10.246143, 4.8438861],
        ),
        (
            RAJAMANI,
            30.0,
            [8.4816465, 0.80535805],
            [-6.8307623, 5.027824],
        ),
        (
            RAJAMANI,
            40.0,
            [7.2222158, 0.70934902],
            [-5.1230717, 5.0906323],
        ),
        (ABE, 10.0, [16.88218, 0.97574287], [-16.472667, 3.6958426]),
        (ABE, 20.0, [9.620395, 0.85613255], [-8.2363333, 4.9713995]),
        (ABE, 30.0, [7.5440042, 0.72784806], [-5.4908889, 5.1732136]),
        (ABE, 40.0, [6.6661833, 0.61776979], [-4.1181667, 5.2420133]),
    ];
    for (car, speed, closed, value) in cases {
        let (a, _) = two_states(&car, speed);
        let what = format!("Y2 at {speed} m/s");
        assert_close(&what, &frequency_and_damping(&a), &closed, 1e-6);
        assert_limit(&what, &value, &[8.0, 32.0, 128.0], 1e-5, |scale| {
            let lin = straight(&car.case(scale).model(), speed);
            nearest(&eigenvalues(&lin), value).to_vec()
        });
        // The library names it so.
        let lin = straight(&car.case(100.0).model(), speed);
        let modes = lin.modes().unwrap();
        let mode = modes
            .iter()
            .find(|m| m.name == "yaw and sideslip")
            .unwrap_or_else(|| panic!("{what}: {modes:?}"));
        assert_close(&what, &[mode.damping_ratio], &[closed[1]], 5e-3);
    }
}

/// Case Y3: step response, closed form of a second-order system. Abe ch. 3; flags M, L (SciPy's
/// matrix exponential). The car is integrated through `Model::rate` after a step of 0.001 deg,
/// small enough that the response is linear (squares of the angles, 1e-9), and scaled to
/// the case's 1 deg.
#[test]
fn val_y3_step_response() {
    let times = [0.05, 0.1, 0.2, 0.3, 0.5, 1.0, 2.0];
    let cases = [
        (
            "Y3 after Rajamani",
            RAJAMANI,
            30.0,
            vec![
                [0.04441307, 0.046370262, 1.5495838],
                [0.028802901, 0.079599163, 1.7095167],
                [-0.067700054, 0.1158773, 2.422954],
                [-0.16046344, 0.12768293, 3.0712048],
                [-0.24517524, 0.12692469, 3.6444098],
                [-0.25252395, 0.12268572, 3.6873433],
                [-0.25189516, 0.12277402, 3.6832231],
            ],
        ),
        (
            "Y3 after Abe",
            ABE,
            80.0 / 3.6,
            vec![
                [0.037049816, 0.036127625, 1.1012162],
                [0.037676371, 0.061262745, 1.1504308],
                [-0.0019225925, 0.087587618, 1.4797356],
                [-0.043520967, 0.095644218, 1.783925],
                [-0.081258995, 0.095182548, 2.043334],
                [-0.085175447, 0.092847894, 2.0653847],
                [-0.084975743, 0.092883723, 2.0640831],
            ],
        ),
    ];
    for (what, car, speed, rows) in cases {
        let expected: Vec<f64> = rows.concat();
        // The lateral velocity of the second car crosses zero near 0.2 s: its relative difference
        // there is twenty times that of its neighbors.
        assert_limit(what, &expected, &[4.0, 8.0, 16.0], 1e-4, |scale| {
            step(&car.case(scale).model(), speed, 1e-3 * DEGREE, 5e-5, &times)
                .iter()
                .flat_map(|v| v.map(|x| x * 1e3))
                .collect()
        });
    }
}

/// Lateral velocity, yaw rate and lateral acceleration at times after a step of the steering wheel.
fn step(model: &Model, speed: f64, angle: f64, h: f64, times: &[f64]) -> Vec<[f64; 3]> {
    let inputs = Inputs {
        steering_wheel: angle,
        ..Inputs::coasting()
    };
    drive(model, &model.rolling_state(speed), &inputs, h, times)
        .iter()
        .map(|(_, o)| [o.lateral_velocity, o.yaw_rate, o.lateral_acceleration])
        .collect()
}

/// Gain and phase `[deg]` of yaw rate and lateral acceleration to the road wheels' angle.
fn response(lin: &Linearization, frequency: f64) -> [f64; 4] {
    let y = lin.steering_response(frequency);
    let (r, a) = (y[YAW_RATE], y[LATERAL]);
    [gain(r), phase(r), gain(a), phase(a)]
}

/// Case Y5: frequency response. ISO 7401 and ISO/TR 8726 name the quantities, Abe ch. 3 the
/// transfer functions; flags M, L (python-control).
#[test]
fn val_y5_frequency_response() {
    let frequencies = [0.2, 0.5, 1.0, 2.0];
    let cases = [
        (
            "Y5 after Rajamani",
            RAJAMANI,
            30.0,
            [
                [7.0677055, -5.0624404, 207.86519, -9.8853383],
                [7.1745163, -13.840563, 190.80048, -24.615858],
                [6.928116, -32.028361, 133.41836, -45.06162],
                [4.7981458, -59.920995, 52.531079, -21.590243],
            ],
        ),
        (
            "Y5 after Abe",
            ABE,
            80.0 / 3.6,
            [
                [5.3359727, -5.2105347, 116.45098, -8.0710675],
                [5.3722848, -13.881083, 106.98954, -19.695241],
                [5.1586194, -30.887781, 77.50446, -33.256404],
                [3.6845162, -57.714139, 43.836684, -9.0252804],
            ],
        ),
    ];
    for (what, car, speed, rows) in cases {
        assert_limit(
            what,
            &rows.concat(),
            &[10.0, 100.0, 1000.0],
            1e-5,
            |scale| {
                let lin = straight(&car.case(scale).model(), speed);
                frequencies
                    .iter()
                    .flat_map(|f| response(&lin, *f))
                    .collect()
            },
        );
    }
}

/// The car of [`SingleTrack::case`] with a relaxation length that does not shrink.
fn relaxed(car: &SingleTrack, scale: f64, relaxation: f64) -> Model {
    let mut case = car.case(scale);
    for end in &mut case.ends {
        end.relaxation = relaxation;
    }
    case.model()
}

/// Case Y6: relaxation. Pacejka ch. 1 and 7; Heydinger, Garrott and Chrstos, SAE 910235, 1991;
/// flags M, L.
#[test]
fn val_y6_relaxation() {
    let modes = [
        (10.0, vec![[-8.0454525, 19.546079], [-11.954547, 15.661507]]),
        (30.0, vec![[-7.3885266, 6.2335949], [-52.611473, 1.8415301]]),
    ];
    for (speed, pairs) in modes {
        let what = format!("Y6 modes at {speed} m/s");
        assert_limit(
            &what,
            &pairs.concat(),
            &[10.0, 100.0, 1000.0],
            2e-5,
            |scale| {
                let values = eigenvalues(&straight(&relaxed(&RAJAMANI, scale, 0.5), speed));
                pairs.iter().flat_map(|p| nearest(&values, *p)).collect()
            },
        );
    }
    let expected = [
        [7.202706, -14.667991],
        [7.2059407, -33.864105],
        [5.2744981, -70.110603],
    ];
    assert_limit(
        "Y6 response",
        &expected.concat(),
        &[1.0, 10.0, 100.0],
        1e-5,
        |scale| {
            let lin = straight(&relaxed(&RAJAMANI, scale, 0.5), 30.0);
            [0.5, 1.0, 2.0]
                .iter()
                .flat_map(|f| response(&lin, *f)[..2].to_vec())
                .collect()
        },
    );
    let expected = [
        [0.036991272, 0.034538755],
        [0.032634052, 0.074332932],
        [-0.074291483, 0.11827654],
        [-0.25609266, 0.1264016],
    ];
    let times = [0.05, 0.1, 0.2, 0.5];
    assert_limit(
        "Y6 step",
        &expected.concat(),
        &[4.0, 8.0, 16.0],
        1e-4,
        |scale| {
            step(
                &relaxed(&RAJAMANI, scale, 0.5),
                30.0,
                1e-3 * DEGREE,
                5e-5,
                &times,
            )
            .iter()
            .flat_map(|v| [v[0] * 1e3, v[1] * 1e3])
            .collect()
        },
    );
    // Steady gains do not know the relaxation length.
    let gains = [0.5, 0.05].map(|relaxation| {
        let lin = straight(&relaxed(&RAJAMANI, 1.0, relaxation), 30.0);
        [steady_gain(&lin, YAW_RATE), steady_gain(&lin, LATERAL)]
    });
    assert_close("Y6 steady gains", &gains[0], &gains[1], 1e-8);
}

/// A single-track car from weights `[N]` and stiffnesses of one tire `[N/rad]`.
fn from_weights(weights: [f64; 2], wheelbase: f64, tire: [f64; 2], gravity: f64) -> SingleTrack {
    let weight = weights[0] + weights[1];
    let arms = [
        wheelbase * weights[1] / weight,
        wheelbase * weights[0] / weight,
    ];
    let mass = weight / gravity;
    SingleTrack {
        mass,
        yaw_inertia: mass * arms[0] * arms[1],
        arms,
        stiffness: [2.0 * tire[0], 2.0 * tire[1]],
        gravity,
    }
}

/// Understeer gradient `[rad*s^2/m]`, steady gains of lateral acceleration and yaw rate at a speed.
fn gains(model: &Model, speed: f64) -> [f64; 3] {
    let lin = straight(model, speed);
    let (lateral, yaw) = (steady_gain(&lin, LATERAL), steady_gain(&lin, YAW_RATE));
    let wheelbase = model.geometry.wheelbase;
    [1.0 / lateral - wheelbase / (speed * speed), lateral, yaw]
}

/// Case S1: after Gillespie, *Fundamentals of Vehicle Dynamics*, 1992, ch. 6, example 1. Flag M for
/// weights and formulas; the tire stiffnesses are stand-ins, not the book's table. Tolerance of the
/// case 1e-5 (half of the last digit where the case prints fewer).
#[test]
fn val_s1_understeer_gradient_and_gains() {
    let g = 32.174 * FOOT;
    let per_degree = POUND / DEGREE;
    let car = from_weights(
        [1901.0 * POUND, 1552.0 * POUND],
        100.6 * INCH,
        [228.0 * per_degree, 190.7 * per_degree],
        g,
    );
    // Stiff along, so that the drive that holds the speed in the turn below does not slip.
    let mut case = car.case(1.0);
    case.ends.iter_mut().for_each(|end| end.slip = 1e6);
    let model = case.model();
    let speed = 88.0 * FOOT;
    let [gradient, lateral, yaw] = gains(&model, speed);
    let per_g = gradient * g / DEGREE;
    assert!((per_g - 0.09964).abs() < 0.5e-5, "{per_g}");
    // The case's characteristic speed follows from its K as printed, to five digits.
    let printed = (per_g * 1e5).round() / 1e5 * DEGREE / g;
    let characteristic = (car.wheelbase() / printed).sqrt() / FOOT;
    assert!((characteristic - 393.83).abs() < 0.005, "{characteristic}");
    let found = lateral / g * DEGREE;
    assert!((found - 0.47727).abs() < 0.5e-5, "{found} g/deg");
    assert!((yaw - 9.9978).abs() < 0.5e-4, "{yaw} 1/s");

    // A turn of 800 ft at 60 mi/h: sideslip and steer of the linearized car.
    let ay = speed * speed / (800.0 * FOOT);
    assert!((ay / g - 0.30086).abs() < 0.5e-5);
    let lin = straight(&model, speed);
    let per_ay = steady_gain(&lin, SIDESLIP) / lateral;
    let sideslip = per_ay * ay / DEGREE;
    assert!((sideslip + 0.8937).abs() < 0.5e-4, "{sideslip} deg");
    // The case's K of the turn is the computed one.
    let steer = ay / lateral / DEGREE;
    let closed = (car.wheelbase() / (800.0 * FOOT) + car.understeer() * ay) / DEGREE;
    assert!((steer - closed).abs() < 1e-6 * closed, "{steer} {closed}");
    // Tangent speed: no sideslip in the turn.
    let tangent = root(
        |v| steady_gain(&straight(&model, v * FOOT), SIDESLIP),
        30.0,
        60.0,
        1e-4,
    );
    assert!((tangent - 45.726).abs() < 0.5e-3, "{tangent} ft/s");
    // Static margin: how far behind the center of mass a side force would not turn the car.
    let [f, r] = car.stiffness;
    let margin = gradient * f * r / (car.mass * (f + r));
    assert!((margin - 0.00599).abs() < 0.5e-5, "{margin}");

    // The full nonlinear equilibrium, without height and so without load transfer (see Y1), agrees
    // to the squares of its angles (0.03 rad), 5e-4.
    case.sprung_height = -80.0 * 0.3 / case.sprung_mass();
    let model = case.model();
    let turn = solve(&model, Condition::cornering(speed, ay)).unwrap();
    let sideslip = turn.observe(&model).sideslip / DEGREE;
    let wheel = turn.inputs.steering_wheel / DEGREE;
    assert_close("S1 turn", &[sideslip, wheel], &[-0.8937, closed], 5e-4);
}

/// Case S2: a course exercise in the style of Wong, *Theory of Ground Vehicles*, ch. 5, inputs read
/// (flag P).
#[test]
fn val_s2_understeer_exercise() {
    let g = 32.174 * FOOT;
    let weight = 4520.0 * POUND;
    let car = from_weights(
        [0.55 * weight, 0.45 * weight],
        10.5 * FOOT,
        [8750.0 * POUND, 8600.0 * POUND],
        g,
    );
    let [gradient, ..] = gains(&car.case(1.0).model(), 20.0);
    let characteristic = (car.wheelbase() / gradient).sqrt() / FOOT;
    assert_close(
        "S2",
        &[gradient * g, characteristic],
        &[0.023801, 119.137],
        2e-5,
    );
}

/// Case S3: critical speed of a car that oversteers. Wong ch. 5, exercise from memory; flags M, L.
#[test]
fn val_s3_critical_speed() {
    let weight = 20.02e3;
    let rear = 1.27 / 2.794;
    let car = from_weights(
        [(1.0 - rear) * weight, rear * weight],
        2.794,
        [45.88e3, 33.13e3],
        9.81,
    );
    let model = car.case(10.0).model();
    let [gradient, ..] = gains(&model, 20.0);
    assert_close("S3 K", &[gradient * 9.81], &[-0.018332], 5e-5);
    // The mode that loses its stability is real and slow there, so that no lag moves the speed. The
    // forward speed, which has no restoring force, is another zero: the yaw row distinguishes them.
    let slowest = |speed: f64| {
        let lin = straight(&model, speed);
        let (a, _) = slow_part(&lin, &TWO);
        let reduced = a
            .complex_eigenvalues()
            .iter()
            .map(|v| v.re)
            .fold(f64::MIN, f64::max);
        let full = eigenvalues(&lin);
        // The same root of the full car.
        nearest(&full, [reduced, 0.0])[0]
    };
    let critical = root(|v| a_determinant(&model, v), 30.0, 45.0, 1e-7);
    assert_close("S3 critical speed", &[critical], &[38.6676], 1e-5);
    assert!(slowest(critical * 0.98) < -0.01 && slowest(critical * 1.02) > 0.01);
}

/// Minus the determinant of the two states: zero where a steady turn needs no steer.
fn a_determinant(model: &Model, speed: f64) -> f64 {
    let (a, _) = slow_part(&straight(model, speed), &TWO);
    -a.determinant()
}

/// Case S4, first car: Pacejka, *Tire and Vehicle Dynamics*, 2012, ch. 1, table of car data (flag
/// M, from memory; L for modes and history).
const PACEJKA: SingleTrack = SingleTrack {
    mass: 1600.0,
    yaw_inertia: 1600.0 * 1.5 * 1.5,
    arms: [1.4, 1.6],
    stiffness: [60e3, 60e3],
    gravity: 9.81,
};

#[test]
fn val_s4_gains_and_modes() {
    let model = PACEJKA.case(1.0).model();
    let rest = model.evaluate(&model.rolling_state(0.0), &Inputs::coasting());
    let loads = rest.contacts.map(|c| c.load);
    assert_close(
        "S4 loads",
        &[loads[0] + loads[1], loads[2] + loads[3]],
        &[8371.2, 7324.8],
        1e-9,
    );
    let [gradient, ..] = gains(&model, 20.0);
    assert_close("S4 eta", &[gradient * 9.81], &[0.017440], 1e-5);
    let characteristic = (3.0 / gradient).sqrt();
    assert_close(
        "S4 characteristic speed",
        &[characteristic],
        &[41.0792],
        2e-6,
    );
    let rows = [
        (10.0, [3.14685, 31.4685, 0.11189], [7.71902, 0.97378]),
        (20.0, [5.38922, 107.7844, -0.91018], [4.17083, 0.90110]),
        (30.0, [6.52174, 195.6522, -2.08696], [3.09570, 0.80937]),
        (
            characteristic,
            [6.84653, 281.2500, -3.23333],
            [2.58199, 0.70868],
        ),
    ];
    for (speed, steady, mode) in rows {
        let lin = straight(&model, speed);
        let found = [YAW_RATE, LATERAL, LATERAL_VELOCITY].map(|o| steady_gain(&lin, o));
        // Sideslip of the case is v/V; five digits are printed.
        let found = [found[0], found[1], found[2] / speed];
        assert_close(&format!("S4 gains at {speed}"), &found, &steady, 3e-5);
        let (a, _) = slow_part(&lin, &TWO);
        assert_close(
            &format!("S4 mode at {speed}"),
            &frequency_and_damping(&a),
            &mode,
            6e-6,
        );
    }
    // Half the neutral gain at the characteristic speed.
    let lin = straight(&model, characteristic);
    let neutral = characteristic / 3.0;
    assert_close(
        "S4 half gain",
        &[steady_gain(&lin, YAW_RATE)],
        &[neutral / 2.0],
        1e-6,
    );

    // Second car, inputs read (flag P): little understeer, nearly critical damping.
    let second = SingleTrack {
        mass: 1008.0,
        yaw_inertia: 1031.0,
        arms: [1.2, 1.0],
        stiffness: [117e3, 145e3],
        gravity: 9.81,
    };
    let model = second.case(1.0).model();
    let [gradient, ..] = gains(&model, 10.0);
    assert_close(
        "S4 second car",
        &[gradient, gradient * 9.81 / DEGREE],
        &[1.242344e-4, 0.06983],
        6e-5,
    );
    assert_close(
        "S4 second car",
        &[(2.2 / gradient).sqrt()],
        &[133.073],
        5e-6,
    );
    let (a, _) = slow_part(&straight(&model, 10.0), &TWO);
    assert_close(
        "S4 second car",
        &frequency_and_damping(&a),
        &[28.18790, 1.00038],
        6e-6,
    );
}

/// Case S4: yaw rate after a step of 0.02 rad at 20 m/s; flags M, L (SciPy solve_ivp), case's
/// tolerance 1e-4. The step is a thousandth of the case's and scaled.
#[test]
fn val_s4_step_response() {
    let expected = [2.2448, 3.7773, 5.8267];
    assert_limit("S4 step", &expected, &[4.0, 8.0, 16.0], 1e-4, |scale| {
        step(
            &PACEJKA.case(scale).model(),
            20.0,
            2e-5,
            5e-5,
            &[0.1, 0.2, 0.5],
        )
        .iter()
        .map(|v| v[1] * 1e3 / DEGREE)
        .collect()
    });
    // The full angle: squares of angles of 0.03 rad and the loss of speed, below one percent.
    let full = step(
        &PACEJKA.case(16.0).model(),
        20.0,
        0.02,
        5e-5,
        &[0.1, 0.2, 0.5],
    );
    let yaw: Vec<f64> = full.iter().map(|v| v[1] / DEGREE).collect();
    assert_close("S4 full step", &yaw, &expected, 1e-2);
}
