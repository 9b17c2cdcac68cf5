//! Positions against the validation cases K3 to K5 and K8 to K10 (planar and spatial constructions,
//! SciPy root finding on link lengths) and N8.

#![expect(
    clippy::disallowed_methods,
    reason = "closed forms by the platform's functions, compared within a tolerance"
)]

mod common;

use axletree_linkage::axle::Watts;
use axletree_linkage::*;
use common::*;

/// Roll at constant height with the last angle given in the order Rz Ry Rx: this crate's roll is
/// `asin(cos(pitch) sin(phi))`.
fn rolled(solver: &Solver, phi: f64) -> (Position, f64, f64) {
    let mut r = phi;
    for _ in 0..30 {
        let p = solver.at(roll(r)).unwrap();
        let m = p.state.pose.turn;
        // Rz Ry Rx: pitch = asin(-R_zx), yaw = atan2(R_yx, R_xx).
        let pitch = (-m.0[0].z()).asin();
        let yaw = m.0[0].y().atan2(m.0[0].x());
        let next = (pitch.cos() * phi.sin()).asin();
        if (next - r).abs() < 1e-15 {
            return (p, yaw, pitch);
        }
        r = next;
    }
    panic!("no roll");
}

/// K5: Milliken and Milliken 1995 ch. 17, Gillespie 1992 ch. 7 (constructions; SciPy's `fsolve`);
/// 1e-5 at finite roll.
#[test]
fn val_k5_triangulated_four_link() {
    let s = axle(k5(RUBBER), [0.0, 0.0, 310.0]);
    let (p, yaw, pitch) = rolled(&s, 3f64.to_radians());
    near("shift", p.state.pose.center.y() * 1e3, 9.1443, 1e-5, 5e-5);
    near("yaw", yaw.to_degrees(), 0.211212, 1e-5, 5e-7);
    near("pitch", pitch.to_degrees(), -0.167954, 1e-5, 5e-7);
    // The same pose in this crate's order and roll.
    let p = s.at(roll(3f64.to_radians())).unwrap();
    let a = p.state.pose.angles();
    near("shift", p.state.pose.center.y() * 1e3, 9.144295, 1e-6, 5e-7);
    near("yaw", a.yaw.to_degrees(), 0.220015, 1e-5, 5e-7);
    near("pitch", a.pitch.to_degrees(), -0.168186, 1e-5, 5e-7);
    let p = s.at(heave(0.05)).unwrap();
    near("walk", p.state.pose.center.x() * 1e3, 3.2656, 1e-5, 5e-5);
    near(
        "pitch",
        p.state.pose.angles().pitch.to_degrees(),
        2.945931,
        1e-5,
        5e-7,
    );
}

/// K8: Gillespie 1992 ch. 6 and 7; 1e-5 at finite roll.
#[test]
fn val_k8_torque_arm() {
    let s = axle(k8(RUBBER), [0.0, 0.0, 310.0]);
    let (p, yaw, pitch) = rolled(&s, 3f64.to_radians());
    near("yaw", yaw.to_degrees(), 0.164035, 1e-5, 5e-7);
    near("shift", p.state.pose.center.y() * 1e3, 0.1299, 1e-5, 5e-5);
    near("pitch", pitch.to_degrees(), 0.000654, 1e-5, 5e-7);
    let p = s.at(heave(0.05)).unwrap();
    let a = p.state.pose.angles();
    near("pitch", a.pitch.to_degrees(), 2.38843, 1e-5, 5e-6);
    near("walk x", p.state.pose.center.x() * 1e3, 4.1358, 1e-5, 5e-5);
    near("walk y", p.state.pose.center.y() * 1e3, -1.6908, 1e-5, 5e-5);
}

