//! Laws of links given in a car file: lengths kept, rates, virtual work, binding, mirror images,
//! and their faults.
#![expect(
    clippy::disallowed_methods,
    reason = "lengths are compared to a tolerance, not to the last bit"
)]

mod cars;

use axletree_linkage::instant::axle_roll_center;
use axletree_linkage::{
    Attachment, AxleSolution, Carried, LinkageError, Position, Rates, Solver, Travel,
};
use axletree_scalar::Vec3;
use axletree_vehicle::model::numbers::{Corners, Rear, Surface};
use axletree_vehicle::{BUNDLED, Car, bundled};
use axletree_vehicle::{CarEnd, Links};
use axletree_vehicle::{Fault, FaultKind};
use cars::{
    MULTI_LINK, PARALLEL, SEMI_TRAILING, STRUT, THREE_LINKS, TORQUE_ARM, TRIANGULATED, WISHBONES,
    front_on, independent_on, solid_on,
};

/// Every bundled car and one of every kind of linkage, with its end on links.
fn all() -> Vec<(String, Car, Links)> {
    let kinds = [
        ("triangulated", solid_on(TRIANGULATED)),
        ("three links", solid_on(THREE_LINKS)),
        ("torque arm", solid_on(TORQUE_ARM)),
        ("parallel links", solid_on(PARALLEL)),
        ("five links", solid_on(&PARALLEL.replace("four", "five"))),
        ("wishbones", independent_on(WISHBONES)),
        ("multi-link", independent_on(MULTI_LINK)),
        ("semi-trailing", independent_on(SEMI_TRAILING)),
        ("strut", front_on(STRUT)),
    ];
    let bundled = BUNDLED
        .iter()
        .map(|(name, _)| (*name, bundled(name).unwrap().unwrap()));
    let with_links = |(name, car): (&str, Car)| {
        let links = car
            .linkage(CarEnd::Rear)
            .or_else(|| car.linkage(CarEnd::Front))?;
        Some((name.to_owned(), car, links))
    };
    let all: Vec<_> = kinds
        .into_iter()
        .chain(bundled)
        .filter_map(with_links)
        .collect();
    assert!(all.len() >= 15);
    all
}

fn solver(links: &Links) -> &Solver {
    match links {
        Links::Axle(links) => &links.solution.solver,
        Links::Corners(links) => &links.solution.solver,
    }
}

/// Exact positions over the travel that the car file asks for.
fn positions(links: &Links) -> Vec<Position> {
    match links {
        Links::Axle(links) => links.linkage.positions(&links.solution.solver, links.range),
        Links::Corners(links) => links.linkage.positions(&links.solution.solver, links.range),
    }
    .unwrap()
}

/// Distances of the ends of links from the placed points; parts that slide, by what they miss.
#[test]
fn law_lengths_are_kept_over_the_travel() {
    let (mut checked, mut over) = (0, 0);
    for (name, _, links) in all() {
        let s = solver(&links);
        let m = &s.mechanism;
        if m.over_constrained() {
            over += 1;
            continue;
        }
        let all = positions(&links);
        let far = all.iter().map(|p| p.travel.heave).fold(0.0, f64::max);
        assert!(far > 0.05, "{name}: {far}");
        for p in all {
            for link in &m.parts.links {
                let [a, b] = link.ends.map(|e| m.place(&p.state, p.travel.rack, e.point));
                let [a0, b0] = link.ends.map(|e| e.point.at);
                let length = (0..3).map(|i| (a0[i] - b0[i]).powi(2)).sum::<f64>().sqrt();
                let off = (b - a).norm() - length;
                assert!(off.abs() < 1e-10, "{name} {}: {off}", link.name);
                checked += 1;
            }
            let worst = s.gaps(&p).into_iter().fold(0.0f64, |a, x| a.max(x.abs()));
            assert!(worst < 1e-10, "{name}: {worst}");
        }
    }
    // The parallel links and the five links yield instead.
    assert!(checked > 500 && over == 2, "{checked} {over}");
}

