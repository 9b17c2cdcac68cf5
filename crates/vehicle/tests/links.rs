//! Ends given by the points of their links, through the car file.
#![expect(
    clippy::float_cmp,
    reason = "equal values must be the same number, to the bit"
)]

mod cars;

use axletree_vehicle::FaultKind;
use axletree_vehicle::model::Inputs;
use axletree_vehicle::model::layout::{SPIN, TRAVEL_RATE, VELOCITY};
use axletree_vehicle::model::numbers::{Axle, Corners, Rear};
use axletree_vehicle::{Car, Value};
use axletree_vehicle::{CarEnd, Links};
use cars::{
    MULTI_LINK, SEMI_TRAILING, STRUT, THREE_LINKS, TORQUE_ARM, TRIANGULATED, WISHBONES, front_on,
    independent_on, solid_on,
};

/// Every kind of linkage, with what is askew.
fn all() -> Vec<(&'static str, Car)> {
    vec![
        ("triangulated", solid_on(TRIANGULATED)),
        ("three links", solid_on(THREE_LINKS)),
        ("torque arm", solid_on(TORQUE_ARM)),
        ("wishbones", independent_on(WISHBONES)),
        ("multi-link", independent_on(MULTI_LINK)),
        ("semi-trailing", independent_on(SEMI_TRAILING)),
        ("strut", front_on(STRUT)),
    ]
}

fn axle(car: &Car) -> Axle<f64> {
    match car.numbers().rear {
        Rear::Solid(axle) => axle,
        Rear::Independent(_) => panic!("a solid axle"),
    }
}

fn corners(car: &Car) -> Corners<f64> {
    match car.numbers().rear {
        Rear::Independent(corners) => corners,
        Rear::Solid(_) => panic!("an independent rear end"),
    }
}

fn axle_links(car: &Car) -> axletree_vehicle::AxleLinks {
    match car.linkage(CarEnd::Rear) {
        Some(Links::Axle(links)) => *links,
        other => panic!("{other:?}"),
    }
}

/// Largest acceleration of the ten coordinates as the car stands [m/s^2, rad/s^2].
fn largest_acceleration(car: &Car) -> f64 {
    let model = car.assemble().unwrap();
    let rate = model.rate(&model.rolling_state(0.0), &Inputs::coasting());
    let (body, travel) = (VELOCITY..VELOCITY + 6, TRAVEL_RATE..SPIN);
    body.chain(travel)
        .fold(0.0, |a, i| f64::max(a, rate[i].abs()))
}

#[test]
fn law_cars_on_links_stand_at_rest_also_askew() {
    for (name, car) in all() {
        let a = largest_acceleration(&car);
        assert!(a < 1e-9, "{name}: {a}");
        let askew = car
            .edit([
                ("chassis.center_left", "25 mm"),
                ("chassis.cross_weight", "0.53"),
            ])
            .unwrap();
        let load = askew.summary().load;
        assert!((load[2] - load[3]).abs() > 100.0, "{load:?}");
        let a = largest_acceleration(&askew);
        assert!(a < 1e-9, "{name}, askew: {a}");
    }
}

#[test]
fn the_sheet_of_the_model_says_what_the_links_say() {
    // Two routes: virtual work on the assembled numbers, and the linkage's own figures.
    for (name, car) in all() {
        // Wheels that lean and toe, so that a turn about the wheel's axis counts.
        let alignment = [
            ("front.camber", "-2 deg"),
            ("front.toe_in", "0.3 deg"),
            ("rear.camber", "-2 deg"),
            ("rear.toe_in", "0.3 deg"),
        ];
        let given = |(path, _): &(&str, &str)| car.get(path).is_ok();
        let car = car.edit(alignment.into_iter().filter(given)).unwrap();
        let sheet = car.assemble().unwrap().static_sheet().unwrap();
        let near = |key: &str, want: f64, tolerance: f64| {
            let got = sheet.get(key).unwrap();
            assert!(
                (got - want).abs() < tolerance,
                "{name}, {key}: {got} against {want}"
            );
        };
        match car.linkage(CarEnd::Rear) {
            Some(Links::Axle(links)) => {
                let report = &links.solution.report;
                near("roll_center_height_rear", report.roll_center, 1e-6);
                near("roll_steer_rear", -report.yaw_by_roll, 1e-6);
                // The sheet takes the contacts, pressed where the axle's patch is.
                near("anti_squat_rear", report.anti_squat, 1e-3);
                near("anti_lift_rear", report.anti_lift, 1e-3);
            }
            Some(Links::Corners(links)) => {
                let report = &links.solution.report;
                near("roll_center_height_rear", report.roll_center, 1e-6);
                near("anti_squat_rear", report.anti_squat, 1e-3);
                near("anti_lift_rear", report.anti_lift, 1e-3);
                near("bump_steer_rear", report.toe_gain, 1e-6);
                near("camber_gain_rear", report.camber_gain, 1e-6);
            }
            None => {
                let links = car.linkage(CarEnd::Front).unwrap();
                let report = &links.corners().unwrap().solution.report;
                near("roll_center_height_front", report.roll_center, 1e-6);
                near("anti_dive_front", report.anti_dive, 1e-3);
                near("bump_steer_front", report.toe_gain, 1e-6);
                near("camber_gain_front", report.camber_gain, 1e-6);
            }
        }
    }
    assert!(solid_on(TRIANGULATED).linkage(CarEnd::Front).is_none());
}

