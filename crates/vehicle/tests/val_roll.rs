//! The full car against roll models: roll frequency and gradient, three degrees of freedom with
//! roll steer and product of inertia, roll stiffness and roll centers on the static sheet.
//!
//! Flags of the sources: M recalled from memory and recomputed, L computed with a general-purpose
//! library.

mod closed_forms;

use axletree_scalar::Real;
use axletree_vehicle::Model;
use axletree_vehicle::model::Inputs;
use axletree_vehicle::model::layout::{ATTITUDE, RATE};
use axletree_vehicle::trim::{Condition, solve};
use closed_forms::build::{Beam, Case, End};
use closed_forms::limit::{assert_close, assert_limit, difference};
use closed_forms::numeric::{drive, eigenvalues, gain, nearest, phase, rolling, steady_gain};
use closed_forms::{DEGREE, G};

/// Outputs of a linearization.
const LATERAL_VELOCITY: usize = 1;
const YAW_RATE: usize = 3;
const LATERAL: usize = 5;
const ROLL: usize = 6;

/// Case V8's car: roll about an axis on the road, because the wheels lean with the body and their
/// centers keep their distance. There the weight's arm is the center's height for any path of the
/// springs' load. `scale` makes tires stiff and wheels light in spin, `grip` is the cornering
/// stiffness.
fn on_the_road(scale: f64, grip: f64, unsprung: f64) -> Model {
    let end = End {
        bar: 55e3 / 2.0 - 1e4 * 1.5 * 1.5 / 2.0,
        tire_rate: 1e6 * scale,
        cornering: grip,
        relaxation: 0.01,
        unsprung,
        ..End::plain(1.5, 0.3, 1e4)
    };
    let mass = 1200.0 + 4.0 * end.unsprung;
    let mut case = Case::plain(mass, [1.3, 1.3], 0.5, [end, end]);
    case.roll_inertia = 400.0;
    case.spin_inertia = 0.1 / scale;
    case.model()
}

/// Case V8: roll frequency about a fixed axis and roll gradient, `K - m g h` against `I + m h^2`.
/// Gillespie, *Fundamentals of Vehicle Dynamics*, 1992, ch. 6; flag M.
#[test]
fn val_v8_roll_mode() {
    let frequency = [1.3331612];
    assert_limit(
        "V8 frequency",
        &frequency,
        &[1.0, 4.0, 16.0],
        1e-5,
        |scale| {
            // Slow, so that the sticky tires hold the axis.
            let lin = rolling(&on_the_road(scale, 1e6 * scale, 1.0 / scale), 1.0);
            let [re, im] = nearest(
                &eigenvalues(&lin),
                [0.0, frequency[0] * std::f64::consts::TAU],
            );
            assert!(re.abs() < 0.01 * im, "{re} {im}");
            vec![Real::hypot(im, re) / std::f64::consts::TAU]
        },
    );
    let gradient = [6.8639084];
    assert_limit(
        "V8 gradient",
        &gradient,
        &[4.0, 16.0, 64.0],
        1e-5,
        |scale| {
            let lin = rolling(&on_the_road(scale, 1e5, 1.0 / scale), 20.0);
            let roll = steady_gain(&lin, ROLL) / steady_gain(&lin, LATERAL);
            vec![roll * G / DEGREE]
        },
    );
    // The sheet reads it from equilibria at 0.5 and 1 m/s^2, where roll is no longer a line to
    // (0.01)^2, with the tires of scale 64 (1e-4).
    let sheet = on_the_road(64.0, 1e5, 0.1).static_sheet().unwrap();
    let row = sheet.get("roll_gradient").unwrap() * G / DEGREE;
    assert_close("V8 gradient on the sheet", &[row], &gradient, 1e-3);
    assert_close(
        "V8 arm on the sheet",
        &[sheet.get("gravity_arm").unwrap()],
        &[0.5],
        1e-3,
    );
    // The control: without the weight's arm the car would roll less, 12 %.
    let stiffness: f64 = ["roll_stiffness_front", "roll_stiffness_rear"]
        .iter()
        .map(|key| sheet.get(key).unwrap())
        .sum();
    assert_close("V8 stiffness on the sheet", &[stiffness], &[55e3], 1e-9);
    let without = 1200.0 * 0.5 / stiffness * G / DEGREE;
    assert!((row / without - 1.0).abs() > 0.1);
}

/// Height of the roll axis of case Y7's car.
const AXIS: f64 = 0.3;