/// Rates by heave and roll against central differences of exact positions away from static.
#[test]
fn law_rates_agree_with_differences() {
    for (name, _, links) in all() {
        let s = solver(&links);
        let axle = s.mechanism.carried == Carried::Axle;
        let base = [0.03, if axle { 0.04 } else { 0.0 }];
        let at = |heave: f64, roll: f64| {
            let rack = 0.0;
            s.at(Travel { heave, roll, rack }).unwrap()
        };
        let here = at(base[0], base[1]);
        let d = 1e-5;
        for (by, rates) in [([d, 0.0], here.rates.heave), ([0.0, d], here.rates.roll)] {
            if by[1] > 0.0 && !axle {
                continue;
            }
            let (v, w) = Rates::twist(&rates);
            let turn = here.state.pose.angle_rates(w);
            let got = [v.x(), v.y(), v.z(), turn.yaw, turn.roll, turn.pitch];
            let of = |p: Position| {
                let (c, a) = (p.state.pose.center, p.state.pose.angles());
                [c.x(), c.y(), c.z(), a.yaw, a.roll, a.pitch]
            };
            let up = of(at(base[0] + by[0], base[1] + by[1]));
            let down = of(at(base[0] - by[0], base[1] - by[1]));
            for k in 0..6 {
                let want = (up[k] - down[k]) / (2.0 * d);
                let off = (got[k] - want).abs();
                assert!(
                    off < 2e-6 * (1.0 + want.abs()),
                    "{name}: {got:?}, {k}: {want}"
                );
            }
        }
    }
}

/// The roll center by virtual work, from exact positions: the height at which a point of the axle
/// does not move sideways in roll; at a corner, where the normal to the path of the point at the contact
/// meets the center plane. The differences are of second order in 1e-5, so they agree to 1e-7.
#[test]
fn law_roll_center_is_where_a_lateral_force_does_no_work() {
    let d = 1e-5;
    for (name, _, links) in all() {
        let s = solver(&links);
        let m = &s.mechanism;
        let place =
            |p: &Position, at: [f64; 3]| m.place(&p.state, p.travel.rack, Attachment::carrier(at));
        let center = m.center.0;
        match &links {
            Links::Axle(links) => {
                for heave in [0.0, 0.04, -0.04] {
                    let at = |roll: f64| {
                        let rack = 0.0;
                        s.at(Travel { heave, roll, rack }).unwrap()
                    };
                    let (here, up, down) = (at(0.0), at(d), at(-d));
                    // A point of the axle that is now 0.1 m above its center.
                    let above = here.state.pose.turn.transpose() * Vec3([0.0, 0.0, 0.1]);
                    let above: [f64; 3] = std::array::from_fn(|i| center[i] + above.0[i]);
                    let [low, high] =
                        [center, above].map(|p| place(&up, p).y() - place(&down, p).y());
                    let want = center[2] + 0.1 * low / (low - high);
                    let got = axle_roll_center(s, &here);
                    assert!((got - want).abs() < 1e-7, "{name}: {got} {want}");
                }
                let report = links.solution.report.roll_center;
                assert!((report - axle_roll_center(s, &s.start)).abs() < 1e-12);
            }
            Links::Corners(links) => {
                let contact = links.linkage.contact();
                let at = |heave: f64| place(&s.at(Travel::heave(heave)).unwrap(), contact);
                let (up, down) = (at(d), at(-d));
                let slope = (up.y() - down.y()) / (up.z() - down.z());
                let want = contact[1] * slope;
                let got = links.solution.report.roll_center;
                assert!(want.abs() > 0.005, "{name}: {want}");
                assert!((got - want).abs() < 1e-7, "{name}: {got} {want}");
            }
        }
    }
}

