//! Instant centers, roll centers and anti effects against the validation cases K1, K2, K3, K5 to K8
//! and K10 (constructions, and SciPy or link-force balance beside them).

mod common;

use axletree_linkage::axle::{Panhard, ThreeLink, TorqueArm, pair};
use axletree_linkage::instant::*;
use axletree_linkage::*;
use common::statics::{driver_forces, roll_center_by_force};
use common::*;

fn rods(list: &[(&str, Triple, Triple)]) -> Linkage {
    Linkage {
        links: list
            .iter()
            .map(|(name, a, b)| rod(*a, *b, RUBBER).link(*name))
            .collect(),
        ..Linkage::default()
    }
}

/// K1 in the plane (y, z), the patch as the driven point.
fn k1() -> Solver {
    let mut parts = rods(&[
        ("lower arm", [0.0, 380.0, 200.0], [0.0, 705.0, 180.0]),
        ("upper arm", [0.0, 440.0, 455.0], [0.0, 665.0, 480.0]),
    ]);
    planar(
        &mut parts,
        [[0.0, 750.0, 0.0], [0.0, 705.0, 180.0], [0.0, 665.0, 480.0]],
    );
    wheel(parts, [0.0, 750.0, 0.0])
}

/// K2 in the plane (y, z), the patch as the driven point.
fn k2() -> Solver {
    let mut parts = rods(&[("arm", [0.0, 360.0, 215.0], [0.0, 715.0, 190.0])]);
    let mut strut = Joint::slide(
        "strut",
        mm([0.0, 655.0, 300.0]),
        mm([0.0, 575.0, 830.0]),
        RUBBER,
    );
    // The strut blocks one direction in the plane; the other keeps the knuckle in it.
    strut.blocked.retain(|d| d[0].abs() < 1e-9);
    assert_eq!(strut.blocked.len(), 1);
    parts.joints.push(strut);
    planar(
        &mut parts,
        [[0.0, 755.0, 0.0], [0.0, 715.0, 190.0], [0.0, 655.0, 300.0]],
    );
    wheel(parts, [0.0, 755.0, 0.0])
}

struct Front {
    center: [f64; 2],
    height: f64,
    arm: f64,
    camber: f64,
    travels: Vec<(f64, f64, f64)>,
}

fn check_front(s: &Solver, patch: Triple, want: &Front) {
    let p = &s.start;
    let screw = Screw::of(p, &p.rates.heave).unwrap();
    near("axis along x", screw.direction[0].abs(), 1.0, 1e-12, 0.0);
    near(
        "instant center y",
        screw.point[1] * 1e3,
        want.center[0],
        1e-6,
        5e-4,
    );
    near(
        "instant center z",
        screw.point[2] * 1e3,
        want.center[1],
        1e-6,
        5e-4,
    );
    near(
        "roll center",
        motion(s, p, mm(patch)).roll_center_of_pair() * 1e3,
        want.height,
        1e-6,
        5e-5,
    );
    // By construction: the line from the patch to the instant center, cut at the center plane.
    let built = -patch[1] * screw.point[2] / (screw.point[1] - patch[1] / 1e3);
    near("construction", built, want.height, 1e-6, 5e-5);
    // The case's swing arm is the horizontal distance.
    near(
        "swing arm",
        patch[1] - screw.point[1] * 1e3,
        want.arm,
        1e-6,
        5e-3,
    );
    let (_, w) = Rates::twist(&p.rates.heave);
    near(
        "camber",
        (w.x() / 1e3).to_degrees(),
        want.camber,
        1e-6,
        5e-7,
    );
    for (h, move_y, tilt) in &want.travels {
        let p = s.at(heave(*h)).unwrap();
        near(
            "move",
            p.state.pose.center.y() * 1e3 - patch[1],
            *move_y,
            1e-4,
            5e-5,
        );
        near(
            "tilt",
            p.state.pose.angles().roll.to_degrees(),
            *tilt,
            1e-4,
            5e-6,
        );
    }
}

/// K1: Gillespie 1992 ch. 7; Milliken and Milliken 1995 ch. 17; 1e-6 at design, 1e-4 at travel.
#[test]
fn val_k1_double_wishbone_front_view() {
    let s = k1();
    check_front(
        &s,
        [0.0, 750.0, 0.0],
        &Front {
            center: [-1058.366, 288.515],
            height: 119.6584,
            arm: 1808.37,
            camber: 0.031684,
            travels: vec![(0.03, 3.7716, 1.04819), (-0.03, -5.8479, -0.85844)],
        },
    );
    for (h, height) in [(0.03, 69.830), (-0.03, 172.004)] {
        let p = s.at(heave(h)).unwrap();
        let patch = motion(&s, &p, mm([0.0, 750.0, 0.0]));
        let got = patch.roll_center_of_pair() * 1e3;
        near("roll center over the patch", got, height, 1e-4, 5e-4);
    }
}

