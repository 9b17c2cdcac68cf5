//! Compliance against closed forms of elementary statics, and its laws.

#![expect(
    clippy::disallowed_methods,
    reason = "closed forms by the platform's functions, compared within a tolerance"
)]

mod common;

use axletree_linkage::axle::{Panhard, TorqueArm};
use axletree_linkage::corner::SemiTrailing;
use axletree_linkage::*;
use common::*;

/// An arm on two bushings at x = +-b, the wheel center at its hinge's height a distance l out. By
/// statics, per unit longitudinal force at the wheel center: shift `1/(2 k_axial)` and turn
/// `l/(2 k_radial b^2 + 2 k_conical)`.
#[test]
fn val_two_bushing_arm() {
    let (b, l) = (0.15, 0.40);
    let k = Bushing {
        radial: 4e6,
        axial: 7e5,
        torsional: 80.0,
        conical: 900.0,
        ..RUBBER
    };
    let corner = CornerLinkage {
        parts: SemiTrailing {
            on: BodyId::Body,
            hinge: [[-b, 0.3, 0.3], [b, 0.3, 0.3]],
            bushings: [k; 2],
        }
        .parts(),
        center: [0.0, 0.3 + l, 0.3],
        side: Side::default(),
        steering_axis: None,
        alignment: Alignment::default(),
    };
    let c = corner.compliance(&corner.solver().unwrap(), None).unwrap();
    let turn = l / (2.0 * k.radial * b * b + 2.0 * k.conical);
    near(
        "longitudinal",
        c.wheels.longitudinal[0][0],
        1.0 / (2.0 * k.axial) + turn * l,
        1e-9,
        0.0,
    );
    near("toe", c.wheels.toe_longitudinal[0][0], -turn, 1e-9, 0.0);
    near(
        "toe, right",
        c.wheels.toe_longitudinal[1][1],
        turn,
        1e-9,
        0.0,
    );
    near(
        "lateral at the hinge's height",
        c.wheels.toe_lateral[0][0],
        0.0,
        0.0,
        1e-15,
    );
    assert!(c.wheels.toe_longitudinal[0][1].abs() < 1e-300);
    // A lateral force at the patch, 0.3 m below: the wheel center keeps its height, so the arm
    // turns about it by t and the hinge sinks or lifts by l t, against 2 k_radial and 2
    // k_torsional.
    let tilt = 0.3 / (2.0 * k.radial * l * l + 2.0 * k.torsional);
    near("tilt", c.wheels.tilt_lateral[0][0], tilt, 1e-9, 0.0);
    near(
        "across",
        c.wheels.lateral[0][0],
        1.0 / (2.0 * k.radial) + 0.3 * tilt,
        1e-9,
        0.0,
    );
}

/// P7: a Panhard rod on two bushings of 4 MN/m, 8 deg from lateral: 1.96126 MN/m; elementary
/// statics, 1e-6.
#[test]
fn val_p7_panhard_on_bushings() {
    let k = Bushing {
        radial: 4e6,
        axial: 4e6,
        ..RUBBER
    };
    let stiff = Bushing {
        radial: 1e11,
        axial: 1e11,
        ..RUBBER
    };
    let drop = 900.0 * 8f64.to_radians().tan();
    let a = AxleLinkage {
        parts: TorqueArm {
            lower: rod([550.0, 500.0, 250.0], [0.0, 500.0, 250.0], stiff),
            mount: mm([1200.0, 0.0, 300.0]),
            bushing: Bushing {
                torsional: 0.0,
                conical: 0.0,
                ..stiff
            },
        }
        .parts()
        .and(
            Panhard {
                rod: rod(
                    [0.0, -450.0, 300.0 - drop / 2.0],
                    [0.0, 450.0, 300.0 + drop / 2.0],
                    k,
                ),
            }
            .parts(),
        ),
        ..whole_axle(Linkage::default())
    };
    let c = a.compliance(&a.solver().unwrap()).unwrap();
    near(
        "stiffness",
        1.0 / c.wheels.lateral[0][0],
        1.96126e6,
        1e-6,
        5.0,
    );
    near(
        "shift",
        4000.0 * c.wheels.lateral[1][0] * 1e3,
        2.0395,
        1e-6,
        5e-5,
    );
}