/// Case Y7's car: roll about an axis at the height of the wheel centers, the wheels upright. That
/// is the linkage on which unsprung masses stay where they are in roll and the weight's arm is the
/// height over the axis. `scale` makes tires stiff, relaxation short and spin light.
fn three_degrees(scale: f64) -> Case {
    let (m, sprung, h) = (1500.0, 1350.0, 0.45);
    let (a, b) = (1.1, 1.6);
    let (stiffness, damping): (f64, f64) = (62e3, 4.2e3);
    let track: f64 = 1.5;
    // Half of the roll stiffness and damping at each end; the springs bear part, the bars the rest.
    let end = |i: usize| {
        // Unsprung mass in proportion to load keeps the sprung center over the whole car's.
        let share = [b, a][i] / (a + b);
        End {
            damping: damping / (2.0 * track * track / 2.0),
            bar: stiffness / 2.0 - 2e4 * track * track / 2.0,
            tire_rate: 1e7 * scale,
            cornering: [55e3, 60e3][i],
            relaxation: 0.01 / scale,
            slip: 1e3,
            unsprung: (m - sprung) * share / 2.0,
            roll_center: AXIS,
            upright: true,
            roll_steer: [-0.02, 0.05][i],
            ..End::plain(track, AXIS, 2e4)
        }
    };
    Case {
        yaw_inertia: 2500.0,
        roll_inertia: 550.0,
        product: 60.0,
        spin_inertia: 1e-2 / scale,
        ..Case::plain(m, [a, b], AXIS + h, [end(0), end(1)])
    }
}

/// From the library's reference point down to the roll axis, where the case takes its lateral
/// velocity.
fn down() -> f64 {
    three_degrees(1.0).height() - AXIS
}

/// Case Y7: form of Segel, Proc. IMechE Automobile Division 1956-57, inputs the case's own; flags
/// M, L.
#[test]
fn val_y7_modes_and_gains() {
    let modes = [[-8.7695988, 5.906281], [-2.7369791, 7.6973543]];
    assert_limit(
        "Y7 modes",
        &modes.concat(),
        &[4.0, 16.0, 64.0],
        1e-5,
        |scale| {
            let values = eigenvalues(&rolling(&three_degrees(scale).model(), 25.0));
            modes.iter().flat_map(|m| nearest(&values, *m)).collect()
        },
    );
    let names: Vec<String> = rolling(&three_degrees(16.0).model(), 25.0)
        .modes()
        .unwrap()
        .into_iter()
        .filter(|m| m.frequency < 2.0 && m.imaginary > 1.0)
        .map(|m| m.name)
        .collect();
    assert!(names.contains(&"yaw and sideslip".to_owned()), "{names:?}");
    assert!(names.contains(&"body roll".to_owned()), "{names:?}");

    let gains = [-6.1689262, 4.9584635, 1.343743];
    let rates = [6.0907728, 2.1053716];
    assert_limit(
        "Y7 steady",
        &[gains.to_vec(), rates.to_vec()].concat(),
        &[1.0, 4.0, 16.0],
        1e-5,
        |scale| {
            let model = three_degrees(scale).model();
            let lin = rolling(&model, 25.0);
            let [v, r, roll, ay] =
                [LATERAL_VELOCITY, YAW_RATE, ROLL, LATERAL].map(|o| steady_gain(&lin, o));
            let gradient = 1.0 / ay - model.geometry.wheelbase / (25.0 * 25.0);
            vec![v, r, roll, roll / ay * G / DEGREE, gradient * G / DEGREE]
        },
    );
    // The control: roll steer of the other sign takes understeer away.
    let mut other = three_degrees(16.0);
    other.ends.iter_mut().for_each(|e| e.roll_steer *= -1.0);
    let gain = steady_gain(&rolling(&other.model(), 25.0), YAW_RATE);
    assert!(gain > 1.2 * gains[1], "{gain}");
}

/// Case Y7: frequency response of yaw rate and roll; flags M, L.
#[test]
fn val_y7_frequency_response() {
    let expected = [
        [5.0472536, -9.3277205, 1.3738969, -32.142643],
        [5.429531, -21.250263, 1.3849689, -76.032794],
        [4.093998, -58.109588, 0.35254371, -135.55384],
    ];
    assert_limit(
        "Y7 response",
        &expected.concat(),
        &[4.0, 16.0, 64.0],
        1e-5,
        |scale| {
            let lin = rolling(&three_degrees(scale).model(), 25.0);
            [0.5, 1.0, 2.0]
                .iter()
                .flat_map(|f| {
                    let y = lin.steering_response(*f);
                    let (r, p) = (y[YAW_RATE], y[ROLL]);
                    [gain(r), phase(r), gain(p), phase(p)]
                })
                .collect()
        },
    );
}

