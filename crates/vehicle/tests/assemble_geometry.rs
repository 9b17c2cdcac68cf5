//! The assembled numbers mean what the file says: loads, roll centers, preloads, masses,
//! compliance, each found again from the numbers by another route.
#![expect(
    clippy::disallowed_methods,
    reason = "closed forms are compared to many digits, not to the last bit"
)]
#![expect(
    clippy::float_cmp,
    reason = "equal values must be the same number, to the bit"
)]

use axletree_scalar::{Mat3, Vec3};
use axletree_vehicle::CarSummary;
use axletree_vehicle::model::numbers::{Axle, Corner, Corners, Curve, Numbers, Rear, Surface};
use axletree_vehicle::{Car, Value};

mod cars;

/// The cars by coefficients.
const BY_COEFFICIENTS: [(&str, &str); 2] = [
    ("bramble-solid", cars::SOLID),
    ("bramble-independent", cars::INDEPENDENT),
];

fn car(name: &str) -> Car {
    let (_, text) = BY_COEFFICIENTS
        .iter()
        .find(|(known, _)| *known == name)
        .unwrap();
    cars::car(text)
}

fn edited(name: &str, changes: &[(&str, Value)]) -> (Numbers<f64>, CarSummary) {
    let car = car(name)
        .edit(changes.iter().cloned())
        .unwrap_or_else(|e| panic!("{e}"));
    (*car.numbers(), car.summary().clone())
}

fn axle(numbers: &Numbers<f64>) -> &Axle<f64> {
    match &numbers.rear {
        Rear::Solid(axle) => axle,
        Rear::Independent(_) => panic!("a solid rear end"),
    }
}

fn rear_corners(numbers: &Numbers<f64>) -> &Corners<f64> {
    match &numbers.rear {
        Rear::Independent(corners) => corners,
        Rear::Solid(_) => panic!("an independent rear end"),
    }
}

#[track_caller]
fn close(got: f64, want: f64, absolute: f64) {
    assert!((got - want).abs() <= absolute, "{got} against {want}");
}

fn at(curve: &Curve<f64>, s: f64) -> f64 {
    curve.c.iter().rev().fold(0.0, |sum, c| sum * s + c)
}

fn over(surface: &Surface<f64>, h: f64, r: f64) -> f64 {
    let terms = [
        1.0,
        h,
        r,
        h * h,
        h * r,
        r * r,
        h * h * h,
        h * h * r,
        h * r * r,
        r * r * r,
    ];
    terms.iter().zip(surface.c).map(|(t, c)| t * c).sum()
}

/// Pose of a knuckle: center and axes as columns.
fn pose(corner: &Corner<f64>, s: f64) -> (Vec3<f64>, Mat3<f64>) {
    (
        Vec3([at(&corner.x, s), at(&corner.y, s), at(&corner.z, s)]),
        Mat3::about_z(at(&corner.toe, s))
            * Mat3::about_x(at(&corner.tilt, s))
            * Mat3::about_y(at(&corner.pitch, s)),
    )
}

/// From the wheel center to the lowest point of a disc of radius `radius` whose axis is the second
/// column, over a road that lies level in the body.
fn lowest(axes: &Mat3<f64>, radius: f64) -> Vec3<f64> {
    let n = axes.0[1];
    let down = Vec3([0.0, 0.0, -1.0]);
    (down - n.times(n.dot(down))).unit().times(radius)
}

