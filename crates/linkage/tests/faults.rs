//! Faulty linkages are refused with an error that names the links; each of 10,000 random
//! perturbations solves or fails cleanly.

#![expect(
    clippy::disallowed_methods,
    reason = "closed forms by the platform's functions, compared within a tolerance"
)]

mod common;

use axletree_linkage::axle::{FourLink, Panhard, TorqueArm, pair};
use axletree_linkage::*;
use common::*;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

fn new(parts: Linkage, carried: Carried) -> Result<Solver, LinkageError> {
    Solver::new(Mechanism::new(parts, carried, mm([0.0, 0.0, 310.0]))?)
}

fn names(e: &LinkageError) -> Vec<String> {
    match e {
        LinkageError::FreedomLeft { links, .. }
        | LinkageError::CannotAssemble { links, .. }
        | LinkageError::Locks { links, .. }
        | LinkageError::Toggles { links, .. }
        | LinkageError::Strained { links, .. } => links.0.clone(),
        other => panic!("{other}"),
    }
}

#[test]
fn a_freedom_left_is_named() {
    // A torque arm without anything across.
    let lower = rod([550.0, 500.0, 230.0], [0.0, 500.0, 200.0], RUBBER);
    let parts = TorqueArm {
        lower,
        mount: mm([1200.0, 0.0, 300.0]),
        bushing: RUBBER,
    }
    .parts();
    let e = new(parts, Carried::Axle).unwrap_err();
    assert!(
        matches!(e, LinkageError::FreedomLeft { free: 1, .. }),
        "{e}"
    );
    assert!(
        e.to_string().contains("sideways") && names(&e).len() == 3,
        "{e}"
    );
    // Four parallel links: the right number, but two of them repeat a constraint in plan.
    let parts = FourLink {
        lower: rod([550.0, 500.0, 230.0], [0.0, 500.0, 230.0], RUBBER),
        upper: rod([350.0, 300.0, 450.0], [0.0, 300.0, 450.0], RUBBER),
    }
    .parts();
    let e = new(parts, Carried::Axle).unwrap_err();
    assert!(
        matches!(e, LinkageError::FreedomLeft { free: 1, .. }),
        "{e}"
    );
    assert_eq!(names(&e).len(), 4);
    // A knuckle on four rods.
    let mut c = multi_link_corner();
    c.parts.links.pop();
    let e = c.solver().unwrap_err();
    assert!(e.to_string().contains("lower front"), "{e}");
}

#[test]
fn links_that_do_not_fit_together_are_named() {
    // A planar chain that is too short to close.
    let mut parts = Linkage::default();
    let p = [0.0, 40.0, 0.0];
    let q = [0.0, 60.0, 30.0];
    parts
        .links
        .push(rod([0.0, 0.0, 0.0], p, RUBBER).link("crank"));
    let mut rocker = rod([0.0, 1000.0, 0.0], q, RUBBER).link("rocker");
    rocker.length = Some(0.08);
    parts.links.push(rocker);
    planar(&mut parts, [p, q, [0.0, 40.0, 50.0]]);
    let e = Solver::new(Mechanism::new(parts, Carried::Wheel, mm(p)).unwrap()).unwrap_err();
    assert!(
        matches!(&e, LinkageError::CannotAssemble { gap, .. } if *gap > 0.1),
        "{e}"
    );
    assert!(names(&e).contains(&"rocker".to_owned()), "{e}");
}

#[test]
fn locking_is_found_where_it_is() {
    // A short bar across: the travel ends where it is upright.
    let parts = TorqueArm {
        lower: rod([950.0, 500.0, 230.0], [0.0, 500.0, 230.0], RUBBER),
        mount: mm([1500.0, 0.0, 300.0]),
        bushing: RUBBER,
    }
    .parts()
    .and(
        Panhard {
            rod: rod([0.0, -100.0, 300.0], [0.0, 100.0, 300.0], RUBBER),
        }
        .parts(),
    );
    let s = new(parts, Carried::Axle).unwrap();
    s.at(heave(0.17)).unwrap();
    let e = s.at(heave(0.24)).unwrap_err();
    let LinkageError::Locks { travel, links, .. } = &e else {
        panic!("{e}")
    };
    assert!((0.17..0.2005).contains(&travel.heave), "{e}");
    assert!(links.0.contains(&"Panhard bar".to_owned()), "{e}");
    assert!(e.to_string().contains("Panhard bar"));
}