/// K2: construction from the strut's normal; tolerances as K1.
#[test]
fn val_k2_strut_front_view() {
    check_front(
        &k2(),
        [0.0, 755.0, 0.0],
        &Front {
            center: [-2271.603, 400.324],
            height: 99.8627,
            arm: 3026.60,
            camber: 0.018931,
            travels: vec![(0.03, 2.4487, 0.48292), (-0.03, -5.4757, -0.64689)],
        },
    );
}

/// K3 (b): the rod's crossing of the center plane (Dixon 1996; Gillespie 1992 ch. 7); 1e-6. The
/// axle is held by a torque arm and level lower links, whose roll axis at the axle is the rod's
/// crossing.
#[test]
fn val_k3_roll_center_of_a_panhard_rod() {
    let parts = TorqueArm {
        lower: rod([550.0, 500.0, 250.0], [0.0, 500.0, 250.0], RUBBER),
        mount: mm([1200.0, 0.0, 300.0]),
        bushing: RUBBER,
    }
    .parts()
    .and(
        Panhard {
            rod: rod([0.0, -440.0, 250.0], [0.0, 450.0, 300.0], RUBBER),
        }
        .parts(),
    );
    let s = axle(parts, [0.0, 0.0, 310.0]);
    let h = axle_roll_center(&s, &s.start) * 1e3;
    near("crossing", h, 274.7191, 1e-6, 5e-5);
    near(
        "by force",
        roll_center_by_force(&s, &s.start) * 1e3,
        h,
        1e-9,
        0.0,
    );
}

/// K5 at design: 1e-6.
#[test]
fn val_k5_roll_center_and_roll_steer() {
    let s = axle(k5(RUBBER), [0.0, 0.0, 310.0]);
    let p = &s.start;
    near(
        "height",
        axle_roll_center(&s, p) * 1e3,
        484.7273,
        1e-6,
        5e-5,
    );
    near(
        "by force",
        roll_center_by_force(&s, p) * 1e3,
        484.7273,
        1e-6,
        5e-5,
    );
    let (_, w) = Rates::twist(&p.rates.roll);
    near("yaw per roll", w.z() / w.x(), 0.072727, 1e-6, 5e-7);
    let axis = Screw::of(p, &p.rates.roll).unwrap();
    near(
        "slope",
        axis.direction[2] / axis.direction[0],
        0.072727,
        1e-6,
        5e-7,
    );
    // The axis passes through the crossing of the upper links in plan.
    let at = axis.crossing(0, -0.12).unwrap();
    near("upper crossing", at[2] * 1e3, 476.0, 1e-6, 5e-4);
}

/// K8 at design: 1e-6.
#[test]
fn val_k8_roll_axis() {
    let s = axle(k8(RUBBER), [0.0, 0.0, 310.0]);
    let p = &s.start;
    let (_, w) = Rates::twist(&p.rates.roll);
    near("yaw per roll", w.z() / w.x(), 0.054545, 1e-6, 5e-7);
    near(
        "height",
        axle_roll_center(&s, p) * 1e3,
        306.5455,
        1e-6,
        5e-5,
    );
    let axis = Screw::of(p, &p.rates.roll).unwrap();
    near(
        "crossing",
        axis.crossing(0, -0.12).unwrap()[2] * 1e3,
        300.0,
        1e-6,
        5e-4,
    );
}

fn axle_report(parts: Linkage) -> AxleReport {
    let a = AxleLinkage {
        parts,
        center: mm([0.0, 0.0, 310.0]),
        half_track: 0.75,
        sides: Default::default(),
    };
    let s = a.solver().unwrap();
    // By statics: force of the height driver under a drive force of one at the patch.
    if !s.mechanism.over_constrained() {
        let lambda = driver_forces(&s, &s.start, [1.0, 0.0, 0.0, 0.0, -0.31, 0.0]);
        let by_force = -100.0 * lambda[0] * 2.7 / 0.5;
        let r = a.report(&s, CAR, &[]).unwrap();
        near("by force", by_force, r.anti_squat, 1e-10, 0.0);
    }
    a.report(&s, CAR, &[]).unwrap()
}