/// Maxwell: the displacement of one point by a force at another equals the reverse; energies are
/// positive; the axle is one body, so a lateral force moves both patches alike.
#[test]
fn law_matrices_are_symmetric() {
    let mut list: Vec<(&str, EndCompliance)> = locations(RUBBER)
        .into_iter()
        .map(|(name, parts)| {
            let a = whole_axle(parts);
            (name, a.compliance(&a.solver().unwrap()).unwrap())
        })
        .collect();
    list.extend(corners().into_iter().map(|(name, c)| {
        (
            name,
            c.compliance(&c.solver().unwrap(), Some(&subframe()))
                .unwrap(),
        )
    }));
    for (name, c) in &list {
        for m in [
            c.wheels.lateral,
            c.wheels.longitudinal,
            c.longitudinal_patch,
            c.wheels.toe_aligning,
        ] {
            let off = (m[0][1] - m[1][0]).abs();
            assert!(off < 1e-9 * m[0][0].abs(), "{name}: {m:?}");
            let determinant = m[0][0] * m[1][1] - m[0][1] * m[1][0];
            let least = -1e-9 * m[0][0] * m[1][1];
            assert!(m[0][0] > 0.0 && determinant >= least, "{name}: {m:?}");
        }
    }
    let axle = &list[0].1;
    assert!(
        (axle.wheels.lateral[0][0] - axle.wheels.lateral[0][1]).abs()
            < 1e-12 * axle.wheels.lateral[0][0]
    );
    // Plausible sizes: fractions of a millimeter per kilonewton.
    for (name, c) in &list {
        assert!(
            (1e-7..5e-6).contains(&c.wheels.lateral[0][0]),
            "{name}: {:?}",
            c.wheels.lateral
        );
    }
}

/// A subframe adds its own compliance and couples the sides; on stiff mounts it adds nothing.
#[test]
fn law_subframe_is_in_series() {
    let c = multi_link_corner();
    let s = c.solver().unwrap();
    let none = c.compliance(&s, None).unwrap();
    let soft = c.compliance(&s, Some(&subframe())).unwrap();
    let mut hard = subframe();
    for m in &mut hard.mounts {
        m.bushing.radial = 1e11;
        m.bushing.axial = 1e11;
    }
    let hard = c.compliance(&s, Some(&hard)).unwrap();
    assert!((hard.wheels.lateral[0][0] / none.wheels.lateral[0][0] - 1.0).abs() < 1e-3);
    assert!(none.wheels.lateral[0][1] == 0.0 && soft.wheels.lateral[0][1] > 0.0);
    assert!(soft.wheels.lateral[0][0] > 1.05 * none.wheels.lateral[0][0]);
    // Both wheels pushed alike: the four mounts shear across, 1/(4 k) and what the frame's roll
    // adds.
    let added = (soft.wheels.lateral[0][0] + soft.wheels.lateral[0][1]) - none.wheels.lateral[0][0];
    assert!(added > 2.0 / (4.0 * RUBBER.radial), "{added}");
}

/// Compliance is inversely proportional to the stiffness of the bushings.
#[test]
fn law_compliance_is_the_inverse_of_stiffness() {
    let c = |f: f64| {
        let b = Bushing {
            radial: f * RUBBER.radial,
            axial: f * RUBBER.axial,
            torsional: f * RUBBER.torsional,
            conical: f * RUBBER.conical,
            ..RUBBER
        };
        let a = whole_axle(locations(b).remove(0).1);
        a.compliance(&a.solver().unwrap()).unwrap()
    };
    let (one, four) = (c(1.0), c(4.0));
    near(
        "lateral",
        four.wheels.lateral[0][0] * 4.0,
        one.wheels.lateral[0][0],
        1e-9,
        0.0,
    );
    near(
        "toe",
        four.wheels.toe_brake[0][0] * 4.0,
        one.wheels.toe_brake[0][0],
        1e-9,
        1e-18,
    );
}