#[test]
fn law_loads_carry_the_car() {
    for (name, changes) in [
        ("bramble-solid", vec![]),
        ("bramble-independent", vec![]),
        (
            "bramble-solid",
            vec![("chassis.center_left", "25 mm".into())],
        ),
        (
            "bramble-independent",
            vec![
                ("chassis.center_left", Value::from("-30 mm")),
                ("chassis.cross_weight", Value::from(0.53)),
            ],
        ),
    ] {
        let (numbers, meta) = edited(name, &changes);
        let weight = meta.mass * numbers.chassis.gravity;
        let [fl, fr, rl, rr] = meta.load;
        close(fl + fr + rl + rr, weight, 1e-8);
        // Balance about the front axle line and about the center plane. An axle that leans also
        // steers by some 1e-5 rad, which moves its contacts along the car.
        close(
            (rl + rr) * meta.wheelbase,
            weight * meta.center_behind_front_axle,
            1e-2,
        );
        let roll = 0.5 * (meta.track[0] * (fl - fr) + meta.track[1] * (rl - rr));
        close(roll, weight * meta.center_left, 1e-4);
        match changes
            .iter()
            .find(|(path, _)| *path == "chassis.cross_weight")
        {
            Some((_, Value::Number(cross))) => close((fr + rl) / weight, *cross, 1e-12),
            _ => close(fl / (fl + fr), rl / (rl + rr), 1e-6),
        }
        // The masses are those of the file, and O is their common center.
        let sprung = numbers.chassis.sprung;
        let mut sum = Vec3(sprung.center).times(sprung.mass);
        for corner in &numbers.front.side {
            sum += pose(corner, 0.0).0.times(corner.unsprung.mass);
        }
        match &numbers.rear {
            Rear::Independent(corners) => {
                for corner in &corners.side {
                    sum += pose(corner, 0.0).0.times(corner.unsprung.mass);
                }
            }
            Rear::Solid(axle) => {
                let r = meta.rest_travel[3];
                let center = Vec3([over(&axle.x, 0.0, r), over(&axle.y, 0.0, r), axle.z]);
                sum += center.times(axle.unsprung.mass);
            }
        }
        for component in sum.0 {
            close(component, 0.0, 1e-9);
        }
    }
}

#[test]
fn wheels_stand_on_the_road_at_their_track() {
    let tilted = [
        ("front.camber", Value::from("-3 deg")),
        ("front.toe_in", Value::from("0.4 deg")),
        ("chassis.cross_weight", Value::from(0.54)),
    ];
    for changes in [&tilted[..0], &tilted[..]] {
        let (numbers, meta) = edited("bramble-independent", changes);
        let mut contacts = Vec::new();
        for (i, corner) in numbers
            .front
            .side
            .iter()
            .chain(&rear_corners(&numbers).side)
            .enumerate()
        {
            let (center, axes) = pose(corner, 0.0);
            let contact = center + lowest(&axes, meta.loaded_radius[i]);
            close(contact.z(), -meta.center_height, 1e-14);
            contacts.push(contact);
            // The radial force is the load seen in the wheel's plane.
            let deflection = corner.wheel.tire.unloaded_radius - meta.loaded_radius[i];
            let force = corner.wheel.tire.normal_load(deflection, 0.0);
            close(force / axes.0[1].z().asin().cos(), meta.load[i], 1e-8);
        }
        for end in 0..2 {
            close(
                contacts[2 * end].y() - contacts[2 * end + 1].y(),
                meta.track[end],
                1e-13,
            );
            close(
                contacts[0].x() - contacts[2 + end].x(),
                meta.wheelbase,
                1e-13,
            );
        }
    }
    // Toe-in and camber as the file says.
    let (numbers, _) = edited("bramble-independent", &tilted);
    let [left, right] = numbers.front.side.map(|c| pose(&c, 0.0).1.0[1]);
    close(left.x().atan2(left.y()).to_degrees(), 0.4, 1e-12);
    close((-right.x()).atan2(right.y()).to_degrees(), 0.4, 1e-12);
    close(-left.z().asin().to_degrees(), -3.0, 1e-12);
    close(right.z().asin().to_degrees(), -3.0, 1e-12);
}

/// Roll-center height of a mirrored pair at a bump travel of both wheels: the normal to the path of
/// the knuckle's point at the contact, by differences, cut with the center plane.
fn roll_center(corner: &Corner<f64>, meta: &CarSummary, radius: f64, s: f64) -> f64 {
    let (center, axes) = pose(corner, s);
    let arm = lowest(&axes, radius);
    // The point fixed to the knuckle there.
    let local = axes.transpose_times(arm);
    let point = |s: f64| {
        let (center, axes) = pose(corner, s);
        center + axes * local
    };
    let step = 1e-5;
    let path = point(s + step) - point(s - step);
    let y = center.y() + arm.y() + meta.center_left;
    y * path.y() / path.z()
}

