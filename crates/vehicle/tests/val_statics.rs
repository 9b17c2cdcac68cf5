//! The full car in equilibrium against statics: load transfer in a corner and under acceleration,
//! rollover threshold, understeer from load transfer, traction, anti-squat.
//!
//! Flags of the sources: M recalled from memory and recomputed, L computed with a general-purpose
//! library.

mod closed_forms;

use axletree_scalar::Real;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ATTITUDE, TRAVEL};
use axletree_vehicle::trim::{Condition, Trim, refine, solve};
use closed_forms::build::{Beam, Case, End};
use closed_forms::limit::{assert_close, assert_limit, difference};
use closed_forms::numeric::root;
use closed_forms::{DEGREE, G, INCH, POUND};

/// Roll `[rad]` and the load that each outer wheel gains, front and rear `[N]`, in a left turn.
fn transfer(model: &Model, speed: f64, ay: f64) -> [f64; 3] {
    let turn = solve(model, Condition::cornering(speed, ay)).unwrap();
    let load = turn.evaluate(model).contacts.map(|c| c.load);
    [
        turn.state[ATTITUDE + 2],
        (load[1] - load[0]) / 2.0,
        (load[3] - load[2]) / 2.0,
    ]
}

/// Case S5's car on a solid rear axle. `scale` makes the tires stiff and the wheels light in spin.
fn split(scale: f64, front_roll: f64, textbook_arm: bool) -> Case {
    let [mf, mr] = [80.0, 120.0];
    let mass = 1300.0 + mf + mr;
    let a = (1300.0 * 1.20 + mr * 2.60) / mass;
    let (front_rate, rear_rate, base) = (1.5e4, 2.0e4, 1.0);
    let front = End {
        bar: front_roll - front_rate * 1.52 * 1.52 / 2.0,
        tire_rate: 1e7 * scale,
        unsprung: mf / 2.0,
        roll_center: 0.07,
        upright: true,
        ..End::plain(1.52, 0.31, front_rate)
    };
    let rear = End {
        bar: 22e3 - rear_rate * base * base / 2.0,
        tire_rate: 1e7 * scale,
        unsprung: mr / 2.0,
        roll_center: 0.28,
        // The axle's wheels stay upright by their nature.
        upright: true,
        ..End::plain(1.50, 0.32, rear_rate)
    };
    let ends = if textbook_arm {
        [front, rear].map(End::with_textbook_arm)
    } else {
        [front, rear]
    };
    let mut case = Case::plain(mass, [a, 2.60 - a], 0.54, ends);
    case.beam = Some(Beam {
        inertia: 30.0,
        spring_base: base,
        damper_base: base,
    });
    case.spin_inertia = 0.1 / scale;
    // Speed is held against the tires' drag, which grows with the square of the lateral
    // acceleration: textbooks neglect the roll from the propeller shaft's couple
    // (1e-4 at a hundredth of the case's acceleration).
    case.final_drive = 1e6;
    case
}

