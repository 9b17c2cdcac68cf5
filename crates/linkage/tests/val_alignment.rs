//! Wheels with toe-in and camber: angles, contact, roll center and compliance against finite
//! rotations (nalgebra) and closed forms.

#![expect(
    clippy::disallowed_methods,
    reason = "closed forms by the platform's functions, compared within a tolerance"
)]

mod common;

use axletree_linkage::corner::SemiTrailing;
use axletree_linkage::*;
use common::statics::driver_forces;
use common::*;
use nalgebra::{Rotation3, Unit, Vector3};

const ALIGNMENT: Alignment = Alignment {
    toe_in: 0.004,
    camber: -0.035,
};

fn aligned(mut corner: CornerLinkage) -> CornerLinkage {
    corner.alignment = ALIGNMENT;
    corner
}

/// Every kind of corner.
fn corners() -> Vec<(&'static str, CornerLinkage)> {
    vec![
        ("wishbones", aligned(whole_k10())),
        ("strut", aligned(strut_corner())),
        ("multi-link", aligned(multi_link_corner())),
        ("semi-trailing", aligned(semi_trailing_corner())),
    ]
}

/// A left wheel as a disc: axis, and arm from its center to its lowest point, of given radius.
fn disc(axis: Vector3<f64>, radius: f64) -> Vector3<f64> {
    // Of all directions square to the axis, the one that points down most.
    let down = -Vector3::z();
    (down - axis * axis.dot(&down)).normalize() * radius
}

/// Axis of a left wheel with the toe-in and camber of the test.
fn axis_at_rest() -> Vector3<f64> {
    let toe = Rotation3::from_axis_angle(&Vector3::z_axis(), -ALIGNMENT.toe_in);
    let tilt = Rotation3::from_axis_angle(&Vector3::x_axis(), -ALIGNMENT.camber);
    toe * tilt * Vector3::y()
}

/// Toe-in and camber of a left wheel, from its axis.
fn toe_and_camber(axis: Vector3<f64>) -> [f64; 2] {
    [axis.x.atan2(axis.y), -axis.z.asin()]
}

/// A semi-trailing arm turned about its hinge by a finite angle: wheel center, wheel axis, and the
/// arm's point that is at the contact.
struct Swung {
    hinge: Unit<Vector3<f64>>,
    pivot: Vector3<f64>,
    center: Vector3<f64>,
    radius: f64,
}

impl Swung {
    fn new(corner: &CornerLinkage) -> Self {
        // The hinge of the shared corner.
        let [a, b] = [
            Vector3::new(0.260, 0.180, 0.270),
            Vector3::new(0.420, 0.620, 0.260),
        ];
        let center = Vector3::from(corner.center);
        let arm = disc(axis_at_rest(), 1.0);
        Swung {
            hinge: Unit::new_normalize(b - a),
            pivot: a,
            center,
            radius: -center.z / arm.z,
        }
    }

    fn turned(&self, angle: f64) -> (Vector3<f64>, Vector3<f64>) {
        let turn = Rotation3::from_axis_angle(&self.hinge, angle);
        (
            self.pivot + turn * (self.center - self.pivot),
            turn * axis_at_rest(),
        )
    }

    /// Velocity, per angle, of the arm's point at the contact: a difference of two finite turns.
    fn contact_rate(&self, angle: f64) -> (Vector3<f64>, Vector3<f64>) {
        let (center, axis) = self.turned(angle);
        let contact = center + disc(axis, self.radius);
        let d = 1e-5;
        let [more, less] = [d, -d].map(|d| {
            let turn = Rotation3::from_axis_angle(&self.hinge, d);
            self.pivot + turn * (contact - self.pivot)
        });
        (contact, (more - less) / (2.0 * d))
    }
}