#[test]
fn val_roll_centers_of_independent_ends() {
    let tilted = [
        ("front.camber", Value::from("-3 deg")),
        ("front.toe_in", Value::from("0.5 deg")),
        ("front.geometry.toe_gain", Value::from("-8 deg/m")),
    ];
    for changes in [&tilted[..0], &tilted[..]] {
        let (numbers, meta) = edited("bramble-independent", changes);
        for (corners, end, height, slope) in [
            (&numbers.front, 0, 0.060, -1.6),
            (rear_corners(&numbers), 1, 0.090, -1.2),
        ] {
            for side in 0..2 {
                let corner = &corners.side[side];
                let radius = meta.loaded_radius[2 * end + side];
                let rc = |s| roll_center(corner, &meta, radius, s);
                close(rc(0.0), height, 1e-9);
                close((rc(1e-3) - rc(-1e-3)) / 2e-3, slope, 2e-4);
            }
        }
    }
    // Without a slope the wheel centers move on straight lines.
    let (numbers, _) = edited(
        "bramble-independent",
        &[("front.geometry.roll_center_slope", Value::Default)],
    );
    assert_eq!(numbers.front.side[0].y.c[2], 0.0);
    assert_ne!(numbers.front.side[0].y.c[1], 0.0);
}

#[test]
fn val_roll_center_of_a_solid_axle() {
    let (numbers, meta) = edited("bramble-solid", &[]);
    let axle = axle(&numbers);
    // Velocity construction in pure roll: the height above the axle's center where the sideways
    // velocity y' - w (z - c_z) vanishes.
    let step = 1e-6;
    let rc = |h: f64| {
        let sideways = (over(&axle.y, h, step) - over(&axle.y, h, -step)) / (2.0 * step);
        // The road moves with the axle.
        meta.center_height + axle.z + sideways
    };
    close(rc(0.0), 0.285, 1e-9);
    close((rc(0.01) - rc(-0.01)) / 0.02, -0.4, 1e-8);
    close(axle.half_track, 0.5 * meta.track[1], 1e-14);
    // Roll steer: positive to the left for the left side up; this axle understeers.
    close(
        (over(&axle.yaw, 0.0, step) - over(&axle.yaw, 0.0, -step)) / (2.0 * step),
        -0.03,
        1e-9,
    );
}

#[test]
fn law_a_symmetric_car_is_its_own_mirror_image() {
    for (name, _) in BY_COEFFICIENTS {
        let (numbers, meta) = edited(name, &[]);
        assert_eq!(meta.center_left, 0.0);
        let mut pairs = vec![&numbers.front.side];
        if let Rear::Independent(corners) = &numbers.rear {
            pairs.push(&corners.side);
        }
        for [left, right] in pairs {
            for (a, b, sign) in [
                (&left.x, &right.x, 1.0),
                (&left.y, &right.y, -1.0),
                (&left.z, &right.z, 1.0),
                (&left.toe, &right.toe, -1.0),
                (&left.tilt, &right.tilt, -1.0),
                (&left.pitch, &right.pitch, 1.0),
                (&left.spring, &right.spring, 1.0),
                (&left.bar, &right.bar, 1.0),
            ] {
                for k in 0..5 {
                    close(a.c[k], sign * b.c[k], 1e-13);
                }
            }
            close(left.strut.spring.preload, right.strut.spring.preload, 1e-8);
            for k in 0..3 {
                let sign = if k == 1 { -1.0 } else { 1.0 };
                close(left.steering_axis[k], sign * right.steering_axis[k], 1e-14);
                close(left.steering_arm[k], sign * right.steering_arm[k], 1e-14);
            }
        }
    }
}