/// Case S5: elastic, geometric and unsprung parts of load transfer. Milliken and Milliken, *Race
/// Car Vehicle Dynamics*, 1995, ch. 18; Gillespie, *Fundamentals of Vehicle Dynamics*, 1992, ch. 6;
/// Dixon 1996; flags M, L. The textbook is linear; the car corners at a hundredth of the case's 0.8
/// g and is scaled, which leaves squares of 0.0006 rad.
#[test]
fn val_s5_lateral_load_transfer() {
    let small = 1e-2;
    let found = |case: &Case| transfer(&case.model(), 20.0, 0.8 * G * small).map(|x| x / small);
    let expected = [3.50251f64.to_radians(), 2190.69, 1976.09];
    assert_limit("S5", &expected, &[1.0, 4.0, 16.0], 1e-5, |scale| {
        found(&split(scale, 45e3, true)).to_vec()
    });
    let stiffer = [3.01769f64.to_radians(), 2286.68];
    assert_limit(
        "S5 stiffer front",
        &stiffer,
        &[1.0, 4.0, 16.0],
        1e-5,
        |scale| found(&split(scale, 55e3, true))[..2].to_vec(),
    );

    // The parts: bar, springs and the rest.
    let case = split(64.0, 45e3, true);
    let [roll, front, rear] = found(&case);
    let ay = 0.8 * G;
    let elastic = [45e3 * roll / 1.52, 22e3 * roll / 1.50];
    assert_close("S5 elastic", &elastic, &[1809.78, 896.58], 1e-4);
    let rest = [front - elastic[0], rear - elastic[1]];
    assert_close(
        "S5 geometric and unsprung",
        &rest,
        &[252.91 + 128.00, 878.68 + 200.84],
        1e-3,
    );
    // Overall: moments about the road.
    let arm = 0.54 - (0.07 + (0.28 - 0.07) * 1.20 / 2.60);
    let moment = ay * (1300.0 * 0.54 + 80.0 * 0.31 + 120.0 * 0.32) + 1300.0 * G * arm * roll;
    assert_close("S5 moments", &[front * 1.52 + rear * 1.50], &[moment], 1e-4);
    // The sheet: roll centers, arm of the weight, and roll per lateral acceleration.
    let sheet = case.model().static_sheet().unwrap();
    let row = |key: &str| sheet.get(key).unwrap();
    let centers = [
        row("roll_center_height_front"),
        row("roll_center_height_rear"),
    ];
    assert_close("S5 roll centers", &centers, &[0.07, 0.28], 1e-9);
    let gradient = row("roll_gradient") * G / DEGREE;
    assert_close("S5 gradient on the sheet", &[gradient], &[4.37813], 1e-3);
    // Springs' load counts in the sheet's stiffness where motion ratios grow: the difference of the
    // stiffness and the arm's weight is the one of the textbook.
    let stiffness = row("roll_stiffness_front") + row("roll_stiffness_rear");
    let net = stiffness - 1300.0 * G * row("gravity_arm");
    assert_close("S5 net stiffness", &[net], &[67e3 - 1300.0 * G * arm], 1e-4);

    // On springs that are lines in travel the load takes another path, and the roll differs by what
    // the weight's arm does: the sheet's arm explains it.
    let other = split(64.0, 45e3, false);
    let [roll, ..] = found(&other);
    let sheet = other.model().static_sheet().unwrap();
    let weight = 1300.0 * G * sheet.get("gravity_arm").unwrap();
    let explained = 1300.0 * arm * ay / (67e3 - weight);
    assert_close("S5 other path", &[roll], &[explained], 1e-3);
    assert!(difference(&[roll], &expected[..1]) > 1e-2);
}

/// Case S5 with springs ever stiffer, on springs that are lines in travel: the path of their load
/// matters less and less, and the textbook's transfer at those stiffnesses is reached.
#[test]
fn val_s5_stiffening_the_springs() {
    let small = 1e-2;
    let ay = 0.8 * G;
    let textbook = |k: [f64; 2]| {
        let (arm, share) = (0.373076923, 1.40 / 2.60);
        let roll = 1300.0 * arm * ay / (k[0] + k[1] - 1300.0 * G * arm);
        [
            (k[0] * roll + 1300.0 * share * 0.07 * ay + 80.0 * 0.31 * ay) / 1.52,
            (k[1] * roll + 1300.0 * (1.0 - share) * 0.28 * ay + 120.0 * 0.32 * ay) / 1.50,
        ]
    };
    let off = |stiffer: f64| {
        let mut case = split(100.0 * stiffer, 45e3, false);
        for end in &mut case.ends {
            end.bar *= stiffer;
            end.wheel_rate *= stiffer;
        }
        let [_, front, rear] = transfer(&case.model(), 20.0, ay * small);
        difference(
            &[front / small, rear / small],
            &textbook([45e3 * stiffer, 22e3 * stiffer]),
        )
    };
    let found = [4.0, 16.0, 64.0].map(off);
    println!("S5 stiffening: {found:?}");
    assert!(found[0] > 1e-3, "{found:?}");
    for pair in found.windows(2) {
        assert!((pair[1] / pair[0] - 0.25).abs() < 0.05, "{found:?}");
    }
}