#[test]
fn curves_compliance_and_binding_are_those_of_the_links() {
    let car = solid_on(TORQUE_ARM);
    let (numbers, links) = (axle(&car), axle_links(&car));
    let meta = car.summary();
    let curves = &links.solution.curves;
    assert_eq!(numbers.yaw.c, curves.yaw.c);
    assert_eq!(numbers.x.c[1..], curves.x.c[1..]);
    let rear_line = meta.center_behind_front_axle - meta.wheelbase;
    assert!((numbers.x.c[0] - rear_line).abs() < 1e-12);
    assert_eq!(
        numbers.compliance.toe_lateral,
        links.solution.compliance.wheels.toe_lateral
    );
    assert_eq!(numbers.binding, links.solution.potential.potential);
    // Wind-up on rubber; so stiff that it is over before hop begins, it is left out.
    let windup = |car: &Car| car.numbers().chassis.driveline.windup;
    let rubber = solid_on(TRIANGULATED);
    let turn = axle_links(&rubber).solution.compliance.windup;
    assert!((windup(&rubber).stiffness * turn - 1.0).abs() < 1e-12);
    assert_eq!(windup(&rubber).flexible, 1.0);
    assert_eq!(windup(&car).flexible, 0.0);
    assert!(links.solution.compliance.windup < 0.5 * turn);
    // The center of the axle is where the tires carry it.
    let radius = meta.loaded_radius[2];
    assert!((links.linkage.center[2] - radius).abs() < 1e-6);
    // Binding as the equations have it is the exact moment of the links.
    let roll = 3f64.to_radians();
    let exact = links.solution.stored(0.0, roll).unwrap().by_roll;
    let got = numbers.binding.at(0.0, roll)[2];
    assert!(
        exact > 20.0 && (got - exact).abs() < 0.08 * exact + 5.0,
        "{got} {exact}"
    );

    let car = independent_on(WISHBONES);
    let corners = corners(&car);
    let linkage = car.linkage(CarEnd::Rear).unwrap();
    let links = linkage.corners().unwrap();
    let [left, right] = corners.side;
    assert_eq!(left.y.c[1..], links.solution.curves.y.c[1..]);
    for k in 1..5 {
        assert_eq!(left.toe.c[k], -right.toe.c[k]);
        assert_eq!(left.y.c[k], -right.y.c[k]);
        assert_eq!(left.pitch.c[k], right.pitch.c[k]);
    }
    // Toe-in and camber of the file stand on top.
    assert!((left.toe.c[0] + 0.12f64.to_radians()).abs() < 1e-15);
    assert!((right.tilt.c[0] + 1.3f64.to_radians()).abs() < 1e-15);
    assert!(left.binding.at(0.05)[0] > 0.0);
    // Lateral compliance is shared through the subframe, and not where links bolt to the body.
    assert!(corners.compliance.lateral[0][1] > 1e-8);
    let rigid = car
        .edit(
            car.paths()
                .into_iter()
                .filter(|entry| entry.path.starts_with("rear.subframe."))
                .map(|entry| (entry.path, Value::Default)),
        )
        .unwrap();
    let stiffer = self::corners(&rigid).compliance;
    assert!(stiffer.lateral[0][1].abs() < 1e-15);
    assert!(stiffer.lateral[0][0] < corners.compliance.lateral[0][0]);
    assert_eq!(rigid.numbers().chassis.driveline.windup.flexible, 0.0);
}

