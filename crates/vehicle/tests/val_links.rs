//! Links given in a car file against closed forms: instant centers, roll centers, anti effects,
//! walk, compliance. Geometry does not depend on the car's weight, so the cases hold to their
//! tolerances.
#![expect(
    clippy::float_cmp,
    reason = "equal values must be the same number, to the bit"
)]

mod cars;

use axletree_linkage::AxleReport;
use axletree_vehicle::Car;
use axletree_vehicle::Sheet;
use axletree_vehicle::model::numbers::Rear;
use axletree_vehicle::{CarEnd, Links};
use cars::{SEMI_TRAILING, THREE_LINKS, front_on, independent_on, solid_on};

#[track_caller]
fn near(what: &str, got: f64, want: f64, relative: f64, absolute: f64) {
    let most = relative * want.abs() + absolute;
    assert!((got - want).abs() <= most, "{what}: {got}, expected {want}");
}

fn report(car: &Car) -> AxleReport {
    match car.linkage(CarEnd::Rear) {
        Some(Links::Axle(links)) => links.solution.report,
        other => panic!("{other:?}"),
    }
}

fn sheet(car: &Car) -> Sheet {
    car.assemble().unwrap().static_sheet().unwrap()
}

/// Wheelbase over the height of the center of gravity, front brake share.
fn proportions(car: &Car) -> [f64; 2] {
    let chassis = &car.numbers().chassis;
    [
        car.summary().wheelbase / chassis.height,
        chassis.front_brake_share,
    ]
}

/// K5: Milliken and Milliken 1995 ch. 17, Gillespie 1992 ch. 7 (constructions); flag L (numpy
/// lstsq); 1e-6 at design.
#[test]
fn val_k5_triangulated_four_links() {
    let car = solid_on(
        r#"
[rear.links]
type = "four links"
upper.axle = { x = "0 mm", y = "100 mm", z = "460 mm" }
upper.body = { x = "300 mm", y = "350 mm", z = "420 mm" }
lower.axle = { x = "0 mm", y = "500 mm", z = "220 mm" }
lower.body = { x = "550 mm", y = "500 mm", z = "260 mm" }
"#,
    );
    let found = report(&car);
    near("roll center", found.roll_center * 1e3, 484.7273, 1e-6, 5e-5);
    near("yaw per roll", found.yaw_by_roll, 0.072727, 1e-6, 5e-7);
    // The same by virtual work on the assembled numbers; a body that rolls is an axle that rolls
    // back.
    let sheet = sheet(&car);
    let height = sheet.get("roll_center_height_rear").unwrap();
    near("roll center", height * 1e3, 484.7273, 1e-6, 5e-5);
    let steer = sheet.get("roll_steer_rear").unwrap();
    near("roll steer", steer, -0.072727, 1e-6, 5e-7);
}

/// K8 at design: Gillespie 1992 ch. 6 and 7; flags M, L; 1e-6.
#[test]
fn val_k8_torque_arm_and_panhard_bar() {
    let car = solid_on(
        r#"
[rear.links]
type = "torque arm"
lower.axle = { x = "0 mm", y = "500 mm", z = "200 mm" }
lower.body = { x = "550 mm", y = "500 mm", z = "230 mm" }
arm.mount = { x = "1200 mm", y = "0 mm", z = "300 mm" }

[rear.lateral]
type = "panhard bar"
bar.axle = { x = "-120 mm", y = "450 mm", z = "300 mm" }
bar.body = { x = "-120 mm", y = "-450 mm", z = "300 mm" }
"#,
    );
    let found = report(&car);
    near("roll center", found.roll_center * 1e3, 306.5455, 1e-6, 5e-5);
    near("yaw per roll", found.yaw_by_roll, 0.054545, 1e-6, 5e-7);
    let at_bar = found.roll_axis.unwrap().crossing(0, -0.12).unwrap();
    near("at the bar", at_bar[2] * 1e3, 300.0, 1e-6, 5e-4);
}

/// K3: Dixon 1996, Gillespie 1992 ch. 7: the roll center is where the bar crosses the center plane;
/// 1e-6. The bar lies in the plane of the axle line, so that the slope of the roll axis plays no
/// part.
#[test]
fn val_k3_panhard_bar() {
    let car = solid_on(THREE_LINKS)
        .edit([
            ("rear.links.lower.body.y", "500 mm"),
            ("rear.lateral.bar.axle.x", "0 mm"),
            ("rear.lateral.bar.body.x", "0 mm"),
            ("rear.lateral.bar.axle.z", "300 mm"),
            ("rear.lateral.bar.body.z", "250 mm"),
            ("rear.lateral.bar.body.y", "-440 mm"),
        ])
        .unwrap();
    near(
        "roll center",
        report(&car).roll_center * 1e3,
        274.7191,
        1e-6,
        5e-5,
    );
    let height = sheet(&car).get("roll_center_height_rear").unwrap();
    near("roll center", height * 1e3, 274.7191, 1e-6, 5e-5);
}