/// Angles, contact and roll center of a semi-trailing arm over its travel, by turning it about its
/// hinge.
#[test]
fn val_semi_trailing_arm_turned_about_its_hinge() {
    let corner = aligned(semi_trailing_corner());
    let solver = corner.solver().unwrap();
    let swung = Swung::new(&corner);
    let [toe_at_rest, camber_at_rest] = toe_and_camber(axis_at_rest());
    near("toe-in", toe_at_rest, ALIGNMENT.toe_in, 1e-12, 0.0);
    near("camber", camber_at_rest, ALIGNMENT.camber, 1e-12, 0.0);
    let contact_at_rest = swung.contact_rate(0.0).0;
    for angle in [-0.15, -0.06, 0.0, 0.02, 0.11, 0.16] {
        let (center, axis) = swung.turned(angle);
        let travel = center.z - corner.center[2];
        let position = solver.at(heave(travel)).unwrap();
        let row = corner.report(&solver, CAR, &[position]).unwrap().rows[0];
        let [toe_in, camber] = toe_and_camber(axis);
        near("toe-in", row.toe_in, toe_in - toe_at_rest, 0.0, 1e-10);
        near("camber", row.camber, camber - camber_at_rest, 0.0, 1e-10);
        let (contact, rate) = swung.contact_rate(angle);
        let outward = contact.y - contact_at_rest.y;
        near("outward", row.outward, outward, 0.0, 1e-10);
        let height = contact.y * rate.y / rate.z;
        near("roll center", row.roll_center, height, 0.0, 1e-8);
    }
}

/// Gains at rest: differences of finite turns. The control: without static alignment the toe gain
/// is another by half, as a wheel with camber toes when it turns about its own axis.
#[test]
fn val_gains_of_a_semi_trailing_arm() {
    let corner = aligned(semi_trailing_corner());
    let solver = corner.solver().unwrap();
    let found = corner.report(&solver, CAR, &[]).unwrap();
    let swung = Swung::new(&corner);
    let d = 1e-5;
    let [(high, a), (low, b)] = [d, -d].map(|angle| swung.turned(angle));
    let [a, b] = [a, b].map(toe_and_camber);
    let travel = high.z - low.z;
    near(
        "toe gain",
        found.toe_gain,
        (a[0] - b[0]) / travel,
        1e-7,
        0.0,
    );
    near(
        "camber gain",
        found.camber_gain,
        (a[1] - b[1]) / travel,
        1e-7,
        0.0,
    );
    let [above, below] = [NEAR, -NEAR].map(|angle| {
        let (contact, rate) = swung.contact_rate(angle);
        contact.y * rate.y / rate.z
    });
    let rise = swung.turned(NEAR).0.z - swung.turned(-NEAR).0.z;
    near(
        "migration",
        found.roll_center_slope,
        (above - below) / rise,
        1e-5,
        0.0,
    );
    let (contact, rate) = swung.contact_rate(0.0);
    let height = contact.y * rate.y / rate.z;
    near("roll center", found.roll_center, height, 1e-8, 0.0);
    let lift = -100.0 * rate.x / rate.z * CAR.wheelbase / CAR.height * CAR.brake_share;
    near("anti-lift", found.anti_lift, lift, 1e-8, 0.0);

    let mut plain = corner.clone();
    plain.alignment = Alignment::default();
    let upright = plain.report(&solver, CAR, &[]).unwrap();
    assert!((found.toe_gain / upright.toe_gain - 1.0).abs() > 0.3);
    // Followed by the point of the arm that is at the contact at rest, the roll center moves
    // otherwise: off static that point is off the road.
    let followed = [NEAR, -NEAR].map(|travel| {
        let position = solver.at(heave(travel)).unwrap();
        instant::motion(&solver, &position, corner.contact()).roll_center_of_pair()
    });
    let slope = (followed[0] - followed[1]) / (2.0 * NEAR);
    assert!(
        (slope / found.roll_center_slope - 1.0).abs() > 0.3,
        "{slope}"
    );
}

/// Step of the arm's angle for the roll center's slope `[rad]`.
const NEAR: f64 = 1e-3;