/// Case S7: rollover threshold in linear statics, `T/(2 h)` and its reduction by roll. NHTSA, 49
/// CFR part 575; Gillespie ch. 9; flags M, L.
#[test]
fn val_s7_rollover_threshold() {
    let (track, height, mass) = (1.50, 0.55, 1400.0);
    // Roll centers at a share of the height, roll stiffness for a roll gradient [rad/g].
    let car = |per_g: f64, share: f64, spring: f64, unsprung: f64, scale: f64| {
        let arm = height * (1.0 - share);
        let stiffness = mass * G * arm * (1.0 + 1.0 / per_g);
        let end = End {
            bar: stiffness / 2.0 - spring * track * track / 2.0,
            tire_rate: 1e6 * scale,
            unsprung,
            roll_center: share * height,
            upright: true,
            ..End::plain(track, 0.3, spring)
        };
        let end = end.with_textbook_arm();
        let mut case = Case::plain(mass, [1.3, 1.3], height, [end, end]);
        case.spin_inertia = 0.01 / scale;
        case.with_height(height).model()
    };
    // Lateral acceleration [g] at which the transfer would take the whole inner load, from a small
    // one.
    let threshold = |model: &Model| {
        let ay = 1e-3 * G;
        let [_, front, rear] = transfer(model, 20.0, ay);
        mass * G / 2.0 / ((front + rear) / ay) / G
    };
    let rows = [(0.1, 0.5, 1.29870), (0.08, 0.4, 1.30118)];
    for (per_g, share, expected) in rows {
        assert_limit(
            "S7 suspended",
            &[expected],
            &[1.0, 4.0, 16.0],
            1e-5,
            |scale| vec![threshold(&car(per_g, share, 1e4, 1.0 / scale, scale))],
        );
    }
    // Without roll: the static stability factor, and not in linear statics only: near lift-off the
    // inner loads of the equilibrium tend to zero there. Springs must be stiff in heave too: roll
    // centers over the road let the outer wheels' side force lift the body (15 cm on the springs of
    // the rows above).
    assert_limit("S7 rigid", &[1.36364], &[4.0, 16.0, 64.0], 1e-5, |scale| {
        let model = car(1e-2 / scale, 0.5, 1e5 * scale, 20.0, scale);
        let inner = |ay: f64| {
            let turn = solve(&model, Condition::cornering(40.0, ay * G)).unwrap();
            let load = turn.evaluate(&model).contacts.map(|c| c.load);
            load[0] + load[2]
        };
        let (a, b) = (1.20, 1.25);
        let (fa, fb) = (inner(a), inner(b));
        vec![a + (b - a) * fa / (fa - fb)]
    });
}

/// Case S9's car: loads of both axles `[N]` at a longitudinal acceleration `[g]`.
fn pushed(scale: f64, ax: f64) -> Vec<f64> {
    let model = long_car(scale, 1e3);
    let trim = solve(&model, forward(20.0, ax * G)).unwrap();
    let load = trim.evaluate(&model).contacts.map(|c| c.load);
    vec![load[0] + load[1], load[2] + load[3]]
}

fn long_car(scale: f64, friction: f64) -> Model {
    let end = End {
        tire_rate: 1e7 * scale,
        unsprung: 1.0 / scale,
        slip: 1e6,
        ..End::plain(1.5, 0.3, 1e6 * scale)
    };
    let mut case = Case::plain(1600.0, [1.35, 1.35], 0.50, [end, end]);
    case.spin_inertia = 1e-2 / scale;
    case.friction = friction;
    case.model()
}

/// The largest longitudinal acceleration `[g]` with an equilibrium, by continuation in ever smaller
/// steps.
fn last_push(model: &Model) -> f64 {
    let mut trim = solve(model, Condition::straight(20.0)).unwrap();
    let (mut reached, mut step) = (0.0, 0.02);
    while step > 1e-6 {
        match refine(model, &trim, forward(20.0, (reached + step) * G)) {
            Some(next) => {
                trim = next;
                reached += step;
            }
            None => step *= 0.5,
        }
    }
    reached
}

fn forward(speed: f64, ax: f64) -> Condition {
    Condition {
        longitudinal_acceleration: ax,
        ..Condition::straight(speed)
    }
}