/// K4, Dixon 1996: the roll center is at the pivot of a Watt's crank, wherever the pivot is; its
/// walk is thousandths of the Panhard bar's.
#[test]
fn val_k4_watts_linkage() {
    for pivot_on in ["axle", "body"] {
        let car = solid_on(&format!(
            r#"
[rear.links]
type = "torque arm"
lower.axle = {{ x = "0 mm", y = "500 mm", z = "200 mm" }}
lower.body = {{ x = "550 mm", y = "500 mm", z = "200 mm" }}
arm.mount = {{ x = "1200 mm", y = "0 mm", z = "300 mm" }}

[rear.lateral]
type = "watts linkage"
pivot_on = "{pivot_on}"
pivot = {{ x = "0 mm", y = "0 mm", z = "290 mm" }}
left.crank = {{ x = "0 mm", y = "0 mm", z = "390 mm" }}
left.end = {{ x = "0 mm", y = "420 mm", z = "390 mm" }}
right.crank = {{ x = "0 mm", y = "0 mm", z = "190 mm" }}
right.end = {{ x = "0 mm", y = "-420 mm", z = "190 mm" }}
"#
        ));
        let found = report(&car);
        near("roll center", found.roll_center, 0.290, 1e-9, 0.0);
        // At the pivot on the axle it rises with the axle over the moved ground: the two cancel.
        let slope = if pivot_on == "axle" { 0.0 } else { -1.0 };
        near("migration", found.roll_center_slope, slope, 0.0, 1e-4);
        near("walk by heave", found.walk_by_heave, 0.0, 0.0, 1e-9);
    }
}

/// K6: Gillespie 1992 ch. 7, solid drive axle: the line from the patch to the instant center
/// against height over wheelbase; flags M, L; 1e-8. The case's centers, the car's own proportions.
#[test]
fn val_k6_anti_squat_and_anti_lift_of_a_solid_axle() {
    let four = solid_on(cars::PARALLEL);
    let arm = solid_on(
        r#"
[rear.links]
type = "torque arm"
lower.axle = { x = "0 mm", y = "500 mm", z = "200 mm" }
lower.body = { x = "550 mm", y = "500 mm", z = "230 mm" }
arm.mount = { x = "1200 mm", y = "0 mm", z = "500 mm" }

[rear.lateral]
type = "panhard bar"
bar.axle = { x = "-100 mm", y = "450 mm", z = "300 mm" }
bar.body = { x = "-100 mm", y = "-450 mm", z = "300 mm" }
"#,
    );
    // The same lines as numbers: lower 220 to 250 over 550 mm, upper 460 to 425 from 30 to 380 mm.
    let (lower, upper) = (30.0 / 550.0, -35.0 / 350.0);
    let x = (463.0 - 220.0) / (lower - upper);
    let z = 220.0 + lower * x;
    near("x of the case", x, 1572.353, 1e-6, 0.0);
    near("z of the case", z, 305.765, 1e-6, 5e-4);
    for (car, line) in [(&four, z / x), (&arm, (200.0 + 1200.0 * lower) / 1200.0)] {
        let [slender, front_share] = proportions(car);
        let squat = 100.0 * line * slender;
        near("anti-squat", report(car).anti_squat, squat, 1e-8, 0.0);
        let rear_share = 1.0 - front_share;
        near(
            "anti-lift",
            report(car).anti_lift,
            squat * rear_share,
            1e-8,
            0.0,
        );
        // The sheet takes the contacts where tires are pressed.
        let sheet = sheet(car);
        let of = |key| sheet.get(key).unwrap();
        near("sheet", of("anti_squat_rear"), squat, 0.0, 1e-3);
        near("sheet", of("anti_lift_rear"), squat * rear_share, 0.0, 1e-3);
    }
}