/// The curves for the equations of motion are the angles of the wheel's axis, turned with the
/// knuckle's pose by finite rotations.
#[test]
fn val_curves_turn_the_wheel_with_the_knuckle() {
    for (name, corner) in corners() {
        let solver = corner.solver().unwrap();
        let range = CornerRange::default();
        let curves = corner.curves(&solver, range, FitBound::default()).unwrap();
        near("toe", curves.toe.c[0], -ALIGNMENT.toe_in, 1e-12, 0.0);
        near("tilt", curves.tilt.c[0], -ALIGNMENT.camber, 1e-12, 0.0);
        near("pitch", curves.pitch.c[0], 0.0, 0.0, 1e-15);
        let mut turned: f64 = 0.0;
        for travel in [-0.06, -0.02, 0.03, 0.065] {
            let pose = solver.at(heave(travel)).unwrap().state.pose;
            let knuckle = Rotation3::from_matrix_unchecked(nalgebra::Matrix3::from_columns(
                &pose.turn.0.map(|column| Vector3::from(column.0)),
            ));
            let [toe_in, camber] = toe_and_camber(knuckle * axis_at_rest());
            let [toe, _, _] = curves.toe.at(travel);
            let [tilt, _, _] = curves.tilt.at(travel);
            let bound = FitBound::default().angle;
            near(name, toe, -toe_in, 0.0, bound);
            near(name, tilt, -camber, 0.0, bound);
            // The rest of the turn is about the wheel's own axis: undone, the axes at rest remain.
            let [pitch, _, _] = curves.pitch.at(travel);
            let wheel = Rotation3::from_axis_angle(&Vector3::z_axis(), toe)
                * Rotation3::from_axis_angle(&Vector3::x_axis(), tilt)
                * Rotation3::from_axis_angle(&Vector3::y_axis(), pitch);
            let at_rest = Rotation3::from_axis_angle(&Vector3::z_axis(), -ALIGNMENT.toe_in)
                * Rotation3::from_axis_angle(&Vector3::x_axis(), -ALIGNMENT.camber);
            let left = (wheel * at_rest.inverse()).angle_to(&knuckle);
            near(name, left, 0.0, 0.0, 3.0 * bound);
            // What adding the alignment to the knuckle's own angles would miss.
            let apart = pose.angles().yaw - ALIGNMENT.toe_in - toe;
            turned = turned.max(apart.abs());
        }
        assert!(turned > 1e-4, "{name}: {turned}");
    }
}

/// Roll center and anti-lift at any travel by statics: the lift of a lateral and of a longitudinal
/// force at the contact over that of a vertical one. And the drawn line from the contact to the
/// drawn center passes the roll center.
#[test]
fn law_forces_at_the_contact_and_drawn_centers() {
    for (name, corner) in corners() {
        let range = CornerRange::default();
        let solved = corner.solve(range, FitBound::default(), CAR, None);
        // A multi-link corner on a subframe needs its mounts for the compliance.
        let solved = match solved {
            Ok(solved) => solved,
            Err(_) => corner
                .solve(range, FitBound::default(), CAR, Some(&subframe()))
                .unwrap(),
        };
        let solver = &solved.solver;
        for travel in [-0.06, -0.01, 0.0, 0.04, 0.07] {
            let position = solver.at(heave(travel)).unwrap();
            let view = solved.view(&corner, travel).unwrap();
            let arm: Vec<f64> = (0..3).map(|k| view.contact[k] - view.center[k]).collect();
            let arm = Vector3::new(arm[0], arm[1], arm[2]);
            let lift = |force: Vector3<f64>| {
                let moment = arm.cross(&force);
                let wrench = [force.x, force.y, force.z, moment.x, moment.y, moment.z];
                driver_forces(solver, &position, wrench)[0]
            };
            let [along, across, up] = [Vector3::x(), Vector3::y(), Vector3::z()].map(lift);
            let height = view.contact[1] * across / up;
            let row = corner.report(solver, CAR, &[position]).unwrap().rows[0];
            near(name, row.roll_center, height, 0.0, 1e-10);
            near(
                name,
                view.roll_center[2] - view.contact[2],
                height,
                0.0,
                1e-10,
            );
            // The line from the contact to the center across the car, cut at the center plane.
            let center = view.center_across.unwrap();
            assert_eq!(center[0].to_bits(), view.contact[0].to_bits());
            let share = -view.contact[1] / (center[1] - view.contact[1]);
            let cut = view.contact[2] + share * (center[2] - view.contact[2]);
            near(name, cut, view.roll_center[2], 0.0, 1e-9);
            // The line to the center along the car has the slope of the forces.
            let center = view.center_along.unwrap();
            assert_eq!(center[1].to_bits(), view.contact[1].to_bits());
            let slope = (center[2] - view.contact[2]) / (center[0] - view.contact[0]);
            near(name, slope, -along / up, 1e-9, 1e-12);
        }
    }
}