#[test]
fn steering_axes_are_those_of_the_file() {
    let (numbers, meta) = edited("bramble-solid", &[("front.camber", Value::from("-2 deg"))]);
    for (side, left) in [(0, 1.0), (1, -1.0)] {
        let corner = &numbers.front.side[side];
        let (center, axes) = pose(corner, 0.0);
        let axis = axes * Vec3(corner.steering_axis);
        // Top rearward by the caster, inward by the inclination.
        close((-axis.x() / axis.z()).atan().to_degrees(), 6.0, 1e-12);
        close(
            (-left * axis.y() / axis.z()).atan().to_degrees(),
            13.0,
            1e-12,
        );
        // Where it meets the road, against the contact.
        let arm = axes * Vec3(corner.steering_arm);
        let contact = center + lowest(&axes, meta.loaded_radius[side]);
        let on_axis = center + arm;
        let on_road = on_axis - axis.times((on_axis.z() + meta.center_height) / axis.z());
        close(on_road.x() - contact.x(), 0.022, 1e-13);
        close(left * (contact.y() - on_road.y()), 0.008, 1e-13);
    }
}

#[test]
fn springs_carry_what_stands_on_them() {
    // Upright wheels that stay upright: the spring carries the load less the wheel's weight.
    let (numbers, meta) = edited(
        "bramble-independent",
        &[
            ("front.camber", Value::from("0 deg")),
            ("front.toe_in", Value::from("0 deg")),
        ],
    );
    let corner = &numbers.front.side[0];
    let carried = meta.load[0] - corner.unsprung.mass * numbers.chassis.gravity;
    close(corner.strut.spring.preload * 0.95, carried, 1e-8);
    // Camber that changes with travel moves the contact inboard or outboard of the knuckle's point:
    // a leaning wheel's load does work on it.
    let (leaning, load) = edited(
        "bramble-independent",
        &[("front.camber", Value::from("-4 deg"))],
    );
    let carried = load.load[0] - corner.unsprung.mass * numbers.chassis.gravity;
    assert!((leaning.front.side[0].strut.spring.preload * 0.95 - carried).abs() > 5.0);

    // A level axle: both springs share the load less the axle's weight.
    let (numbers, meta) = edited("bramble-solid", &[]);
    let axle = axle(&numbers);
    let carried = meta.load[2] + meta.load[3] - axle.unsprung.mass * numbers.chassis.gravity;
    for side in &axle.side {
        close(side.strut.spring.preload, 0.5 * carried, 1e-8);
    }
    // Where the left wheel carries more, so does the left spring, by the ratio of their levers.
    let (numbers, meta) = edited(
        "bramble-solid",
        &[
            ("chassis.cross_weight", Value::from(0.52)),
            ("rear.bar.outer_diameter", Value::from("0 mm")),
        ],
    );
    let [left, right] = [0, 1].map(|i| {
        let side = &self::axle(&numbers).side[i];
        let r = meta.rest_travel[3];
        side.strut.spring.preload + side.strut.spring.rate * over(&side.spring, 0.0, r)
    });
    // The loads' moment about the axle's center, which leans off the middle of the contacts.
    let off = over(&self::axle(&numbers).y, 0.0, meta.rest_travel[3]) + meta.center_left;
    let moment =
        0.5 * meta.track[1] * (meta.load[2] - meta.load[3]) - off * (meta.load[2] + meta.load[3]);
    assert!(meta.load[2] > meta.load[3] + 100.0);
    // Spacing 0.98 m.
    close(0.49 * (left - right), moment, 1e-6);
    // The side that carries more is lower.
    assert!(meta.rest_travel[3] < 0.0);
}

#[test]
fn the_sprung_body_is_chassis_and_rear_parts_together() {
    let (numbers, meta) = edited(
        "bramble-independent",
        &[("chassis.roll_yaw_product", Value::from("12 kg*m^2"))],
    );
    let sprung = numbers.chassis.sprung;
    close(sprung.mass, 1130.0 + 76.0, 1e-12);
    let total = sprung.mass + 2.0 * 38.0 + 2.0 * 36.0;
    close(meta.mass, total, 1e-9);
    // Two bodies of masses a, b a distance d apart add ab/(a+b) (d^2 - d_i d_i) about the axes of
    // their common center.
    let (a, b) = (1130.0, 76.0);
    let d = [-1.138 - (0.040 - 2.57), 0.0, 0.532 - 0.330];
    let reduced = a * b / (a + b);
    let square = |i: usize, j: usize| reduced * (d[i] * d[i] + d[j] * d[j]);
    let want = [
        400.0 + 3.0 + square(1, 2),
        1520.0 + 2.0 + square(0, 2),
        1620.0 + 4.0 + square(0, 1),
        -reduced * d[0] * d[1],
        -12.0 - reduced * d[0] * d[2],
        -reduced * d[1] * d[2],
    ];
    for (got, want) in sprung.inertia.into_iter().zip(want) {
        close(got, want, 1e-9);
    }
}