/// Two wishbones that swing the knuckle in the side view alone: both balls in the wheel's plane
/// above and below its axis, hinges that incline in the side view by the given slopes and pass the
/// axle line at 150 and 450 mm, a toe link straight across. Half the track is 740 mm.
fn side_view(end: &str, lower: f64, upper: f64) -> String {
    let pivot = |x: f64, z: f64, slope: f64| {
        let z = z + slope * x;
        format!("{{ x = \"{x} mm\", y = \"360 mm\", z = \"{z} mm\" }}")
    };
    format!(
        r#"
[{end}.links]
type = "double wishbone"
lower.front = {}
lower.rear = {}
lower.ball = {{ x = "0 mm", y = "740 mm", z = "150 mm" }}
upper.front = {}
upper.rear = {}
upper.ball = {{ x = "0 mm", y = "740 mm", z = "450 mm" }}
toe.inner = {{ x = "-130 mm", y = "360 mm", z = "290 mm" }}
toe.outer = {{ x = "-130 mm", y = "700 mm", z = "290 mm" }}
"#,
        pivot(150.0, 150.0, lower),
        pivot(-150.0, 150.0, lower),
        pivot(150.0, 450.0, upper),
        pivot(-150.0, 450.0, upper),
    )
}

/// Upright wheels that point straight ahead.
fn upright(car: &Car, end: &str) -> Car {
    let paths = ["camber", "toe_in"].map(|name| format!("{end}.{name}"));
    car.edit(paths.map(|path| (path, 0.0))).unwrap()
}

/// K7: Gillespie 1992 ch. 7: instant center (3000, 350) mm; drive from the wheel center, outboard
/// brakes from the patch; flags M, L; 1e-8. The case's lines, the car's own proportions.
#[test]
fn val_k7_anti_squat_and_anti_lift_of_an_independent_rear() {
    let car = independent_on(&side_view("rear", 40.0 / 600.0, -20.0 / 600.0));
    let car = upright(&car, "rear");
    let links = car.linkage(CarEnd::Rear).unwrap();
    let links = links.corners().unwrap();
    let [x, y, z] = links.linkage.center;
    assert!(x.abs() < 1e-12);
    near("half track", y, 0.74, 1e-12, 0.0);
    let found = &links.solution.report;
    let [slender, front_share] = proportions(&car);
    let squat = 100.0 * (0.350 - z) / 3.0 * slender;
    let lift = 100.0 * 0.350 / 3.0 * slender * (1.0 - front_share);
    near("anti-squat", found.anti_squat, squat, 1e-8, 1e-9);
    near("anti-lift", found.anti_lift, lift, 1e-8, 1e-9);
    near("toe gain", found.toe_gain, 0.0, 0.0, 1e-9);
    let sheet = sheet(&car);
    near(
        "sheet",
        sheet.get("anti_squat_rear").unwrap(),
        squat,
        1e-8,
        1e-6,
    );
    near(
        "sheet",
        sheet.get("anti_lift_rear").unwrap(),
        lift,
        0.0,
        1e-3,
    );
    assert!(lift > 5.0 && squat > 1.0, "{lift} {squat}");
}

/// The mirror of the same at the front: an instant center 3 m behind the axle line and 350 mm high.
/// Gillespie 1992 ch. 7 (anti-dive); flag M.
#[test]
fn val_anti_dive_of_a_front_end() {
    let car = front_on(&side_view("front", -40.0 / 600.0, 20.0 / 600.0));
    let car = upright(&car, "front");
    let [slender, front_share] = proportions(&car);
    let dive = 100.0 * 0.350 / 3.0 * slender * front_share;
    let links = car.linkage(CarEnd::Front).unwrap();
    let found = &links.corners().unwrap().solution.report;
    near("anti-dive", found.anti_dive, dive, 1e-8, 1e-9);
    let sheet = sheet(&car);
    near(
        "sheet",
        sheet.get("anti_dive_front").unwrap(),
        dive,
        0.0,
        1e-3,
    );
    assert!(dive > 20.0);
}

/// K1: Gillespie 1992 ch. 7, Milliken and Milliken 1995 ch. 17, Reimpell et al. 2001
/// (construction); flag L (fsolve); 1e-6 at design. Hinges along the car and a toe link beside the
/// lower arm keep the knuckle in the front view.
#[test]
fn val_k1_double_wishbone() {
    let car = front_on(
        r#"
[front.links]
type = "double wishbone"
lower.front = { x = "150 mm", y = "380 mm", z = "200 mm" }
lower.rear = { x = "-150 mm", y = "380 mm", z = "200 mm" }
lower.ball = { x = "0 mm", y = "705 mm", z = "180 mm" }
upper.front = { x = "150 mm", y = "440 mm", z = "455 mm" }
upper.rear = { x = "-150 mm", y = "440 mm", z = "455 mm" }
upper.ball = { x = "0 mm", y = "665 mm", z = "480 mm" }
toe.inner = { x = "-120 mm", y = "380 mm", z = "200 mm" }
toe.outer = { x = "-120 mm", y = "705 mm", z = "180 mm" }
"#,
    );
    front_view(&car, "1.5 m", 119.6584, -31.684);
}