#[test]
fn one_edit_swaps_the_material_of_every_end() {
    for links in [TRIANGULATED, THREE_LINKS] {
        let car = solid_on(links);
        let of = |material: &str| {
            let car = car.edit([("rear.links.material", material)]).unwrap();
            let solution = axle_links(&car).solution;
            (
                solution.binding_roll_stiffness().unwrap(),
                solution.compliance.wheels.lateral[0][0],
            )
        };
        let (rubber, poly, spherical) = (of("rubber"), of("polyurethane"), of("spherical"));
        assert!(poly.0 > 2.0 * rubber.0, "{poly:?} {rubber:?}");
        assert!(spherical.0 < 0.1 * rubber.0, "{spherical:?} {rubber:?}");
        assert!(poly.1 < 0.5 * rubber.1 && spherical.1 < 0.3 * poly.1);
        // One end of one link otherwise.
        let one = car
            .edit([("rear.links.lower.body.material", "spherical")])
            .unwrap();
        let some = axle_links(&one).solution.binding_roll_stiffness().unwrap();
        assert!(some < 0.98 * rubber.0 && some > spherical.0);
        // A rate of its own in place of the material's.
        let stiff = car
            .edit([("rear.links.lower.axle.conical", "60 N*m/deg")])
            .unwrap();
        assert!(
            axle_links(&stiff)
                .solution
                .binding_roll_stiffness()
                .unwrap()
                > rubber.0
        );
    }
}

#[test]
fn a_hole_of_a_bracket_is_one_edit() {
    let car = solid_on(THREE_LINKS);
    let moved = car.edit([("rear.lateral.bar.axle.z", "290 mm")]).unwrap();
    let [a, b] = [&car, &moved].map(|car| {
        let sheet = car.assemble().unwrap().static_sheet().unwrap();
        sheet.get("roll_center_height_rear").unwrap()
    });
    // Half way along the bar, up by half of the hole.
    assert!((b - a - 0.015).abs() < 1e-3, "{a} {b}");
    let differences = car.differences(&moved);
    assert_eq!(differences.len(), 1);
    assert_eq!(differences[0].path, "rear.lateral.bar.axle.z");
}

#[test]
fn springs_dampers_and_bars_stand_on_points() {
    let points = r#"
[rear.spring]
rate = "46 kN/m"
on = "lower arm"
body = { x = "10 mm", y = "560 mm", z = "500 mm" }
foot = { x = "10 mm", y = "570 mm", z = "215 mm" }
"#;
    let text = cars::without(
        cars::INDEPENDENT,
        &[
            "rear.geometry",
            "rear.shared",
            "rear.compliance",
            "rear.spring",
        ],
    );
    let car = cars::car(&format!("{text}\n{WISHBONES}{points}"));
    let corners = corners(&car);
    let ratio = corners.side[0].spring.c[1];
    assert!((0.6..0.9).contains(&ratio), "{ratio}");
    assert_eq!(corners.side[0].spring, corners.side[1].spring);
    assert!(largest_acceleration(&car) < 1e-9);
    // The damper keeps its coefficient.
    assert_eq!(corners.side[0].damper.c[1], 0.82);
    // A ratio beside points is said twice; a point without its height is not whole; an arm that is not
    // there carries nothing.
    let kinds = |edit: (&str, Value)| {
        let error = car.edit([edit]).unwrap_err();
        assert_eq!(error.faults.len(), 1, "{error}");
        (error.faults[0].path.clone(), error.faults[0].kind.clone())
    };
    let (path, kind) = kinds(("rear.spring.motion_ratio", 0.8.into()));
    assert_eq!(path, "rear.spring.motion_ratio");
    assert!(matches!(kind, FaultKind::GivenTwice { other } if other == "rear.spring.body.x"));
    let (path, kind) = kinds(("rear.spring.foot.z", Value::Default));
    assert_eq!(path, "rear.spring.foot.z");
    assert!(matches!(kind, FaultKind::Missing { .. }));
    let multi = independent_on(MULTI_LINK);
    let error = multi.edit([("rear.spring.on", "lower arm")]).unwrap_err();
    assert_eq!(error.faults[0].path, "rear.spring.on");

    // An axle's bar by points has the lever of its points.
    let text = cars::without(cars::SOLID, &["rear.geometry", "rear.shared"]).replacen(
        "arm_length = \"260 mm\"\n",
        "arm_length_ = 0\n",
        1,
    );
    let at = text
        .rfind("arm_length = \"260 mm\"")
        .map_or(text.clone(), |_| text.clone());
    let text = at.replacen("arm_length_ = 0\n", "", 1).replacen(
        "spacing = \"0.80 m\"",
        "pivot = { x = \"260 mm\", y = \"0 mm\", z = \"300 mm\" }\n\
             end = { x = \"0 mm\", y = \"400 mm\", z = \"300 mm\" }\n\
             link = { x = \"0 mm\", y = \"400 mm\", z = \"420 mm\" }",
        1,
    );
    let by_points = cars::car(&format!("{text}\n{TRIANGULATED}"));
    let by_coefficients = solid_on(TRIANGULATED);
    let [a, b] = [by_points, by_coefficients].map(|car| axle(&car));
    assert!((a.bar_rate / b.bar_rate - 1.0).abs() < 1e-12);
    // Straight links of the same spacing: the same end travel, to the cosine of what the axle turns.
    for side in 0..2 {
        assert!((a.side[side].bar.c[1] - b.side[side].bar.c[1]).abs() < 0.15);
        assert!((a.side[side].bar.c[2] / b.side[side].bar.c[2] - 1.0).abs() < 0.15);
    }
}