/// A subframe without mounts is refused with an error that names the links.
#[test]
fn subframe_without_mounts_is_refused() {
    let c = multi_link_corner();
    let none = Subframe { mounts: Vec::new() };
    let e = c.compliance(&c.solver().unwrap(), Some(&none)).unwrap_err();
    assert!(
        matches!(&e, LinkageError::NoStiffness { links, .. } if links.0.len() == 5),
        "{e}"
    );
}

/// Two level pairs of links a height h apart, each link with two ends of stiffness k in series, so
/// that each pair has the stiffness 2 k/2 = k: a torque M pulls one pair and pushes the other with
/// M/h, each deflects by M/(h k), and the axle turns by 2 M/(k h^2). A level Panhard bar does not
/// contribute.
#[test]
fn val_windup_of_two_pairs_of_links() {
    use axletree_linkage::axle::FourLink;
    let h = 0.22;
    let level = |z: f64| rod([500.0, 500.0, z], [0.0, 500.0, z], RUBBER);
    let parts = FourLink {
        lower: level(200.0),
        upper: level(200.0 + 1e3 * h),
    }
    .parts()
    .and(
        Panhard {
            rod: rod([-100.0, -500.0, 300.0], [-100.0, 500.0, 300.0], RUBBER),
        }
        .parts(),
    );
    let linkage = whole_axle(parts);
    let c = linkage.compliance(&linkage.solver().unwrap()).unwrap();
    let pair = 2.0 * RUBBER.radial / 2.0;
    near("windup", c.windup, 2.0 / (pair * h * h), 1e-9, 0.0);
    // Brakes on the axle do not steer it.
    assert!(c.wheels.toe_brake[0][0].abs() < 1e-15);
}

/// A subframe on four upright mounts at x = +-b and one height. With the heights of the wheels
/// fixed, it turns about the wheels' axis against the axial stiffness of the mounts at b, their
/// conical stiffness, and the ends of the links, which only add stiffness.
#[test]
fn law_windup_of_a_subframe_is_that_of_its_mounts_or_less() {
    for (name, corner) in corners() {
        let solver = corner.solver().unwrap();
        let on_body = corner.compliance(&solver, None).unwrap();
        assert!(on_body.windup.abs() < 1e-300, "{name}");
    }
    let mut corner = whole_k10();
    for member in &mut corner.parts.members {
        member.on = BodyId::Subframe;
    }
    for link in &mut corner.parts.links {
        link.ends[0].point.on = BodyId::Subframe;
    }
    let solver = corner.solver().unwrap();
    let subframe = subframe();
    let c = corner.compliance(&solver, Some(&subframe)).unwrap();
    let middle = subframe.mounts.iter().map(|m| m.at[0]).sum::<f64>() / 4.0;
    let height = subframe.mounts.iter().map(|m| m.at[2]).sum::<f64>() / 4.0;
    // The mounts alone, about their middle.
    let alone: f64 = subframe
        .mounts
        .iter()
        .map(|m| {
            let up = m.bushing.stiffness(axletree_scalar::Vec3(m.sleeve)).0;
            let (x, z) = (m.at[0] - middle, m.at[2] - height);
            x * x * up[2].0[2] + z * z * up[0].0[0] + m.bushing.conical
        })
        .sum();
    assert!(
        c.windup > 0.2 / alone && c.windup < 1.0 / alone,
        "{} {}",
        c.windup,
        1.0 / alone
    );
}