/// K2: the same sources and tolerance; a strut.
#[test]
fn val_k2_strut() {
    let car = front_on(
        r#"
[front.links]
type = "strut"
lower.front = { x = "150 mm", y = "360 mm", z = "215 mm" }
lower.rear = { x = "-150 mm", y = "360 mm", z = "215 mm" }
lower.ball = { x = "0 mm", y = "715 mm", z = "190 mm" }
top.mount = { x = "0 mm", y = "575 mm", z = "830 mm" }
foot = { x = "0 mm", y = "655 mm", z = "300 mm" }
toe.inner = { x = "-120 mm", y = "360 mm", z = "215 mm" }
toe.outer = { x = "-120 mm", y = "715 mm", z = "190 mm" }
"#,
    );
    front_view(&car, "1.51 m", 99.8627, -18.931);
}

/// Roll center [mm] and camber gain [deg/m] of an upright front end, by the links and by the sheet.
fn front_view(car: &Car, track: &str, height: f64, camber: f64) {
    let car = upright(car, "front")
        .edit([("front.track", track)])
        .unwrap();
    let links = car.linkage(CarEnd::Front).unwrap();
    let found = &links.corners().unwrap().solution.report;
    near("roll center", found.roll_center * 1e3, height, 1e-6, 5e-5);
    near("camber", found.camber_gain.to_degrees(), camber, 1e-6, 5e-4);
    let sheet = sheet(&car);
    let of = |key| sheet.get(key).unwrap();
    near(
        "sheet",
        of("roll_center_height_front") * 1e3,
        height,
        1e-6,
        5e-5,
    );
    near(
        "sheet",
        of("camber_gain_front").to_degrees(),
        camber,
        1e-6,
        5e-4,
    );
}

/// An arm on two bushings along the car at the wheel center's height, b before and behind it, a
/// distance l inboard: per longitudinal force at the wheel center, by statics, it shifts by 1/(2
/// k_axial) and turns by l/(2 k_radial b^2 + 2 k_conical).
#[test]
fn val_arm_on_two_bushings() {
    let car = upright(&independent_on(SEMI_TRAILING), "rear");
    let links = car.linkage(CarEnd::Rear).unwrap();
    let [_, half_track, height] = links.corners().unwrap().linkage.center;
    let (b, inboard) = (0.15, 0.40);
    let l = half_track - inboard;
    let (radial, axial, torsional, conical) = (4e6, 7e5, 80.0, 900.0);
    let mut edits = Vec::new();
    for (end, x) in [("inner", -b), ("outer", b)] {
        for (name, value) in [
            ("x", x),
            ("y", inboard),
            ("z", height),
            ("radial", radial),
            ("axial", axial),
            ("torsional", torsional),
            ("conical", conical),
        ] {
            edits.push((format!("rear.links.arm.{end}.{name}"), value));
        }
    }
    let car = car.edit(edits).unwrap();
    let Rear::Independent(corners) = car.numbers().rear else {
        panic!("an independent rear end")
    };
    let found = corners.compliance;
    let turn = l / (2.0 * radial * b * b + 2.0 * conical);
    let shift = 1.0 / (2.0 * axial) + turn * l;
    near("longitudinal", found.longitudinal[0][0], shift, 1e-9, 0.0);
    near("toe", found.toe_longitudinal[0][0], -turn, 1e-9, 0.0);
    near("toe, right", found.toe_longitudinal[1][1], turn, 1e-9, 0.0);
    // A lateral force at the patch tilts the arm about its hinge, which keeps the wheel center's
    // height.
    let tilt = height / (2.0 * radial * l * l + 2.0 * torsional);
    near("tilt", found.tilt_lateral[0][0], tilt, 1e-9, 0.0);
    let across = 1.0 / (2.0 * radial) + height * tilt;
    near("across", found.lateral[0][0], across, 1e-9, 0.0);
    // Nothing joins the sides.
    assert_eq!(found.longitudinal[0][1], 0.0);
}