#[test]
fn val_shared_compliance_is_a_rigid_body_on_springs() {
    let changes = [
        ("rear.shared.lateral", Value::from("0.4 mm/kN")),
        ("rear.shared.longitudinal", Value::from("0.7 mm/kN")),
        ("rear.shared.yaw", Value::from("0.2 deg/(kN*m)")),
        ("rear.shared.center_ahead", Value::from("150 mm")),
        ("rear.shared.roll", Value::from("0.3 deg/(kN*m)")),
        ("rear.shared.center_height", Value::from("250 mm")),
        ("rear.compliance.toe_lateral", Value::from("0 deg/kN")),
        ("rear.compliance.toe_longitudinal", Value::from("0 deg/kN")),
        ("rear.compliance.toe_aligning", Value::from("0 deg/(kN*m)")),
        ("rear.compliance.camber_lateral", Value::from("0 deg/kN")),
        ("rear.compliance.lateral", Value::from("0 mm/kN")),
        ("rear.compliance.longitudinal", Value::from("0 mm/kN")),
    ];
    let (numbers, meta) = edited("bramble-independent", &changes);
    let got = &rear_corners(&numbers).compliance;
    // A body on springs at its elastic center; contacts as seen from there.
    let stiff = [
        1.0 / 0.7e-6,
        1.0 / 0.4e-6,
        1e3 / 0.2f64.to_radians(),
        1e3 / 0.3f64.to_radians(),
    ];
    let half = 0.5 * meta.track[1];
    let arm = [half, -half].map(|y| Vec3([-0.150, y, -0.250]));
    for j in 0..2 {
        for (force, moment) in [
            (Vec3([1.0, 0.0, 0.0]), 0.0),
            (Vec3([0.0, 1.0, 0.0]), 0.0),
            (Vec3([0.0; 3]), 1.0),
        ] {
            let couple = arm[j].cross(force);
            // Roll answers to lateral forces alone.
            let lateral = force.y() != 0.0;
            let turn = Vec3([
                if lateral { couple.x() / stiff[3] } else { 0.0 },
                0.0,
                (couple.z() + moment) / stiff[2],
            ]);
            let shift = Vec3([force.x() / stiff[0], force.y() / stiff[1], 0.0]);
            for (i, arm) in arm.into_iter().enumerate() {
                let moved = shift + turn.cross(arm);
                if force.x() != 0.0 {
                    close(got.toe_longitudinal[i][j], turn.z(), 1e-18);
                    close(got.longitudinal[i][j], moved.x(), 1e-18);
                } else if lateral {
                    close(got.toe_lateral[i][j], turn.z(), 1e-18);
                    close(got.lateral[i][j], moved.y(), 1e-18);
                    close(got.tilt_lateral[i][j], turn.x(), 1e-18);
                } else {
                    close(got.toe_aligning[i][j], turn.z(), 1e-18);
                }
            }
        }
    }
    assert!(got.lateral[0][1] > 0.0 && got.toe_longitudinal[0][0] < 0.0);
}

#[test]
fn compliance_of_single_wheels_has_the_senses_of_the_file() {
    let (numbers, _) = edited(
        "bramble-independent",
        &[
            (
                "front.compliance.toe_longitudinal",
                Value::from("0.1 deg/kN"),
            ),
            ("front.compliance.toe_brake", Value::from("0.2 deg/(kN*m)")),
        ],
    );
    let c = &numbers.front.compliance;
    // Toe-in turns the left wheel to the right.
    assert!(c.toe_longitudinal[0][0] < 0.0 && c.toe_longitudinal[1][1] > 0.0);
    assert!(c.toe_brake[0][0] < 0.0 && c.toe_brake[1][1] > 0.0);
    // Bramble's front steers against the force, and leans away from it.
    assert!(c.toe_lateral[0][0] < 0.0 && c.toe_lateral[0][0] == c.toe_lateral[1][1]);
    assert!(c.tilt_lateral[0][0] > 0.0);
    assert_eq!(c.lateral[0][1], 0.0);
}