/// A bell crank, two rods and a carrier that moves in the plane without turn.
fn watts_only(pivot_on_axle: bool) -> Solver {
    let b = RUBBER;
    let rods = if pivot_on_axle {
        [
            rod([0.0, -420.0, -100.0], [0.0, 0.0, -100.0], b),
            rod([0.0, 420.0, 100.0], [0.0, 0.0, 100.0], b),
        ]
    } else {
        [
            rod([0.0, 0.0, -100.0], [0.0, -420.0, -100.0], b),
            rod([0.0, 0.0, 100.0], [0.0, 420.0, 100.0], b),
        ]
    };
    let mut parts = Watts {
        pivot_on_axle,
        pivot: [0.0; 3],
        axis: [1.0, 0.0, 0.0],
        pivot_length: 0.04,
        pivot_bushing: b,
        rods,
    }
    .parts();
    planar(
        &mut parts,
        [[0.0, 0.0, 0.0], [0.0, 300.0, 0.0], [0.0, 0.0, 300.0]],
    );
    axle(parts, [0.0, 0.0, 0.0])
}

/// K4: Dixon 1996 (SciPy's `fsolve`); 1e-5 on the crank angle, 2e-3 on the walk.
#[test]
fn val_k4_watts_linkage() {
    let s = watts_only(true);
    let mut walks = Vec::new();
    for (h, walk, turn) in [
        (0.025, -0.000165, -0.42669),
        (0.050, -0.005349, -1.71157),
        (0.075, -0.041402, -3.87084),
    ] {
        let p = s.at(heave(h)).unwrap();
        let y = p.state.pose.center.y() * 1e3;
        near("walk", y, walk, 2e-3, 5e-7);
        // The case's angle: the lower end is at pivot + c (sin, -cos).
        near("crank", p.state.angle[0].to_degrees(), turn, 1e-5, 5e-6);
        let m = s.at(heave(-h)).unwrap();
        assert!((m.state.pose.center.y() * 1e3 + y).abs() < 1e-9);
        walks.push(y);
    }
    near(
        "power",
        (walks[2] / walks[1]).ln() / 1.5f64.ln(),
        5.047,
        1e-3,
        5e-4,
    );
    // The pivot on the body: the same closure seen from the axle.
    let other = watts_only(false);
    let p = other.at(heave(-0.075)).unwrap();
    near("walk", p.state.pose.center.y() * 1e3, 0.041402, 2e-3, 5e-7);
}

/// K3: Pythagoras; 1e-6.
#[test]
fn val_k3_panhard_rod() {
    let walk = |body: Triple, end: Triple, body_up: f64| {
        let mut parts = Linkage::default();
        parts.links.push(rod(body, end, RUBBER).link("Panhard bar"));
        planar(
            &mut parts,
            [[0.0, 0.0, 0.0], [0.0, 300.0, 0.0], [0.0, 0.0, 300.0]],
        );
        let s = axle(parts, [0.0, 0.0, 300.0]);
        s.at(heave(-body_up)).unwrap().state.pose.center.y() * 1e3
    };
    for (z, want) in [(0.025, 0.3473), (0.05, 1.3900), (0.075, 3.1304)] {
        let got = walk([0.0, -450.0, 300.0], [0.0, 450.0, 300.0], z);
        near("level rod", -got, want, 1e-6, 5e-5);
        near(
            "closed form",
            -got,
            900.0 - (900f64.powi(2) - (z * 1e3).powi(2)).sqrt(),
            1e-6,
            0.0,
        );
    }
    for (z, want) in [(0.05, 1.4034), (-0.05, -4.2235)] {
        let got = walk([0.0, -440.0, 250.0], [0.0, 450.0, 300.0], z);
        near("inclined rod", got, want, 1e-6, 5e-5);
    }
}