#[test]
fn a_dead_center_is_told_from_a_lock() {
    // A parallelogram driven down into the line where all its links lie along each other.
    let t = 40f64.to_radians();
    let (p, q) = (
        [0.0, 60.0 * t.cos(), 60.0 * t.sin()],
        [0.0, 100.0 + 60.0 * t.cos(), 60.0 * t.sin()],
    );
    let mut parts = Linkage::default();
    parts
        .links
        .push(rod([0.0, 0.0, 0.0], p, RUBBER).link("first crank"));
    parts
        .links
        .push(rod([0.0, 100.0, 0.0], q, RUBBER).link("second crank"));
    planar(&mut parts, [p, q, [0.0, p[1], p[2] + 50.0]]);
    let s = Solver::new(Mechanism::new(parts, Carried::Wheel, mm(p)).unwrap()).unwrap();
    s.at(heave(-0.030)).unwrap();
    let e = s.at(heave(-0.060)).unwrap_err();
    assert!(matches!(e, LinkageError::Toggles { .. }), "{e}");
    assert_eq!(names(&e), ["first crank", "second crank"]);
}

#[test]
fn too_much_strain_is_refused() {
    let b = Material::Spherical.bushing();
    let parts = pair("lower", &rod([600.0, 500.0, 400.0], [0.0, 500.0, 220.0], b))
        .and(pair(
            "upper",
            &rod([200.0, 300.0, 300.0], [0.0, 300.0, 460.0], b),
        ))
        .and(
            Panhard {
                rod: rod([0.0, -450.0, 300.0], [0.0, 450.0, 330.0], b),
            }
            .parts(),
        );
    let s = new(parts, Carried::Axle).unwrap();
    let e = s.at(roll(0.3)).unwrap_err();
    assert!(
        matches!(&e, LinkageError::Strained { stretch, .. } if *stretch > 0.01),
        "{e}"
    );
}

#[test]
fn bad_descriptions_are_refused() {
    let four = || k5(RUBBER);
    let mut parts = four();
    parts.links[1].ends[0].point.at[2] = f64::NAN;
    assert!(
        matches!(new(parts, Carried::Axle).unwrap_err(), LinkageError::Point { name, .. } if name == "lower link right")
    );
    let mut parts = four();
    parts.links[2].ends[0].point.at = parts.links[2].ends[1].point.at;
    assert!(matches!(
        new(parts, Carried::Axle).unwrap_err(),
        LinkageError::TooShort { .. }
    ));
    let mut parts = four();
    parts.links[0].ends[1].point.on = BodyId::Body;
    assert!(matches!(
        new(parts, Carried::Axle).unwrap_err(),
        LinkageError::SameBody { .. }
    ));
    let mut parts = four();
    parts.links[0].ends[1].point.on = BodyId::Member(2);
    assert!(matches!(
        new(parts, Carried::Axle).unwrap_err(),
        LinkageError::NoMember { index: 2, .. }
    ));
    let mut parts = four();
    parts.links[0].name = parts.links[1].name.clone();
    assert!(matches!(
        new(parts, Carried::Axle).unwrap_err(),
        LinkageError::SameName { .. }
    ));
    let mut parts = four();
    parts.links[0].ends[0].bushing.radial = -1.0;
    assert!(matches!(
        new(parts, Carried::Axle).unwrap_err(),
        LinkageError::Value { .. }
    ));
    let mut parts = four();
    parts.links[0].ends[0].sleeve = Some([0.0; 3]);
    assert!(matches!(
        new(parts, Carried::Axle).unwrap_err(),
        LinkageError::Direction { .. }
    ));
    let s = new(four(), Carried::Axle).unwrap();
    assert!(matches!(
        s.at(heave(f64::NAN)).unwrap_err(),
        LinkageError::Range { .. }
    ));
    let a = whole_axle(four());
    let range = AxleRange {
        heave: 0.0,
        roll: 0.05,
    };
    assert!(matches!(
        a.solve(range, FitBound::default(), CAR).unwrap_err(),
        LinkageError::Range { .. }
    ));
    let strict = FitBound {
        length: 1e-9,
        compression: 1e-9,
        angle: 1e-9,
    };
    assert!(matches!(
        a.solve(AxleRange::default(), strict, CAR).unwrap_err(),
        LinkageError::Fit { .. }
    ));
}

fn shaken(rng: &mut ChaCha8Rng, parts: &Linkage, size: f64) -> Linkage {
    let mut p = parts.clone();
    let mut shake = |x: &mut Triple| {
        for c in x {
            *c += rng.random_range(-size..size);
        }
    };
    for link in &mut p.links {
        for end in &mut link.ends {
            shake(&mut end.point.at);
        }
    }
    for member in &mut p.members {
        member.hinge.iter_mut().for_each(&mut shake);
    }
    for joint in &mut p.joints {
        shake(&mut joint.at);
    }
    p
}