/// Case Y7: step response by time integration, a thousandth of a degree scaled to the case's
/// degree; flags M, L (SciPy).
#[test]
fn val_y7_step_response() {
    let expected = [
        [0.048002773, 0.064723794, 0.26121542],
        [-0.016338665, 0.090821619, 0.70609657],
        [-0.11214808, 0.091428796, 1.3865639],
        [-0.10464523, 0.085443392, 1.3373419],
        [-0.10736719, 0.086401336, 1.3440777],
    ];
    let times = [0.1, 0.2, 0.4, 0.8, 1.6];
    let inputs = Inputs {
        steering_wheel: 1e-3 * DEGREE,
        ..Inputs::coasting()
    };
    let found = |scale: f64| -> Vec<f64> {
        let model = three_degrees(scale).model();
        drive(&model, &model.rolling_state(25.0), &inputs, 5e-5, &times)
            .iter()
            .flat_map(|(x, o)| {
                let v = o.lateral_velocity + x[RATE] * down();
                [v, o.yaw_rate, x[ATTITUDE + 2] / DEGREE].map(|u| u * 1e3)
            })
            .collect()
    };
    // The lateral velocity passes through zero near 0.2 s and carries most of the difference.
    let differences = assert_limit(
        "Y7 step",
        &expected.concat(),
        &[4.0, 8.0, 16.0],
        1e-4,
        found,
    );
    assert!(differences[2] < 1e-2);
    // The control: without the product of inertia the step is another one.
    let mut other = three_degrees(16.0);
    other.product = 0.0;
    let model = other.model();
    let (x, _) = drive(
        &model,
        &model.rolling_state(25.0),
        &inputs,
        5e-5,
        &times[..1],
    )[0];
    let roll = x[ATTITUDE + 2] / DEGREE * 1e3;
    assert!(difference(&[roll], &[expected[0][2]]) > 1e-2, "{roll}");
}

/// Case S6: roll stiffness of independent wheels and of a solid axle on the sheet, `k t^2/2` and
/// `k s^2/2`. Gillespie ch. 6; flag M. Tolerance of the case 1e-6.
#[test]
fn val_s6_roll_stiffness_on_the_sheet() {
    let (track, base) = (1.52, 1.00);
    let front = End {
        tire_rate: 220e3,
        ..End::plain(track, 0.3, 25e3)
    };
    let rear = End {
        bar: 12e3,
        tire_rate: 220e3,
        roll_center: 0.3,
        unsprung: 50.0,
        ..End::plain(track, 0.3, 28e3)
    };
    let mut case = Case::plain(1300.0, [1.3, 1.3], 0.5, [front, rear]);
    case.beam = Some(Beam {
        inertia: 25.0,
        spring_base: base,
        damper_base: base,
    });
    let sheet = case.model().static_sheet().unwrap();
    let row = |key: &str| sheet.get(key).unwrap();
    let found = [
        row("roll_stiffness_front"),
        row("roll_stiffness_rear") - row("roll_stiffness_bar_rear"),
        row("roll_stiffness_bar_rear"),
    ];
    assert_close("S6", &found, &[28880.0, 14000.0, 12000.0], 1e-9);
    // The error to guard against: the springs' rate in heave at the wheels.
    let wrong = row("wheel_rate_rear") * track * track / 2.0;
    assert_close("S6 wrong way", &[wrong], &[32345.6], 1e-9);
    // With the tires in series, 254144 N m/rad each: the sheet shows the share. Half of the case's
    // last digit is 2.1e-6.
    let (f, r) = (1.0 / (1.0 / 28880.0 + 1.0 / 254144.0), 23587.0);
    let share = row("roll_stiffness_front_share");
    assert_close("S6 rear", &[f * (1.0 / share - 1.0)], &[r], 2.2e-6);
    assert_close("S6 share", &[share], &[f / (f + r)], 2.2e-6);
}

/// Roll centers on the sheet against the geometry they are built from, for both kinds of corner and
/// an axle, and that a lateral force at that height causes no roll: with the sprung center on the
/// roll axis the car corners level. Definition after ISO 8855 and Gillespie ch. 6 (flag M).
#[test]
fn val_roll_centers_on_the_sheet() {
    for (heights, upright, solid) in [
        ([0.07, 0.12], false, false),
        ([0.25, 0.35], true, false),
        ([0.05, 0.28], false, true),
    ] {
        let end = |i: usize| End {
            tire_rate: 1e7,
            roll_center: heights[i],
            upright,
            unsprung: 1e-1,
            ..End::plain(1.5, 0.3, 2e4)
        };
        let axis = (heights[0] + heights[1]) / 2.0;
        let mut case = Case::plain(1300.0, [1.3, 1.3], axis, [end(0), end(1)]);
        if solid {
            case.beam = Some(Beam {
                inertia: 0.1,
                spring_base: 1.0,
                damper_base: 1.0,
            });
        }
        case.spin_inertia = 1e-3;
        let sheet = case.model().static_sheet().unwrap();
        let found = ["roll_center_height_front", "roll_center_height_rear"]
            .map(|key| sheet.get(key).unwrap());
        // Loaded tires deflect by 0.3 mm, which the sheet's contact follows.
        assert_close("roll centers", &found, &heights, 1e-9);
        let roll = |case: &Case| {
            let turn = solve(&case.model(), Condition::cornering(20.0, 1.0)).unwrap();
            turn.state[ATTITUDE + 2]
        };
        // Level to the tires' own roll under the transfer, a thousandth of a degree per m/s^2.
        let level = roll(&case);
        case.sprung_height += 0.2;
        let leaning = roll(&case);
        assert!(level.abs() < 5e-3 * leaning, "{level} {leaning}");
    }
}