/// Case S9: axle loads under acceleration and braking, rear-drive limit. Gillespie ch. 1 and 3,
/// Wong ch. 3; flag M.
#[test]
fn val_s9_axle_loads_and_traction_limit() {
    assert_limit(
        "S9 +0.5 g",
        &[6392.48, 9298.16],
        &[1.0, 4.0, 16.0],
        1e-5,
        |scale| pushed(scale, 0.5),
    );
    assert_limit(
        "S9 -0.9 g",
        &[10460.43, 5230.21],
        &[1.0, 4.0, 16.0],
        1e-5,
        |scale| pushed(scale, -0.9),
    );
    let [f, r]: [f64; 2] = pushed(16.0, -0.9).try_into().unwrap();
    assert_close("S9 ideal share", &[f / (f + r)], &[0.66667], 1e-4);
    // The equilibrium ends where the rear tires' friction does. The solver gives up a little before
    // the peak of the force curve, where its slope vanishes.
    let model = long_car(1.0, 1.0);
    let limit = last_push(&model);
    assert_close("S9 limit", &[limit], &[0.61364], 1e-3);
}

/// Case S8's car. Its sprung center is on the roll axis, so that the weight has no arm, which the
/// case leaves out; `scale` makes tires stiff, wheels light, and springs stiff in heave and pitch,
/// where bars of negative rate (springs between left and right that work in heave alone) leave the
/// case's stiffness in roll.
fn solid_drive(scale: f64, locked: f64, friction: f64) -> Case {
    let stiffness = [1150.0, 280.0].map(|k| k * 12.0 * INCH * POUND / DEGREE);
    let (weight, rear, wheelbase) = (3950.0 * POUND, 1850.0 * POUND, 108.0 * INCH);
    let (track, radius) = (59.0 * INCH, 13.0 * INCH);
    let rate = 1e6 * scale;
    let end = |i: usize| {
        let end = End {
            bar: stiffness[i] - rate * track * track / 2.0,
            tire_rate: 1e7 * scale,
            slip: 1e6,
            unsprung: 10.0 / scale,
            roll_center: 21.0 * INCH,
            upright: true,
            ..End::plain(track, radius, rate)
        };
        end.with_textbook_arm()
    };
    let a = wheelbase * rear / weight;
    let mut case = Case::plain(
        weight / G,
        [a, wheelbase - a],
        21.0 * INCH,
        [end(0), end(1)],
    );
    case.beam = Some(Beam {
        inertia: 20.0,
        spring_base: track,
        damper_base: track,
    });
    case.spin_inertia = 1e-2 / scale;
    case.final_drive = 2.90;
    case.locked = locked;
    case.friction = friction;
    // The whole car's center is as high as the case has it.
    case.with_height(21.0 * INCH)
}

