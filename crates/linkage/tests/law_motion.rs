//! Laws of the motion: lengths kept, rates against differences, mirror images, virtual work, curves
//! against exact positions.

#![expect(
    clippy::disallowed_methods,
    reason = "closed forms by the platform's functions, compared within a tolerance"
)]

mod common;

use axletree_linkage::instant::{axle_roll_center, motion};
use axletree_linkage::*;
use common::statics::{driver_forces, roll_center_by_force};
use common::*;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

fn travel(h: f64, r: f64, k: f64) -> Travel {
    Travel {
        heave: h,
        roll: r,
        rack: k,
    }
}

/// All solvers: exactly constrained axles, over-constrained ones, corners.
fn all() -> Vec<(&'static str, Solver)> {
    let mut list: Vec<_> = locations(RUBBER)
        .into_iter()
        .map(|(name, parts)| (name, axle(parts, [0.0, 0.0, 310.0])))
        .collect();
    list.extend(
        corners()
            .into_iter()
            .map(|(name, c)| (name, c.solver().unwrap())),
    );
    list
}

/// Distances of link ends, measured from the positions of the points, not from the solver's
/// constraints.
#[test]
fn law_lengths_are_kept() {
    let mut checked = 0;
    for (name, s) in all() {
        let m = &s.mechanism;
        if m.over_constrained() {
            continue;
        }
        let steered = s.start.rates.rack.iter().any(|x| *x != 0.0);
        for (h, r) in [(0.07, 0.08), (-0.07, 0.05), (0.03, -0.09), (-0.06, -0.06)] {
            let r = if m.carried == Carried::Axle { r } else { 0.0 };
            let p = s
                .at(travel(h, r, if steered { 0.03 } else { 0.0 }))
                .unwrap();
            for link in &m.parts.links {
                let [a, b] = link.ends.map(|e| m.place(&p.state, p.travel.rack, e.point));
                let [a0, b0] = link.ends.map(|e| e.point.at);
                let length = (0..3).map(|i| (a0[i] - b0[i]).powi(2)).sum::<f64>().sqrt();
                let off = (b - a).norm() - length;
                assert!(off.abs() < 1e-10, "{name} {}: {off}", link.name);
                checked += 1;
            }
            let c = p.state.pose.center;
            assert!((c.z() - m.center.z() - h).abs() < 1e-12);
            assert!((p.state.pose.angles().roll - r).abs() < 1e-12 || r == 0.0);
        }
    }
    assert!(checked > 100);
}

/// Rates by heave, roll and rack against central differences of positions, also where links are
/// strained.
#[test]
fn law_rates_agree_with_differences() {
    for (name, s) in all() {
        let axle = s.mechanism.carried == Carried::Axle;
        let base = travel(0.04, if axle { 0.05 } else { 0.0 }, 0.0);
        let p = s.at(base).unwrap();
        let d = 1e-5;
        let directions = [
            (travel(d, 0.0, 0.0), p.rates.heave, true),
            (travel(0.0, d, 0.0), p.rates.roll, axle),
            (travel(0.0, 0.0, d), p.rates.rack, !axle),
        ];
        for (by, rates, there) in directions {
            if !there {
                continue;
            }
            let at = |s2: f64| {
                s.follow(
                    &p,
                    travel(
                        base.heave + s2 * by.heave,
                        base.roll + s2 * by.roll,
                        s2 * by.rack,
                    ),
                )
                .unwrap()
            };
            let (a, b) = (at(1.0), at(-1.0));
            let (v, w) = Rates::twist(&rates);
            let turn = p.state.pose.angle_rates(w);
            let (x, y) = (a.state.pose.angles(), b.state.pose.angles());
            let got = [
                v.x(),
                v.y(),
                v.z(),
                turn.yaw,
                turn.roll,
                turn.pitch,
                rates[6],
                rates[7],
            ];
            let (ca, cb) = (a.state.pose.center, b.state.pose.center);
            let want = [
                ca.x() - cb.x(),
                ca.y() - cb.y(),
                ca.z() - cb.z(),
                x.yaw - y.yaw,
                x.roll - y.roll,
                x.pitch - y.pitch,
                a.state.angle[0] - b.state.angle[0],
                a.state.angle[1] - b.state.angle[1],
            ]
            .map(|x| x / (2.0 * d));
            for (g, w) in got.iter().zip(want) {
                assert!(
                    (g - w).abs() < 2e-6 * (1.0 + w.abs()),
                    "{name}: {got:?} {want:?}"
                );
            }
        }
    }
}