/// The moment of binding is the slope of its energy: exact at the ends, and as the equations have
/// it.
#[test]
fn law_binding_moment_is_the_slope_of_its_energy() {
    for (name, car, links) in all() {
        let numbers = car.numbers();
        let near = |got: f64, want: f64, size: f64| {
            assert!((got - want).abs() < 2e-6 * size, "{name}: {got} {want}");
        };
        let d = 1e-5;
        match (&links, &numbers.rear) {
            (Links::Axle(links), Rear::Solid(axle)) => {
                let exact = |h: f64, r: f64| {
                    let of: &AxleSolution = &links.solution;
                    of.stored(h, r).unwrap()
                };
                for (h, r) in [(0.0, 0.05), (0.03, -0.04)] {
                    let here = exact(h, r);
                    let by_roll = (exact(h, r + d).energy - exact(h, r - d).energy) / (2.0 * d);
                    near(here.by_roll, by_roll, 10.0 + by_roll.abs());
                    let of = |h: f64, r: f64| axle.binding.at(h, r);
                    let by_heave = (of(h + d, r)[0] - of(h - d, r)[0]) / (2.0 * d);
                    let by_roll = (of(h, r + d)[0] - of(h, r - d)[0]) / (2.0 * d);
                    let got = of(h, r);
                    near(got[1], by_heave, 10.0 + by_heave.abs());
                    near(got[2], by_roll, 10.0 + by_roll.abs());
                    assert!(got[2] * r > 0.0, "{name}: {got:?}");
                }
            }
            (Links::Corners(_), rear) => {
                let corners = match rear {
                    Rear::Independent(corners) if car.linkage(CarEnd::Rear).is_some() => corners,
                    _ => &numbers.front,
                };
                let of = |s: f64| corners.side[0].binding.at(s);
                for s in [-0.04, 0.05] {
                    let slope = (of(s + d)[0] - of(s - d)[0]) / (2.0 * d);
                    near(of(s)[1], slope, 10.0 + slope.abs());
                    assert!(of(s)[1] * s > 0.0, "{name}");
                }
            }
            _ => panic!("{name}"),
        }
    }
}

fn at(surface: &Surface<f64>, h: f64, r: f64) -> f64 {
    surface.value_and_slope(h, r).0
}

/// How far an axle's numbers are from those of its mirror image: the largest length or angle, and
/// the energy of binding, relative.
fn lopsidedness(rear: &Rear<f64>) -> [f64; 2] {
    let Rear::Solid(axle) = rear else {
        panic!("a solid axle")
    };
    let mut worst = [0.0f64; 2];
    for (h, r) in [(0.0, 0.05), (0.04, 0.03), (-0.04, 0.04), (0.03, 0.0)] {
        let odd = [&axle.y, &axle.yaw].map(|s| at(s, h, r) + at(s, h, -r));
        let even = [&axle.x, &axle.pitch].map(|s| at(s, h, r) - at(s, h, -r));
        let [left, right] = &axle.side;
        let sides = [
            at(&left.spring, h, r) - at(&right.spring, h, -r),
            at(&left.damper, h, r) - at(&right.damper, h, -r),
            at(&left.bar, h, r) - at(&right.bar, h, -r),
        ];
        let [a, b] = [r, -r].map(|r| axle.binding.at(h, r)[0]);
        for off in odd.into_iter().chain(even).chain(sides) {
            worst[0] = worst[0].max(off.abs());
        }
        worst[1] = worst[1].max((a - b).abs() / (1.0 + a));
    }
    worst
}

/// Numbers of a mirror-symmetric linkage are so; a Panhard bar's are not, a Watt's linkage, whose
/// rods are images in a point, is so within its walk.
#[test]
fn law_symmetric_links_give_mirror_symmetric_numbers() {
    let mut seen = [0; 3];
    for (name, car, links) in all() {
        let numbers = car.numbers();
        if let Links::Axle(_) = links {
            let off = lopsidedness(&numbers.rear);
            match car.get("rear.lateral.type").unwrap().value {
                Some(axletree_vehicle::EntryValue::Text(kind)) if kind == "panhard bar" => {
                    assert!(off[0] > 1e-4, "{name}: {off:?}");
                    seen[0] += 1;
                }
                Some(axletree_vehicle::EntryValue::Text(kind)) if kind == "watts linkage" => {
                    assert!(off[0] < 5e-4 && off[1] < 0.02, "{name}: {off:?}");
                    seen[1] += 1;
                }
                _ => {
                    assert!(off[0] < 1e-9 && off[1] < 1e-9, "{name}: {off:?}");
                    seen[2] += 1;
                }
            }
            continue;
        }
        let corners: &Corners<f64> = match &numbers.rear {
            Rear::Independent(corners) if car.linkage(CarEnd::Rear).is_some() => corners,
            _ => &numbers.front,
        };
        let [l, r] = &corners.side;
        for (what, a, b, sign) in [
            ("x", &l.x, &r.x, 1.0),
            ("y", &l.y, &r.y, -1.0),
            ("z", &l.z, &r.z, 1.0),
            ("toe", &l.toe, &r.toe, -1.0),
            ("tilt", &l.tilt, &r.tilt, -1.0),
            ("pitch", &l.pitch, &r.pitch, 1.0),
            ("spring", &l.spring, &r.spring, 1.0),
            ("damper", &l.damper, &r.damper, 1.0),
            ("bar", &l.bar, &r.bar, 1.0),
        ] {
            for (p, q) in a.c.iter().zip(&b.c) {
                assert!((p - sign * q).abs() < 1e-12, "{name}, {what}: {a:?} {b:?}");
            }
        }
        assert_eq!(l.binding, r.binding, "{name}");
        // Toe and tilt turn the other way on the other side, displacements along the car the same.
        let c = &corners.compliance;
        for i in 0..2 {
            let j = 1 - i;
            for (what, m, sign) in [
                ("lateral", c.lateral, 1.0),
                ("longitudinal", c.longitudinal, 1.0),
                ("toe by lateral", c.toe_lateral, 1.0),
                ("toe by moment", c.toe_aligning, 1.0),
                ("tilt by lateral", c.tilt_lateral, 1.0),
                ("toe by longitudinal", c.toe_longitudinal, -1.0),
            ] {
                for k in 0..2 {
                    let off = m[i][k] - sign * m[j][1 - k];
                    assert!(
                        off.abs() < 1e-12 + 1e-9 * m[i][k].abs(),
                        "{name}, {what}: {m:?}"
                    );
                }
            }
        }
    }
    assert!(seen[0] >= 4 && seen[1] >= 2 && seen[2] >= 2, "{seen:?}");
}