/// K6: Gillespie 1992 ch. 7, percent from the line patch to instant center; 1e-8.
#[test]
fn val_k6_anti_squat_of_a_solid_axle() {
    let across = Panhard {
        rod: rod([-100.0, -450.0, 300.0], [-100.0, 450.0, 300.0], RUBBER),
    }
    .parts();
    let lower = rod([550.0, 500.0, 250.0], [0.0, 500.0, 220.0], RUBBER);
    let three = ThreeLink {
        lower,
        upper: rod([380.0, 0.0, 425.0], [30.0, 0.0, 460.0], RUBBER),
    }
    .parts()
    .and(across.clone());
    // Four parallel links and the bar have one constraint too many; the side view is the same.
    let four = pair("lower", &lower)
        .and(pair(
            "upper",
            &rod([380.0, 300.0, 425.0], [30.0, 300.0, 460.0], RUBBER),
        ))
        .and(across.clone());
    for parts in [three, four] {
        let r = axle_report(parts);
        let axis = r.heave_axis.unwrap();
        let at = axis.crossing(1, 0.0).unwrap();
        near("x", at[0] * 1e3, 1572.353, 1e-6, 5e-4);
        near("z", at[2] * 1e3, 305.765, 1e-6, 5e-4);
        near("anti-squat", r.anti_squat, 105.0101, 1e-8, 5e-5);
    }
    // The torque arm, its mount at two heights.
    for mount in [300.0, 500.0] {
        let parts = TorqueArm {
            lower: rod([550.0, 500.0, 230.0], [0.0, 500.0, 200.0], RUBBER),
            mount: mm([1200.0, 0.0, mount]),
            bushing: RUBBER,
        }
        .parts()
        .and(across.clone());
        let r = axle_report(parts);
        let at = r.heave_axis.unwrap().crossing(1, 0.0).unwrap();
        near("x", at[0] * 1e3, 1200.0, 1e-9, 0.0);
        near("z", at[2] * 1e3, 265.4545, 1e-8, 5e-5);
        near("anti-squat", r.anti_squat, 119.4545, 1e-8, 5e-5);
    }
}

/// K7: Gillespie 1992 ch. 7; 1e-8. Side-view arms as rods, the knuckle kept in the plane y = const.
#[test]
fn val_k7_anti_squat_and_anti_lift_of_an_independent_rear() {
    let mut parts = rods(&[
        ("lower", [600.0, 700.0, 190.0], [0.0, 700.0, 150.0]),
        ("upper", [600.0, 700.0, 430.0], [0.0, 700.0, 450.0]),
    ]);
    planar(
        &mut parts,
        [
            [0.0, 700.0, 310.0],
            [0.0, 700.0, 150.0],
            [90.0, 700.0, 310.0],
        ],
    );
    for j in &mut parts.joints {
        j.blocked = vec![[0.0, 1.0, 0.0]];
        j.sleeve = [0.0, 1.0, 0.0];
    }
    let c = CornerLinkage {
        parts,
        center: mm([0.0, 700.0, 310.0]),
        side: Side::default(),
        steering_axis: None,
        alignment: Alignment::default(),
    };
    let s = c.solver().unwrap();
    let r = c.report(&s, CAR, &[]).unwrap();
    let axis = r.axis.unwrap();
    near("x", axis.point[0] * 1e3, 3000.0, 1e-8, 5e-4);
    near("z", axis.point[2] * 1e3, 350.0, 1e-8, 5e-4);
    near("anti-squat", r.anti_squat, 7.2, 1e-8, 5e-5);
    near("anti-lift", r.anti_lift, 22.05, 1e-8, 5e-5);
    near("from the patch", r.anti_lift / 0.35, 63.0, 1e-8, 5e-5);
    // The same linkage at the front: the sign changes.
    near("anti-dive", r.anti_dive, -22.05, 1e-8, 5e-5);
}

/// K10: angles of the steering axis; ISO 8855; 1e-4 of the value.
#[test]
fn val_k10_steering_axis() {
    let w = k10();
    let (center, contact) = (mm([0.0, 735.0, 310.0]), mm([0.0, 735.0, 0.0]));
    let a = SteeringAxis::of(w.steering_axis(), center, contact).unwrap();
    near("caster", a.caster.to_degrees(), 6.1909, 1e-5, 5e-5);
    near(
        "inclination",
        a.inclination.to_degrees(),
        8.6732,
        1e-5,
        5e-5,
    );
    near("trail", a.trail * 1e3, 32.068, 1e-5, 5e-4);
    near("scrub", a.scrub * 1e3, 1.780, 1e-5, 5e-4);
}

/// The instant steering axis of a knuckle on two ball joints is the line through them.
#[test]
fn law_instant_steering_axis_passes_through_the_ball_joints() {
    let c = whole_k10();
    let s = c.solver().unwrap();
    let found = c.instant_steering(&s).unwrap();
    let (center, contact) = (c.center, c.contact());
    let a = SteeringAxis::of(found, center, contact).unwrap();
    let b = SteeringAxis::of(k10().steering_axis(), center, contact).unwrap();
    for (x, y) in [
        (a.caster, b.caster),
        (a.inclination, b.inclination),
        (a.trail, b.trail),
        (a.scrub, b.scrub),
    ] {
        assert!((x - y).abs() < 1e-9, "{x} {y}");
    }
    // Five rods without a rack have no steering axis.
    let rear = multi_link_corner();
    assert!(rear.instant_steering(&rear.solver().unwrap()).is_none());
}
