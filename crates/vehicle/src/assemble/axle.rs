//! A solid axle.
//!
//! Its roll center at height h_rc above the road is where a point of the axle would not move sideways
//! in pure roll: the axle center, at height c_z, moves to the left by `h_rc - c_z` per roll to the
//! left side up.
//!
//! At rest, heave and roll are in balance: loads on the contacts' rise, the axle's weight, the two
//! springs, and (where unequal loads make the axle lean) the bar. Two equations give the two springs'
//! forces.

use axletree_linkage::Potential;
use axletree_scalar::Vec3;
use axletree_tire::Tire;
use nalgebra::{Matrix2, Vector2};

use super::strut::{bar_rate, stop_force, strut, surface};
use super::weigh::Standing;
use super::{End, compliance};
use crate::car::unit::FREE_FALL;
use crate::error::{Fault, FaultKind};
use crate::model::numbers::{Axle, AxleSide, Surface, Unsprung, Wheel};

/// The axle.
pub(super) fn assemble(
    end: End<'_>,
    standing: &Standing,
    tire: &Tire<f64>,
    faults: &mut Vec<Fault>,
) -> Axle<f64> {
    let g = |name: &str| end.of(&format!("geometry.{name}"));
    let wheels = &standing.wheels[2..4];
    let center = (Vec3(wheels[0].center) + Vec3(wheels[1].center)).times(0.5);
    let at = center - Vec3(standing.center);

    // Surfaces over 1, h, r, h^2, h r, r^2 and the cubic terms.
    let quadratic = |c: [f64; 6]| Surface {
        c: [c[0], c[1], c[2], c[3], c[4], c[5], 0.0, 0.0, 0.0, 0.0],
    };
    let x = quadratic([
        0.0,
        -g("recession"),
        0.0,
        -0.5 * g("recession_slope"),
        0.0,
        0.0,
    ]);
    let y = quadratic([
        0.0,
        g("lateral_walk"),
        g("roll_center_height") - center.z(),
        0.5 * g("lateral_walk_slope"),
        g("roll_center_slope"),
        0.0,
    ]);
    let yaw = quadratic([0.0, 0.0, g("roll_steer"), 0.0, g("roll_steer_slope"), 0.0]);
    let pitch = quadratic([
        0.0,
        g("pinion_gain"),
        0.0,
        0.5 * g("pinion_gain_slope"),
        0.0,
        0.0,
    ]);
    let roll = standing.axle_roll;
    let placed = |mut surface: Surface<f64>, value: f64| {
        surface.c[0] = value - of_roll(&surface, roll).value;
        surface
    };
    let (x, y) = (placed(x, at.x()), placed(y, at.y()));

    let mut sides = [1.0, -1.0].map(|left| AxleSide {
        spring: surface(end, "spring", left, end.of("spring.roll_curvature")),
        damper: surface(end, "damper", left, 0.0),
        bar: surface(end, "bar", left, 0.0),
        strut: strut(end),
        wheel: Wheel {
            spin_inertia: end.of("wheel.spin_inertia"),
            tire: *tire,
        },
    });
    let mass = end.of("axle.mass");
    let bar_rate = bar_rate(end);

    // The rise of each contact per heave and per roll: points of the axle at C.
    let (toe, tilt) = (wheels[0].toe, wheels[0].tilt);
    let axes = super::stand::axes(toe, tilt);
    let (forward, axis) = (axes.0[0], axes.0[1]);
    let vertical = Vec3([0.0, 0.0, 1.0]);
    let (yaw_at, pitch_at) = (of_roll(&yaw, roll), of_roll(&pitch, roll));
    let turn = [
        vertical.times(yaw_at.by_heave) + axis.times(pitch_at.by_heave),
        forward + vertical.times(yaw_at.by_roll) + axis.times(pitch_at.by_roll),
    ];
    let rise_of_center = [1.0, 0.0];
    let mut generalized = [-mass * FREE_FALL, 0.0];
    for wheel in wheels {
        let arm = Vec3(wheel.contact) - center;
        for q in 0..2 {
            generalized[q] += wheel.load * (rise_of_center[q] + turn[q].cross(arm).z());
        }
    }
    // Bar and stops, where the axle leans.
    let bars = [0, 1].map(|side| of_roll(&sides[side].bar, roll));
    let bar_force = bar_rate * (bars[0].value - bars[1].value);
    generalized[0] -= bar_force * (bars[0].by_heave - bars[1].by_heave);
    generalized[1] -= bar_force * (bars[0].by_roll - bars[1].by_roll);
    for side in &sides {
        let damper = of_roll(&side.damper, roll);
        let force = stop_force(&side.strut, damper.value);
        generalized[0] -= force * damper.by_heave;
        generalized[1] -= force * damper.by_roll;
    }
    let springs = [0, 1].map(|side| of_roll(&sides[side].spring, roll));
    let matrix = Matrix2::new(
        springs[0].by_heave,
        springs[1].by_heave,
        springs[0].by_roll,
        springs[1].by_roll,
    );
    let force = matrix
        .lu()
        .solve(&Vector2::from(generalized))
        .unwrap_or_default();
    for (i, side) in sides.iter_mut().enumerate() {
        if force[i] <= 0.0 {
            faults.push(Fault::new(
                end.path("spring.spacing"),
                FaultKind::SpringPulls {
                    side: ["left", "right"][i],
                    force: force[i],
                },
            ));
        }
        side.strut.spring.preload = force[i] - side.strut.spring.rate * springs[i].value;
    }

    Axle {
        x,
        y,
        z: at.z(),
        yaw,
        pitch,
        half_track: standing.half_track,
        side: sides,
        binding: Potential::none(),
        unsprung: Unsprung {
            mass,
            inertia_diametral: end.of("axle.diametral_inertia"),
            inertia_axial: end.of("axle.axial_inertia"),
        },
        bar_rate,
        compliance: compliance::assemble(end, standing.contacts_left(1)),
    }
}

/// A surface at no heave and some roll: value and derivatives.
struct AtRoll {
    value: f64,
    by_heave: f64,
    by_roll: f64,
}

fn of_roll(surface: &Surface<f64>, r: f64) -> AtRoll {
    let c = &surface.c;
    AtRoll {
        value: c[0] + r * (c[2] + r * (c[5] + r * c[9])),
        by_heave: c[1] + r * (c[4] + r * c[8]),
        by_roll: c[2] + r * (2.0 * c[5] + r * 3.0 * c[9]),
    }
}