/// The only fault of an edit.
#[track_caller]
fn fault(car: &Car, edits: &[(&str, &str)]) -> Fault {
    let error = car.edit(edits.iter().copied()).expect_err("a fault");
    assert_eq!(error.faults.len(), 1, "{error}");
    error.faults[0].clone()
}

fn linkage_error(fault: &Fault) -> &LinkageError {
    match &fault.kind {
        FaultKind::Linkage { error } => error,
        other => panic!("{other:?}"),
    }
}

#[test]
fn links_that_do_not_work_out_are_told_at_their_entries() {
    let axle = solid_on(THREE_LINKS);
    // A bar so short that it hangs straight before the axle is down or up.
    let short = [
        ("rear.lateral.bar.body.y", "-60 mm"),
        ("rear.lateral.bar.body.z", "260 mm"),
        ("rear.lateral.bar.axle.y", "60 mm"),
        ("rear.links.heave", "200 mm"),
    ];
    let found = fault(&axle, &short);
    let LinkageError::Locks { links, .. } = linkage_error(&found) else {
        panic!("{found}")
    };
    assert!(links.0.contains(&"Panhard bar".to_owned()), "{found}");
    assert!(found.to_string().contains("\"Panhard bar\""), "{found}");
    assert!(found.path.starts_with("rear.l"), "{found}");

    // Straight in plan, four links leave the axle free sideways.
    let free = solid_on(TRIANGULATED);
    let straight = [
        ("rear.links.lower.body.y", "500 mm"),
        ("rear.links.upper.body.y", "80 mm"),
    ];
    let found = fault(&free, &straight);
    let LinkageError::FreedomLeft { free, links, .. } = linkage_error(&found) else {
        panic!("{found}")
    };
    assert_eq!(*free, 1);
    assert!(
        links.0.iter().any(|name| name.starts_with("upper")),
        "{found}"
    );
    assert!(found.path.starts_with("rear.links."), "{found}");
    assert!(found.to_string().contains("sideways"), "{found}");

    // A bar along the car holds nothing sideways either.
    let along = [
        ("rear.lateral.bar.body.x", "-600 mm"),
        ("rear.lateral.bar.body.y", "450 mm"),
        ("rear.links.lower.body.y", "500 mm"),
    ];
    let found = fault(&axle, &along);
    assert!(
        matches!(linkage_error(&found), LinkageError::FreedomLeft { .. }),
        "{found}"
    );

    // Both ends in one place.
    let wishbones = independent_on(WISHBONES);
    for (car, part, end, from) in [
        (
            &axle,
            "rear.links.lower",
            "axle",
            ["0 mm", "500 mm", "220 mm"],
        ),
        (
            &axle,
            "rear.lateral.bar",
            "axle",
            ["-120 mm", "450 mm", "260 mm"],
        ),
        (
            &wishbones,
            "rear.links.toe",
            "outer",
            ["-140 mm", "670 mm", "282 mm"],
        ),
    ] {
        let other = if end == "axle" { "body" } else { "inner" };
        assert!(car.get(&format!("{part}.{end}.x")).is_ok());
        let paths = ["x", "y", "z"].map(|x| format!("{part}.{other}.{x}"));
        let edits: Vec<_> = paths.iter().map(String::as_str).zip(from).collect();
        let found = fault(car, &edits);
        assert_eq!(found.path, part);
        assert!(
            matches!(linkage_error(&found), LinkageError::TooShort { .. }),
            "{found}"
        );
    }

    // Links that hold the axle against each other, and cannot yield so much.
    let parallel = solid_on(PARALLEL);
    let crossed = [
        ("rear.links.lower.body.z", "420 mm"),
        ("rear.lateral.bar.body.z", "600 mm"),
        ("rear.links.roll", "12 deg"),
    ];
    let found = fault(&parallel, &crossed);
    assert!(
        matches!(
            linkage_error(&found),
            LinkageError::Strained { .. } | LinkageError::Fit { .. } | LinkageError::Locks { .. }
        ),
        "{found}"
    );
}