/// Case S8: traction of a solid axle with propeller-shaft torque, open and locked. Gillespie ch. 2,
/// the book's example as recalled prints 1201 lb and 0.304 g, 1305 lb and 0.330 g; flags M, L.
#[test]
fn val_s8_traction_of_a_solid_axle() {
    let mu = 0.62;
    // Loads and drive forces of the rear wheels at an acceleration, on tires that hold more.
    let rear = |model: &Model, ax: f64| {
        let e = solve(model, forward(20.0, ax * G)).unwrap().evaluate(model);
        let load = [e.contacts[2].load, e.contacts[3].load];
        (load, [e.tire_forces[2].fx, e.tire_forces[3].fx])
    };
    // Loads are lines in the acceleration for small ones, as the case has them. Values at an
    // acceleration [g] by the line through 0 and `small`.
    let small = 1e-3;
    let line = |model: &Model, ax: f64| {
        let (rest, _) = rear(model, 0.0);
        let (load, fx) = rear(model, small);
        let along = |from: f64, to: f64| from + (to - from) * ax / small;
        let loads = [along(rest[0], load[0]), along(rest[1], load[1])];
        (loads, fx.map(|f| f * ax / small))
    };
    // Open: both wheels push alike, until the lighter one can no more.
    let expected = [0.30400, 1200.78, 73.370];
    assert_limit("S8 open", &expected, &[1.0, 4.0, 16.0], 2e-5, |scale| {
        let model = solid_drive(scale, 0.0, 1e3).model();
        let spare = |ax: f64| {
            let (load, fx) = line(&model, ax);
            // A shaft that turns clockwise seen from the front presses the left wheel down.
            assert!(load[0] > load[1]);
            mu * load[1] - fx[1]
        };
        let limit = root(spare, 0.2, 0.4, 1e-9);
        let (load, fx) = line(&model, limit);
        let moved = (load[0] - load[1]) / 2.0;
        vec![limit, (fx[0] + fx[1]) / POUND, moved / POUND]
    });
    // Locked: all that the axle's load can hold. The closed form gives the digits that the case
    // rounds.
    let locked = mu * 1850.0 / 3950.0 / (1.0 - mu * 21.0 / 108.0);
    let held = locked * 3950.0;
    assert!((locked - 0.33019).abs() < 0.5e-5 && (held - 1304.23).abs() < 0.5e-2);
    assert_limit(
        "S8 locked",
        &[locked, held],
        &[1.0, 4.0, 16.0],
        1e-6,
        |scale| {
            let model = solid_drive(scale, 1.0, 1e3).model();
            let spare = |ax: f64| {
                let (load, fx) = line(&model, ax);
                mu * (load[0] + load[1]) - fx[0] - fx[1]
            };
            let limit = root(spare, 0.2, 0.4, 1e-9);
            let (_, fx) = line(&model, limit);
            vec![limit, (fx[0] + fx[1]) / POUND]
        },
    );
    // Tires that have no more than that: the equilibrium itself ends there. The locked axle's
    // wheels push unlike, which the steer balances with side forces of a percent of the push: their
    // squares.
    let limits = [0.0, 1.0].map(|locked| {
        let model = solid_drive(1.0, locked, mu).model();
        last_push(&model)
    });
    assert_close("S8 limits", &limits, &[0.30400, 0.33019], 2e-3);
}

/// Case S10: understeer from load transfer, `C = p F - q F^2`. Gillespie ch. 6; flag M, numbers the
/// case's own. The library's stiffness law is another, `C ~ F/(1 + (F/F_K)^2)`; made to agree with
/// the case's at the load at rest in value and curvature, it loses the same to a pair of wheels up
/// to the fourth power of the transfer. The tests' transfers shrink with the lateral acceleration,
/// and so does that difference.
#[test]
fn val_s10_understeer_from_load_transfer() {
    let (p, q) = (0.25, 2.0e-5);
    let end = |load: f64, roll: f64| {
        // Curvature over value, times load squared, of both laws.
        let want = -2.0 * q * load / (p - q * load);
        // 2 w (w - 3)/(1 + w)^2 = want, the smaller root.
        let (a, b, c) = (2.0 - want, -6.0 - 2.0 * want, -want);
        let w = (-b - (b * b - 4.0 * a * c).sqrt()) / (2.0 * a);
        End {
            bar: roll - 1e5 * 1.5 * 1.5 / 2.0,
            tire_rate: 1e9,
            cornering: (p * load - q * load * load) / DEGREE,
            slip: 1e6,
            peak_load: 1.0 / w.sqrt(),
            unsprung: 5.0,
            ..End::plain(1.5, 0.3, 1e5)
        }
    };
    // Height for 3000 N of transfer at 0.6 g, split as the roll stiffnesses are.
    let car = |front: f64| {
        let ends = [
            end(4000.0, 2e3 * front),
            end(3500.0, 2e3 * (3000.0 - front)),
        ];
        let mut case = Case::plain(15e3 / G, [2.6 * 7.0 / 15.0, 2.6 * 8.0 / 15.0], 0.5, ends);
        case.spin_inertia = 1e-3;
        case.with_height(0.5).model()
    };
    // Slip angle front less rear [deg], and the loads gained, over the share of 0.6 g.
    let balance = |front: f64, share: f64| {
        let model = car(front);
        let turn = solve(&model, Condition::cornering(100.0, 0.6 * G * share)).unwrap();
        let e = turn.evaluate(&model);
        let slip = |w: usize| (e.slips[w][1] + e.slips[w + 1][1]) / 2.0 / DEGREE;
        let gained = |w: usize| (e.contacts[w + 1].load - e.contacts[w].load) / 2.0;
        (
            (slip(0) - slip(2)) / share,
            [gained(0) / share, gained(2) / share],
        )
    };
    let closed = |front: f64, share: f64| {
        let angle = |load: f64, gained: f64| {
            let stiffness = 2.0 * (p * load - q * load * load) - 2.0 * q * Real::sq(gained * share);
            2.0 * load * 0.6 / stiffness
        };
        angle(4000.0, front) - angle(3500.0, 3000.0 - front)
    };
    let rows = [(1500.0, 0.18978), (2000.0, 0.55738), (1000.0, -0.18182)];
    for (front, printed) in rows {
        assert!((closed(front, 1.0) - printed).abs() < 1e-5);
        let (_, gained) = balance(front, 1.0);
        // Tires in series and the weight's arm at 0.04 degrees of roll: 0.3 %.
        assert_close("S10 transfers", &gained, &[front, 3000.0 - front], 3e-3);
        // The change by moving load transfer to one end, against the split in halves, so that
        // squares of the angles, alike at both ends, drop out. The laws part by 7 % at the full
        // transfer and by a quarter of it each time the transfer is halved, down to the 0.3 %
        // above.
        for (share, tolerance) in [(1.0, 0.08), (0.5, 0.02), (0.25, 0.005)] {
            let found = balance(front, share).0 - balance(1500.0, share).0;
            let want = closed(front, share) - closed(1500.0, share);
            assert!(
                (found - want).abs() <= tolerance * want.abs(),
                "S10 at {share}: {found} against {want}"
            );
        }
    }
    // More at the front adds understeer, more at the rear makes this car oversteer.
    let [even, front, rear] = [1500.0, 2000.0, 1000.0].map(|f| balance(f, 1.0).0);
    assert!(
        rear < 0.0 && 0.0 < even && even < front,
        "{rear} {even} {front}"
    );
    // No transfer.
    let (without, _) = balance(1500.0, 1e-2);
    assert_close("S10 without transfer", &[without], &[0.19608], 1e-3);
}

