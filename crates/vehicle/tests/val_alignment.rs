//! Toe, camber and steer of whole cars against finite rotations (nalgebra) and closed forms.
#![expect(
    clippy::disallowed_methods,
    reason = "closed forms by the platform's functions, compared within a tolerance"
)]

mod cars;

use axletree_vehicle::model::layout::Inputs;
use axletree_vehicle::model::{Evaluation, Rear};
use axletree_vehicle::{Car, CarEnd, Sheet, bundled, keys};
use cars::{SEMI_TRAILING, independent_on};
use nalgebra::{Rotation3, Unit, Vector3};

#[track_caller]
fn near(what: &str, got: f64, want: f64, relative: f64, absolute: f64) {
    let most = relative * want.abs() + absolute;
    assert!((got - want).abs() <= most, "{what}: {got}, expected {want}");
}

fn sheet(car: &Car) -> Sheet {
    car.assemble().unwrap().static_sheet().unwrap()
}

fn row(car: &Car, key: &str) -> f64 {
    sheet(car).get(key).unwrap()
}

/// Axis of a left wheel at rest by the car's entries for the rear end.
fn axis_at_rest(car: &Car) -> Vector3<f64> {
    let [toe_in, camber] = [keys::TOE_IN, keys::CAMBER].map(|key| car.value(key.at(CarEnd::Rear)));
    let toe = Rotation3::from_axis_angle(&Vector3::z_axis(), -toe_in);
    let tilt = Rotation3::from_axis_angle(&Vector3::x_axis(), -camber);
    toe * tilt * Vector3::y()
}

/// A semi-trailing arm with 2 degrees of camber, turned about its hinge by finite angles: the toe
/// and the camber of the equations over the travel, and the gains of the sheet. The control: the
/// arm's own turn about the vertical, which is the toe gain of an upright wheel, is another by more
/// than half.
#[test]
fn val_semi_trailing_arm_with_camber() {
    let car = independent_on(SEMI_TRAILING)
        .edit([("rear.camber", "-2 deg"), ("rear.toe_in", "0.1 deg")])
        .unwrap();
    let links = car.linkage(CarEnd::Rear).unwrap();
    let center = Vector3::from(links.corners().unwrap().linkage.center);
    // The hinge of the shared car.
    let [a, b] = [
        Vector3::new(0.300, 0.150, 0.280),
        Vector3::new(0.420, 0.560, 0.270),
    ];
    let hinge = Unit::new_normalize(b - a);
    let turned = |angle: f64| {
        let turn = Rotation3::from_axis_angle(&hinge, angle);
        let travel = (a + turn * (center - a)).z - center.z;
        let n = turn * axis_at_rest(&car);
        (travel, n.x.atan2(n.y), -n.z.asin())
    };
    let Rear::Independent(corners) = car.numbers().rear else {
        panic!("an independent rear end")
    };
    let left = &corners.side[0];
    for angle in [-0.1, -0.03, 0.0, 0.05, 0.1] {
        let (travel, toe_in, camber) = turned(angle);
        near("toe", left.toe.at(travel)[0], -toe_in, 0.0, 2e-5);
        near("tilt", left.tilt.at(travel)[0], -camber, 0.0, 2e-5);
    }
    let d = 1e-5;
    let (up, down) = (turned(d), turned(-d));
    let bump_steer = (up.1 - down.1) / (up.0 - down.0);
    let camber_gain = (up.2 - down.2) / (up.0 - down.0);
    near(
        "bump steer",
        row(&car, "bump_steer_rear"),
        bump_steer,
        1e-6,
        0.0,
    );
    near(
        "camber gain",
        row(&car, "camber_gain_rear"),
        camber_gain,
        1e-6,
        0.0,
    );
    // Body roll by half the track per bump; toe-in of the outer, rising wheel adds understeer.
    let half_track = 0.5 * car.value(keys::TRACK.at(CarEnd::Rear));
    let roll_steer = bump_steer * half_track;
    near(
        "roll steer",
        row(&car, "roll_steer_rear"),
        roll_steer,
        1e-6,
        0.0,
    );
    let about_vertical = hinge.z / (hinge.cross(&(center - a))).z;
    assert!((-about_vertical / bump_steer - 1.0).abs() > 0.5);
}

/// The gains that a file states are those of the sheet, with camber and toe at rest and a knuckle
/// that turns about the wheel's axis.
#[test]
fn the_sheet_shows_the_gains_of_the_file() {
    let car = bundled("bramble-independent-by-coefficients")
        .unwrap()
        .unwrap()
        .edit([
            ("front.camber", "-3 deg"),
            ("front.toe_in", "0.5 deg"),
            ("front.geometry.camber_gain", "-20 deg/m"),
            ("front.geometry.toe_gain", "-2.5 deg/m"),
            ("front.geometry.caster_gain", "45 deg/m"),
        ])
        .unwrap();
    for (key, entry) in [
        ("camber_gain_front", keys::GEOMETRY_CAMBER_GAIN),
        ("bump_steer_front", keys::GEOMETRY_TOE_GAIN),
    ] {
        let written = car.value(entry.at(CarEnd::Front));
        near(key, row(&car, key), written, 1e-12, 0.0);
    }
    let height = car.value(keys::GEOMETRY_ROLL_CENTER_HEIGHT.at(CarEnd::Front));
    near(
        "roll center",
        row(&car, "roll_center_height_front"),
        height,
        1e-9,
        0.0,
    );
}

/// The car at rest with its steering wheel turned.
fn steered(car: &Car, steering_wheel: f64) -> Evaluation<f64> {
    let model = car.assemble().unwrap();
    let inputs = Inputs {
        steering_wheel,
        ..Inputs::coasting()
    };
    model.evaluate(&model.rolling_state(0.0), &inputs)
}

/// Angles of the front wheels on the road, left and right, to the left positive.
fn road_angles(car: &Car, steering_wheel: f64) -> [f64; 2] {
    let e = steered(car, steering_wheel);
    [0, 1].map(|i| {
        let forward = e.contacts[i].forward;
        forward.y().atan2(forward.x())
    })
}

/// On a car whose steering axes lean: full Ackermann geometry by cotangents, half of it by half of
/// their difference, and the steering ratio, all as turn plates show them.
#[test]
fn val_ackermann_geometry_of_a_car() {
    let base = bundled("bramble-solid")
        .unwrap()
        .unwrap()
        .edit([("front.toe_in", "0 deg")])
        .unwrap();
    let ratio = base.value(keys::STEERING_RATIO);
    let full = base.value(keys::TRACK.at(CarEnd::Front)) / base.value(keys::WHEELBASE);
    for share in [0.0, 0.5, 1.0, -0.3] {
        let car = base.edit([("steering.ackermann", share)]).unwrap();
        for mean in [-0.5_f64, -0.1, 0.02, 0.3, 0.52] {
            let [left, right] = road_angles(&car, mean * ratio);
            near("mean", 0.5 * (left + right), mean, 1e-12, 0.0);
            let difference = 1.0 / right.tan() - 1.0 / left.tan();
            near("cotangents", difference, share * full, 1e-9, 1e-10);
        }
    }
    // To second order the inner wheel would be off by 0.3 degrees at 30 degrees.
    let car = base.edit([("steering.ackermann", 1.0)]).unwrap();
    let mean = 0.47;
    let [inner, _] = road_angles(&car, mean * ratio);
    let second_order = mean + 0.5 * full * mean * mean;
    near("inner", inner.to_degrees(), 30.0, 0.0, 1.0);
    assert!((second_order - inner).to_degrees() > 0.2);
}