/// K10: two unrelated numerical routes; 1e-5, angles 1e-4 or 1e-5 deg.
#[test]
fn val_k10_double_wishbone() {
    let s = wheel(k10().parts(), [0.0, 735.0, 310.0]);
    for (h, toe, tilt, dx, dy) in [
        (0.04, 0.12875, 1.48315, 0.1087, -3.4659),
        (0.02, 0.04812, 0.68994, 0.0399, -1.0618),
        (0.0, 0.0, 0.0, 0.0, 0.0),
        (-0.02, -0.01679, -0.59420, -0.0120, -0.2732),
        (-0.04, -0.00254, -1.09687, 0.0033, -1.8936),
    ] {
        let p = s.at(heave(h)).unwrap();
        let n = p.state.pose.axis();
        let c = p.state.pose.center;
        near("toe", n.x().atan2(n.y()).to_degrees(), toe, 1e-4, 1e-5);
        near("tilt", n.z().asin().to_degrees(), tilt, 1e-4, 1e-5);
        near("dx", c.x() * 1e3, dx, 1e-5, 5e-5);
        near("dy", c.y() * 1e3 - 735.0, dy, 1e-5, 5e-5);
    }
}

/// K9: Freudenstein 1955; Norton, Design of Machinery (ground 100, crank 40, coupler 120, rocker
/// 80 mm, crank at 40 deg); 1e-9 against the closed form.
#[test]
fn val_k9_four_bar() {
    let (a, b, c, d) = (40.0f64, 120.0, 80.0, 100.0);
    // Freudenstein's equation in the tangent of the half angle; both branches.
    let theta4 = |t2: f64, open: bool| {
        let (k1, k2) = (d / a, d / c);
        let k3 = (a * a - b * b + c * c + d * d) / (2.0 * a * c);
        let (p, q) = (
            t2.cos() - k1 - k2 * t2.cos() + k3,
            k1 - (k2 + 1.0) * t2.cos() + k3,
        );
        let r = -2.0 * t2.sin();
        let root = (r * r - 4.0 * p * q).sqrt();
        2.0 * ((-r + if open { -root } else { root }) / (2.0 * p)).atan()
    };
    let t2 = 40f64.to_radians();
    near("open", theta4(t2, true).to_degrees(), 57.3249, 0.0, 5e-5);
    near(
        "crossed",
        theta4(t2, false).to_degrees(),
        -98.0050,
        0.0,
        5e-5,
    );
    // In the plane (y, z); the carrier is the coupler. Described a little wrong, with the rocker's
    // length given, it must assemble on the branch nearby.
    for open in [true, false] {
        let t4 = theta4(t2, open);
        let (p, q) = (
            [0.0, a * t2.cos(), a * t2.sin()],
            [0.0, d + c * t4.cos(), c * t4.sin()],
        );
        let drawn = if open {
            [0.0, q[1] + 4.0, q[2] - 3.0]
        } else {
            [0.0, q[1] - 4.0, q[2] - 5.0]
        };
        let mut parts = Linkage::default();
        parts
            .links
            .push(rod([0.0, 0.0, 0.0], p, RUBBER).link("crank"));
        let mut rocker = rod([0.0, d, 0.0], drawn, RUBBER).link("rocker");
        rocker.length = Some(c / 1e3);
        parts.links.push(rocker);
        planar(&mut parts, [p, drawn, [0.0, p[1], p[2] + 50.0]]);
        let s = wheel(parts, p);
        let at = |name| {
            s.mechanism
                .place(&s.start.state, 0.0, Attachment::carrier(mm(name)))
                .times(1e3)
        };
        let end = at(drawn);
        // The height of the crank's end is given, and with it the crank's angle; the coupler as
        // described has another length, so compare with the closed form for that length.
        let coupler = ((drawn[1] - p[1]).powi(2) + (drawn[2] - p[2]).powi(2)).sqrt();
        let along = ((end.y() - p[1]).powi(2) + (end.z() - p[2]).powi(2)).sqrt();
        near("coupler", along, coupler, 1e-12, 0.0);
        let t4_found = end.z().atan2(end.y() - d);
        let k3 = (a * a - coupler * coupler + c * c + d * d) / (2.0 * a * c);
        let residual = d / a * t4_found.cos() - d / c * t2.cos() + k3 - (t2 - t4_found).cos();
        assert!(residual.abs() < 1e-9, "{residual}");
        assert_eq!(t4_found > 0.0, open);
    }
    // In motion: from 40 deg on, against the closed form at every angle.
    for open in [true, false] {
        let t4 = theta4(t2, open);
        let (p, q) = (
            [0.0, a * t2.cos(), a * t2.sin()],
            [0.0, d + c * t4.cos(), c * t4.sin()],
        );
        let mut parts = Linkage::default();
        parts
            .links
            .push(rod([0.0, 0.0, 0.0], p, RUBBER).link("crank"));
        parts
            .links
            .push(rod([0.0, d, 0.0], q, RUBBER).link("rocker"));
        planar(&mut parts, [p, q, [0.0, p[1], p[2] + 50.0]]);
        let s = wheel(parts, p);
        for deg in [20.0f64, 30.0, 40.0, 55.0, 70.0] {
            let t = deg.to_radians();
            let found = s.at(heave((a * t.sin() - p[2]) / 1e3)).unwrap();
            let end = s
                .mechanism
                .place(&found.state, 0.0, Attachment::carrier(mm(q)))
                .times(1e3);
            near(
                "rocker",
                end.z().atan2(end.y() - d),
                theta4(t, open),
                0.0,
                1e-9,
            );
        }
    }
}