/// Case P2 through the whole assembly: a bar of rigid arms without bushings and links follows the
/// fourth power of its diameter. Flag M; tolerance half of the last printed digit.
#[test]
fn val_bar_diameter_reaches_the_equations() {
    let rate = |diameter: &str| {
        let changes = [
            ("rear.bar.outer_diameter", Value::from(diameter)),
            ("rear.bar.arm", Value::from("rigid")),
            ("rear.bar.bearing_inset", Value::from("0 mm")),
            ("rear.bar.bushing_rate", Value::Default),
            ("rear.bar.link_rate", Value::Default),
        ];
        axle(&edited("bramble-solid", &changes).0).bar_rate
    };
    close(rate("24 mm") / rate("22 mm"), 1.41630, 5e-6);
    assert_eq!(rate("0 mm"), 0.0);
    // The car's bar, with arms, bushings and links, follows it less.
    let its = axle(&edited("bramble-solid", &[]).0).bar_rate;
    assert!(its > 0.5 * rate("22 mm") && its < 0.95 * rate("22 mm"));
}

#[test]
fn the_rest_of_the_file_reaches_the_equations() {
    let (numbers, meta) = edited(
        "bramble-solid",
        &[
            (
                "driveline.propshaft_rotation",
                Value::from("counterclockwise"),
            ),
            ("front.damper.clicks", Value::from(10.0)),
            ("front.damper.setting", Value::from(4.0)),
            ("front.damper.rebound.per_click", Value::from(0.05)),
            ("front.spring.mount_rate", Value::from("660 kN/m")),
            ("rear.spring.motion_ratio_slope", Value::from("2 1/m")),
            ("rear.spring.roll_curvature", Value::from("0.02 mm/deg^2")),
        ],
    );
    let chassis = &numbers.chassis;
    assert_eq!(chassis.driveline.propshaft_sense, 1.0);
    close(chassis.steering.gain, 1.0 / 15.0, 1e-16);
    // Half of the full geometry, cot(outer) - cot(inner) = T/L.
    close(chassis.steering.ackermann, 0.5 * 1.48 / 2.57, 1e-15);
    close(chassis.air.drag, 0.5 * 1.2 * 0.70, 1e-15);
    close(chassis.air.drag_height + chassis.height, 0.52, 1e-15);
    close(
        chassis.air.lift_x[0] - chassis.air.lift_x[1],
        meta.wheelbase,
        1e-14,
    );
    close(chassis.lag, 0.0005, 0.0);
    let strut = &numbers.front.side[0].strut;
    close(strut.damper.low[1], 1.2 * 3800.0, 1e-9);
    close(strut.damper.low[0], 1900.0, 0.0);
    close(strut.spring.rate, 33e3 * 660e3 / 693e3, 1e-8);
    // Spring on a rising motion ratio: MR t + MR' t^2/2 + K r^2/2, t the axle's rise at the spring.
    let spring = &axle(&numbers).side[0].spring;
    let (h, r) = (0.02f64, 0.03f64);
    let t = h + 0.49 * r;
    let curvature = 0.02e-3 / 1f64.to_radians().powi(2);
    close(
        over(spring, h, r),
        t + t * t + 0.5 * curvature * r * r,
        1e-15,
    );
    // Coil in place of a rate (case P5's car spring).
    let coil = [
        ("front.spring.rate", Value::Default),
        ("front.spring.wire_diameter", Value::from("13 mm")),
        ("front.spring.coil_diameter", Value::from("110 mm")),
        ("front.spring.active_coils", Value::from(6.5)),
    ];
    let (numbers, _) = edited("bramble-solid", &coil);
    close(numbers.front.side[0].strut.spring.rate, 32723.9, 0.05);
}