/// Anti-squat on the sheet against the car: with 100 % the rear springs do not compress under
/// drive, with 50 % half as much as with none. Gillespie ch. 7; flag M. An axle carries its drive
/// torque and counts the contact's path, a body-mounted differential leaves the wheel center's.
#[test]
fn val_anti_squat_on_the_sheet() {
    let wheelbase = 2.6;
    for solid in [false, true] {
        let squat = |percent: f64| {
            let end = |forward: f64| End {
                tire_rate: 1e8,
                slip: 1e6,
                unsprung: 0.1,
                roll_center: if solid { 0.5 } else { 0.0 },
                forward,
                ..End::plain(1.5, 0.5, 3e6)
            };
            let mut case = Case::plain(1400.0, [1.3, 1.3], 0.5, [end(0.0); 2]);
            case.ends[1].forward = -percent / 100.0 * case.height() / wheelbase;
            if solid {
                case.beam = Some(Beam {
                    inertia: 20.0,
                    spring_base: 1.5,
                    damper_base: 1.5,
                });
            }
            case.spin_inertia = 1e-3;
            let model = case.model();
            let sheet = model.static_sheet().unwrap();
            let row = sheet.get("anti_squat_rear").unwrap();
            assert!((row - percent).abs() < 1e-6, "{row} {percent}");
            let trim: Trim = solve(&model, forward(20.0, 1.0)).unwrap();
            if solid {
                trim.state[TRAVEL + 2]
            } else {
                (trim.state[TRAVEL + 2] + trim.state[TRAVEL + 3]) / 2.0
            }
        };
        let [none, half, full] = [0.0, 50.0, 100.0].map(squat);
        // Statics: transfer m a h/L on two springs. Wheel centers are as high as the sprung center,
        // so that the pitched weight has no arm, and springs so stiff that what pitch turns of
        // weight and push into the links' slopes (2 % on ordinary springs) is small, 0.02 %.
        let expected = 1400.0 * 0.5 / wheelbase / 2.0 / 3e6;
        assert_close("squat", &[none, half], &[expected, expected / 2.0], 1e-3);
        assert!(full.abs() < 1e-3 * expected, "{full} {expected}");
    }
}