/// The instant screw does not cross a plane at its instant center: drawn from the contact to the
/// crossing, the line misses the roll center by centimeters where the knuckle turns about more than
/// one axis.
#[test]
fn the_screw_is_no_instant_center() {
    let corner = aligned(multi_link_corner());
    let solver = corner.solver().unwrap();
    let report = corner.report(&solver, CAR, &[]).unwrap();
    let contact = corner.contact();
    let crossing = report.axis.unwrap().crossing(0, contact[0]).unwrap();
    let share = -contact[1] / (crossing[1] - contact[1]);
    let cut = contact[2] + share * (crossing[2] - contact[2]);
    assert!((cut - report.roll_center).abs() > 0.005, "{cut}");
}

/// An axle's roll center and roll axis are the instant centers of pure roll in planes across the
/// car: points of a turned axle there move only along it. The axle is turned by small finite rolls.
#[test]
fn val_roll_axis_of_an_axle() {
    let parts = k8(RUBBER);
    let linkage = whole_axle(parts);
    let solved = linkage
        .solve(AxleRange::default(), FitBound::default(), CAR)
        .unwrap();
    for rise in [-0.04, 0.0, 0.05] {
        let view = solved.view(&linkage, rise).unwrap();
        let d = 1e-5;
        let [more, less] = [d, -d].map(|roll| {
            let travel = Travel {
                heave: rise,
                roll,
                rack: 0.0,
            };
            solved.solver.at(travel).unwrap().state.pose
        });
        let at_heave = solved.solver.at(heave(rise)).unwrap().state.pose;
        let axis = view.roll_axis.unwrap();
        for point in [axis[0], axis[1], view.roll_center] {
            // The point fixed in the axle, before and after.
            let arm = axletree_scalar::Vec3(point) - at_heave.center;
            let own = at_heave.turn.transpose_times(arm);
            let moved = [more, less].map(|pose| pose.center + pose.turn * own);
            let velocity = (moved[0] - moved[1]).times(0.5 / d);
            near("sideways", velocity.y(), 0.0, 0.0, 1e-8);
            near("upward", velocity.z(), 0.0, 0.0, 1e-8);
        }
        near("ahead", axis[1][0] - axis[0][0], 1.0, 1e-12, 0.0);
    }
}

/// An arm on two bushings at x = +-b along the car, at the height h above the wheel center, a
/// distance l inboard. A longitudinal force turns it about the vertical by `-l/K` and about the
/// lateral axis by `-h/K`, `K = 2 k_radial b^2 + 2 k_conical`: the second turns a leaning wheel's
/// axis by its lean, `toe = -(l - h tan(tilt))/K`, and it does so at the contact as at the center,
/// because the moment between both is about the wheel's own axis.
#[test]
fn val_compliance_of_a_cambered_wheel() {
    let (b, l, h) = (0.15, 0.40, 0.12);
    let k = Bushing {
        radial: 4e6,
        axial: 7e5,
        torsional: 80.0,
        conical: 900.0,
        ..RUBBER
    };
    let corner = |camber: f64| CornerLinkage {
        parts: SemiTrailing {
            on: BodyId::Body,
            hinge: [[-b, 0.3, 0.3 + h], [b, 0.3, 0.3 + h]],
            bushings: [k; 2],
        }
        .parts(),
        center: [0.0, 0.3 + l, 0.3],
        side: Side::default(),
        steering_axis: None,
        alignment: Alignment {
            toe_in: 0.0,
            camber,
        },
    };
    let stiffness = 2.0 * k.radial * b * b + 2.0 * k.conical;
    let of = |camber: f64| {
        let corner = corner(camber);
        corner.compliance(&corner.solver().unwrap(), None).unwrap()
    };
    let camber = -0.035_f64;
    let tilt = -camber;
    let want = -(l - h * tilt.tan()) / stiffness;
    let found = of(camber);
    near(
        "center",
        found.wheels.toe_longitudinal[0][0],
        want,
        1e-9,
        0.0,
    );
    near("contact", found.toe_patch[0][0], want, 1e-9, 0.0);
    let right = found.wheels.toe_longitudinal[1][1];
    near("right", right, -want, 1e-9, 0.0);
    // A brake turns the arm about the wheel's axis: no toe.
    near(
        "brake",
        found.wheels.toe_brake[0][0],
        0.0,
        0.0,
        1e-9 / stiffness,
    );
    // The control: an upright wheel.
    let upright = of(0.0).wheels.toe_longitudinal[0][0];
    near("upright", upright, -l / stiffness, 1e-9, 0.0);
    assert!((want / upright - 1.0).abs() > 5e-3);
}