#[test]
fn a_front_end_on_links_steers_about_their_axis() {
    let car = front_on(STRUT);
    let corner = car.numbers().front.side[0];
    let ball = [-2.0, 700.0, 190.0];
    let top = [-45.0, 570.0, 800.0];
    let up: Vec<f64> = (0..3).map(|k| top[k] - ball[k]).collect();
    let n = up.iter().map(|x| x * x).sum::<f64>().sqrt();
    // Static toe and camber turn the knuckle's axes by a degree: compare the lean to that.
    for k in 0..3 {
        assert!((corner.steering_axis[k] - up[k] / n).abs() < 0.025);
    }
    let length: f64 = corner.steering_axis.iter().map(|x| x * x).sum();
    assert!((length - 1.0).abs() < 1e-12);
    // A multi-link front end needs the spring's points for its axis.
    let front = MULTI_LINK.replace("[rear.", "[front.");
    let tables = ["front.geometry", "front.axis", "front.compliance"];
    let text = cars::without(cars::SOLID, &tables);
    let error = Car::from_toml(&format!("{text}\n{front}"), None).unwrap_err();
    assert!(
        matches!(error.faults[0].kind, FaultKind::NoSteeringAxis) && error.faults.len() == 1,
        "{error}"
    );
}

#[test]
fn links_of_the_other_kind_of_rear_end_are_told() {
    let car = solid_on(TRIANGULATED);
    let error = car.edit([("rear.links.type", "strut")]).unwrap_err();
    let fault = error.faults.iter().find(|f| f.path == "rear.links.type");
    assert!(
        fault
            .unwrap()
            .to_string()
            .contains("belongs to a car with rear.type = \"independent\""),
        "{error}"
    );
}

#[test]
fn rear_ends_on_links_exchange_and_round_trip() {
    let (a, b) = (solid_on(TRIANGULATED), independent_on(WISHBONES));
    let swapped = a.with_rear(&b).unwrap();
    assert!(swapped.linkage(CarEnd::Rear).unwrap().corners().is_some());
    let back = swapped.with_rear(&a).unwrap();
    assert_eq!(back, a);
    assert_eq!(back.numbers(), a.numbers());
    assert_eq!(back.summary(), a.summary());
    for car in [a, b, solid_on(TORQUE_ARM)] {
        let again = Car::from_toml(&car.to_toml(), None).unwrap();
        assert_eq!(again, car);
        assert_eq!(again.numbers(), car.numbers());
        assert_eq!(again.summary(), car.summary());
        // Every entry of the links is listed, and only those of this kind.
        let paths = car.paths();
        let has = |path: &str| paths.iter().any(|entry| entry.path == path);
        assert!(has("rear.links.lower.material"));
        assert!(!has("rear.geometry.roll_center_height") && !has("rear.shared.yaw"));
    }
}

#[test]
fn an_edit_of_another_entry_keeps_the_links() {
    let car = solid_on(TRIANGULATED);
    let stiffer = car.edit([("rear.bar.outer_diameter", "24 mm")]).unwrap();
    let solver = |car: &Car| format!("{:?}", axle_links(car).solution.curves);
    assert_eq!(solver(&car), solver(&stiffer));
    let moved = car.edit([("rear.links.lower.axle.z", "215 mm")]).unwrap();
    assert_ne!(solver(&car), solver(&moved));
    // And what was solved before says nothing about a car that is read anew.
    let anew = Car::from_toml(&moved.to_toml(), None).unwrap();
    assert_eq!(anew.numbers(), moved.numbers());
    assert_eq!(anew.summary(), moved.summary());
}