fn all_finite(values: &[f64]) -> bool {
    values.iter().all(|x| x.is_finite())
}

/// 10,000 axles and corners, points moved by up to 20, 60 or 200 mm each way: finite results
/// with lengths kept, or an error.
#[test]
fn law_random_perturbations_solve_or_fail_cleanly() {
    let mut rng = ChaCha8Rng::seed_from_u64(20);
    let locations = locations(RUBBER);
    let corners = corners();
    let (mut good, mut bad, mut bad_small) = (0, 0, 0);
    let mut kinds = std::collections::BTreeMap::<String, i32>::new();
    for i in 0..10_000 {
        let size = [0.02, 0.06, 0.2][i % 3];
        let failed = if i % 2 == 0 {
            let (_, parts) = &locations[(i / 2) % locations.len()];
            let a = whole_axle(shaken(&mut rng, parts, size));
            match a.solve(AxleRange::default(), FitBound::default(), CAR) {
                Ok(s) => {
                    assert!(all_finite(&s.curves.x.c) && all_finite(&s.curves.yaw.c));
                    assert!(all_finite(&s.potential.potential.c));
                    assert!(all_finite(&s.compliance.wheels.lateral.concat()));
                    let m = &s.solver.mechanism;
                    let p = s.solver.at(roll(0.05)).unwrap();
                    let worst = s
                        .solver
                        .gaps(&p)
                        .into_iter()
                        .fold(0.0f64, |a, x| a.max(x.abs()));
                    let most = if m.over_constrained() { 0.01 } else { 1e-10 };
                    assert!(worst < most, "{worst}");
                    None
                }
                Err(e) => Some(e),
            }
        } else {
            let mut c = corners[(i / 2) % corners.len()].1.clone();
            c.parts = shaken(&mut rng, &c.parts, size);
            match c.solve(CornerRange::default(), FitBound::default(), CAR, None) {
                Ok(s) => {
                    assert!(all_finite(&s.curves.toe.c) && all_finite(&s.potential.potential.c));
                    assert!(all_finite(&s.compliance.wheels.longitudinal.concat()));
                    None
                }
                Err(e) => Some(e),
            }
        };
        match failed {
            None => good += 1,
            Some(e) => {
                bad += 1;
                bad_small += i32::from(size < 0.03);
                let kind = format!("{e:?}");
                let kind = kind.split([' ', '{']).next().unwrap().to_owned();
                *kinds.entry(kind).or_default() += 1;
                assert!(e.to_string().len() > 20);
            }
        }
    }
    assert!(
        good > 6000 && bad > 20,
        "{good} solved, {bad} failed: {kinds:?}"
    );
    // Nearly all linkages solve with points moved by 20 mm.
    assert!(bad_small < 30, "{bad_small} of 3333");
}

/// Every fault of a description is reported, each with its part; one alone is reported as itself.
#[test]
fn all_faults_of_a_description_are_reported() {
    let mut parts = k5(RUBBER);
    parts.links[0].ends[0].point.at[2] = f64::NAN;
    parts.links[1].ends[0].bushing.radial = -1.0;
    parts.links[1].ends[1].bushing.conical = f64::INFINITY;
    parts.links[2].ends[1].point.on = BodyId::Body;
    parts.links[3].name = parts.links[2].name.clone();
    let e = new(parts, Carried::Axle).unwrap_err();
    let faults = e.faults();
    assert_eq!(faults.len(), 5, "{e}");
    let has = |wanted: fn(&LinkageError) -> bool| faults.iter().any(wanted);
    assert!(has(
        |f| matches!(f, LinkageError::Point { name, .. } if name == "lower link left")
    ));
    assert!(has(
        |f| matches!(f, LinkageError::Value { what, .. } if *what == "radial stiffness")
    ));
    assert!(has(
        |f| matches!(f, LinkageError::Value { what, .. } if *what == "conical stiffness")
    ));
    assert!(has(
        |f| matches!(f, LinkageError::SameBody { name } if name == "upper link left")
    ));
    assert!(has(
        |f| matches!(f, LinkageError::SameName { name } if name == "upper link left")
    ));
    for fault in faults {
        assert!(e.to_string().contains(&fault.to_string()), "{e}");
    }
    let mut parts = k5(RUBBER);
    parts.links[0].ends[0].bushing.radial = -1.0;
    let e = new(parts, Carried::Axle).unwrap_err();
    assert!(matches!(e, LinkageError::Value { .. }) && e.faults().len() == 1);
}