/// The height of a lateral force that needs no roll couple, from statics, equals the construction
/// from velocities, also away from static.
#[test]
fn law_virtual_work_gives_the_roll_center() {
    for (name, s) in all() {
        if s.mechanism.carried == Carried::Wheel {
            // The lift of a lateral force at the patch is the patch's lateral displacement per
            // travel.
            let c = s.mechanism.center;
            let force = driver_forces(&s, &s.start, [0.0, 1.0, 0.0, c.z(), 0.0, 0.0])[0];
            let v = motion(&s, &s.start, [c.x(), c.y(), 0.0]).velocity;
            assert!(
                (force - v.y()).abs() < 1e-12 && v.y().abs() > 0.01,
                "{name}"
            );
            continue;
        }
        if s.mechanism.over_constrained() {
            continue;
        }
        for (h, r) in [(0.0, 0.0), (0.05, 0.0), (-0.04, 0.0)] {
            let p = s.at(travel(h, r, 0.0)).unwrap();
            let (a, b) = (axle_roll_center(&s, &p), roll_center_by_force(&s, &p));
            assert!((a - b).abs() < 1e-9, "{name}: {a} {b}");
        }
    }
}

/// Symmetric axles give symmetric and antisymmetric motion; an asymmetric one does not; a mirrored
/// corner has mirrored curves.
#[test]
fn law_mirror_images() {
    for (name, s) in all() {
        if s.mechanism.carried == Carried::Wheel {
            continue;
        }
        let (a, b) = (
            s.at(travel(0.03, 0.06, 0.0)).unwrap(),
            s.at(travel(0.03, -0.06, 0.0)).unwrap(),
        );
        let (x, y) = (a.state.pose.angles(), b.state.pose.angles());
        let off = (a.state.pose.center.y() + b.state.pose.center.y())
            .abs()
            .max((x.yaw + y.yaw).abs())
            .max((x.pitch - y.pitch).abs());
        // The rods of a Watt's linkage are images of each other in a point, not in a plane.
        if name == "triangulated four-link" {
            assert!(off < 1e-12, "{name}: {off}");
        } else {
            assert!(off > 1e-7, "{name}: {off}");
        }
    }
    for (name, c) in corners() {
        let bound = FitBound::default();
        let range = CornerRange::default();
        let left = c.curves(&c.solver().unwrap(), range, bound).unwrap();
        let right = c.mirrored();
        let solved = right
            .curves(&right.solver().unwrap(), range, bound)
            .unwrap();
        let image = left.mirrored();
        for (a, b) in [
            (solved.x, image.x),
            (solved.y, image.y),
            (solved.toe, image.toe),
            (solved.tilt, image.tilt),
            (solved.pitch, image.pitch),
            (solved.spring.unwrap(), image.spring.unwrap()),
        ] {
            for (p, q) in a.c.iter().zip(b.c) {
                assert!((p - q).abs() < 1e-9 * (1.0 + q.abs()), "{name}: {p} {q}");
            }
        }
    }
}