/// An entry of another kind of linkage says which choice it needs.
#[test]
fn entries_of_other_linkages_say_which_choice_they_need() {
    let triangulated = solid_on(TRIANGULATED);
    let watts = solid_on(TORQUE_ARM);
    let arm = independent_on(SEMI_TRAILING);
    for (car, path, value, needs) in [
        (
            &triangulated,
            "rear.links.arm.mount.x",
            "1 m",
            "rear.links.type = \"torque arm\"",
        ),
        (
            &triangulated,
            "rear.lateral.bar.body.x",
            "0 mm",
            "rear.lateral.type = \"panhard bar\"",
        ),
        (
            &triangulated,
            "rear.links.lower.ball.x",
            "0 mm",
            "rear.type = \"independent\"",
        ),
        (
            &triangulated,
            "rear.subframe.front.x",
            "0 mm",
            "rear.links.type = ",
        ),
        (
            &watts,
            "rear.links.upper.body.x",
            "0 mm",
            "rear.links.type = \"four links\"",
        ),
        (
            &watts,
            "rear.lateral.bar.axle.z",
            "0 mm",
            "rear.lateral.type = \"panhard bar\"",
        ),
        (
            &arm,
            "rear.links.toe.inner.x",
            "0 mm",
            "\"double wishbone\"",
        ),
        (
            &arm,
            "rear.subframe.rear.x",
            "0 mm",
            "rear.subframe.type = \"mounts\"",
        ),
        (&arm, "rear.links.heave", "50 mm", "rear.type = \"solid\""),
        (&arm, "front.links.bump", "50 mm", "front.links.type = "),
    ] {
        let error = car.edit([(path, value)]).expect_err(path);
        let text = error.to_string();
        assert!(
            error.faults.iter().any(|fault| fault.path == path) && text.contains(needs),
            "{path}: {text}"
        );
    }
    let found = fault(
        &triangulated,
        &[("rear.geometry.roll_center_height", "300 mm")],
    );
    assert!(
        matches!(&found.kind, FaultKind::GivenTwice { other } if other == "rear.links.type"),
        "{found}"
    );
}

/// All faults of the links are reported together, those of a mirrored pair once.
#[test]
fn all_faults_of_the_links_are_reported() {
    let error = solid_on(THREE_LINKS)
        .edit([
            ("rear.links.lower.body.x", "0 mm"),
            ("rear.links.lower.body.y", "500 mm"),
            ("rear.links.lower.body.z", "220 mm"),
            ("rear.lateral.bar.body.x", "-120 mm"),
            ("rear.lateral.bar.body.y", "450 mm"),
            ("rear.lateral.bar.body.z", "260 mm"),
        ])
        .unwrap_err();
    let paths: Vec<&str> = error.faults.iter().map(|f| f.path.as_str()).collect();
    assert_eq!(paths, ["rear.links.lower", "rear.lateral.bar"], "{error}");
    for fault in &error.faults {
        assert!(matches!(
            linkage_error(fault),
            LinkageError::TooShort { .. }
        ));
    }
}