/// N8: slider-crank, r = 50 mm, rod 150 mm, 60 deg; any mechanisms text; 1e-6.
#[test]
fn val_n8_slider_crank() {
    // The slider is the carrier and moves along z; the crank turns about x.
    let x60 = 168.61407;
    let t = 60f64.to_radians();
    let crank_end = [0.0, -50.0 * t.sin(), 50.0 * t.cos()];
    let mut parts = Linkage {
        members: vec![Member {
            name: "crank".into(),
            on: BodyId::Body,
            hinge: [mm([-20.0, 0.0, 0.0]), mm([20.0, 0.0, 0.0])],
            bushings: [RUBBER; 2],
        }],
        ..Linkage::default()
    };
    parts.links.push(Link::new(
        "rod",
        LinkEnd::new(Attachment::member(0, mm(crank_end)), RUBBER),
        LinkEnd::new(Attachment::carrier(mm([0.0, 0.0, x60])), RUBBER),
    ));
    planar(
        &mut parts,
        [[0.0, 0.0, x60], [0.0, 60.0, x60], [0.0, 0.0, x60 + 60.0]],
    );
    for (i, z) in [x60, x60 + 60.0].into_iter().enumerate() {
        parts.joints.push(Joint {
            name: format!("slide {i}"),
            guide: BodyId::Body,
            guided: BodyId::Carrier,
            at: mm([0.0, 0.0, z]),
            blocked: vec![[0.0, 1.0, 0.0]],
            bushing: RUBBER,
            sleeve: [1.0, 0.0, 0.0],
            all_round: false,
            foot: None,
        });
    }
    let s = wheel(parts, [0.0, 0.0, x60]);
    let rate = s.start.rates.heave[6];
    near("dx/dtheta", 1.0 / rate, -0.050839054, 1e-6, 0.0);
    // Other angles by the closed form x = r cos t + sqrt(l^2 - r^2 sin^2 t).
    let rod_length = ((x60 - crank_end[2]).powi(2) + crank_end[1].powi(2)).sqrt();
    near("rod", rod_length, 150.0, 1e-7, 0.0);
    for deg in [40.0f64, 50.0, 75.0, 100.0] {
        let a = deg.to_radians();
        let x = 50.0 * a.cos() + (rod_length.powi(2) - (50.0 * a.sin()).powi(2)).sqrt();
        let p = s.at(heave((x - x60) / 1e3)).unwrap();
        near("angle", p.state.angle[0], a - t, 0.0, 1e-9);
    }
}