/// Polynomials against exact positions between the points they were fitted to, with their slopes at
/// static; the bar's and spring's travel against positions of points.
#[test]
fn law_curves_follow_exact_positions() {
    let mut rng = ChaCha8Rng::seed_from_u64(7);
    let bound = FitBound::default();
    for (name, parts) in locations(RUBBER) {
        let a = whole_axle(parts);
        let s = a.solver().unwrap();
        let range = AxleRange::default();
        let c = a.curves(&s, range, bound).unwrap();
        for _ in 0..40 {
            let h: f64 = rng.random_range(-range.heave..range.heave);
            let most = range.roll * (1.0 - 0.5 * (h / range.heave).abs());
            let r = rng.random_range(-most..most);
            let p = s.at(travel(h, r, 0.0)).unwrap();
            let angles = p.state.pose.angles();
            let center = p.state.pose.center;
            let spring = a.sides[0].spring.unwrap().compression(&s, &p);
            let bar = a.sides[1].bar.clone().unwrap().travel(&s, &p).unwrap();
            for (got, want, most) in [
                (c.x.value_and_slope(h, r).0, center.x(), bound.length),
                (c.y.value_and_slope(h, r).0, center.y(), bound.length),
                (c.yaw.value_and_slope(h, r).0, angles.yaw, bound.angle),
                (c.pitch.value_and_slope(h, r).0, angles.pitch, bound.angle),
                (
                    c.sides[0].spring.unwrap().value_and_slope(h, r).0,
                    spring,
                    bound.compression,
                ),
                (
                    c.sides[1].bar.unwrap().value_and_slope(h, r).0,
                    bar,
                    bound.compression,
                ),
            ] {
                assert!((got - want).abs() < most, "{name} {h} {r}: {got} {want}");
            }
        }
        // Slopes at static are the exact rates.
        let rates = a.report(&s, CAR, &[]).unwrap();
        let spring = c.sides[0].spring.unwrap();
        assert!((spring.c[1] - rates.ratios[0].spring.unwrap()).abs() < 1e-12);
        assert!(rates.ratios[0].bar.unwrap() > 0.5 && rates.ratios[0].spring.unwrap() > 0.5);
        assert!(rates.roll_ratios[1].spring.unwrap() > 0.2);
    }
    for (name, corner) in corners() {
        let s = corner.solver().unwrap();
        let c = corner.curves(&s, CornerRange::default(), bound).unwrap();
        for _ in 0..40 {
            let h: f64 = rng.random_range(-0.07..0.07);
            let p = s.at(travel(h, 0.0, 0.0)).unwrap();
            let a = p.state.pose.angles();
            assert!((c.toe.at(h)[0] - a.yaw).abs() < 1e-4, "{name}");
            assert!((c.tilt.at(h)[0] - a.roll).abs() < 1e-4, "{name}");
            assert!((c.z.at(h)[0] - p.state.pose.center.z()).abs() < 1e-12);
            assert!((c.y.at(h)[0] - p.state.pose.center.y()).abs() < 1e-5);
        }
    }
}

/// Toe-in and camber of the report have the signs stated there, compared with the spin axis itself.
#[test]
fn law_report_signs() {
    let c = whole_k10();
    let s = c.solver().unwrap();
    let positions = c.positions(&s, CornerRange::default()).unwrap();
    let r = c.report(&s, CAR, &positions).unwrap();
    let right = c.mirrored();
    let other = right.solver().unwrap();
    let images = right.positions(&other, CornerRange::default()).unwrap();
    let image = right.report(&other, CAR, &images).unwrap();
    for ((row, p), mirrored) in r.rows.iter().zip(&positions).zip(&image.rows) {
        let n = p.state.pose.axis();
        assert!((row.toe_in - n.x().atan2(n.y())).abs() < 1e-12);
        assert!((row.camber + n.z().asin()).abs() < 1e-12);
        assert!((row.toe_in - mirrored.toe_in).abs() < 1e-10);
        assert!((row.camber - mirrored.camber).abs() < 1e-10);
        assert!((row.roll_center - mirrored.roll_center).abs() < 1e-8);
    }
    let first = r.rows[0].roll_center;
    assert!(first > r.roll_center && r.roll_center_slope < -0.5);
}
