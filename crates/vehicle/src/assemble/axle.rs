//! A solid axle.
//!
//! Its roll center at height h_rc above the road is where a point of the axle would not move sideways
//! in pure roll: the axle center, at height c_z, moves to the left by `h_rc - c_z` per roll to the
//! left side up.
//!
//! At rest, heave and roll are in balance: loads on the contacts' rise, the axle's weight, the two
//! springs, and (where unequal loads make the axle lean) the bar. Two equations give the two springs'
//! forces.

use axletree_linkage::{Potential, SideSurfaces};
use axletree_scalar::Vec3;
use axletree_tire::Tire;
use nalgebra::{Matrix2, Vector2};

use super::links::AxleLinks;
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
    links: Option<&AxleLinks>,
    faults: &mut Vec<Fault>,
) -> Axle<f64> {
    let wheels = &standing.wheels[2..4];
    let center = (Vec3(wheels[0].center) + Vec3(wheels[1].center)).times(0.5);
    let at = center - Vec3(standing.center);

    let Path { x, y, yaw, pitch } = match links {
        Some(links) => Path::of_links(links),
        None => Path::given(end, center.z()),
    };
    let roll = standing.axle_roll;
    let placed = |mut surface: Surface<f64>, value: f64| {
        surface.c[0] = value - surface.in_roll(roll).value;
        surface
    };
    let (x, y) = (placed(x, at.x()), placed(y, at.y()));

    let mut sides = [0, 1].map(|i| AxleSide {
        spring: length(end, "spring", i, links, |side| side.spring),
        damper: length(end, "damper", i, links, |side| side.damper),
        bar: length(end, "bar", i, links, |side| side.bar),
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
    let (yaw_at, pitch_at) = (yaw.in_roll(roll), pitch.in_roll(roll));
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
    // Binding, bar and stops, where the axle leans.
    let binding = links.map_or_else(Potential::none, |links| links.solution.potential.potential);
    let [_, by_heave, by_roll] = binding.at(0.0, roll);
    generalized[0] -= by_heave;
    generalized[1] -= by_roll;
    let bars = [0, 1].map(|side| sides[side].bar.in_roll(roll));
    let bar_force = bar_rate * (bars[0].value - bars[1].value);
    generalized[0] -= bar_force * (bars[0].by_heave - bars[1].by_heave);
    generalized[1] -= bar_force * (bars[0].by_roll - bars[1].by_roll);
    for side in &sides {
        let damper = side.damper.in_roll(roll);
        let force = stop_force(&side.strut, damper.value);
        generalized[0] -= force * damper.by_heave;
        generalized[1] -= force * damper.by_roll;
    }
    let springs = [0, 1].map(|side| sides[side].spring.in_roll(roll));
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
        if !(force[i] > 0.0 && force[i].is_finite()) {
            faults.push(Fault::new(
                end.spring_stated_by("spring.spacing"),
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
        binding,
        unsprung: Unsprung {
            mass,
            inertia_diametral: end.of("axle.diametral_inertia"),
            inertia_axial: end.of("axle.axial_inertia"),
        },
        bar_rate,
        compliance: links.map_or_else(
            || compliance::assemble(end, standing.contacts_left(1)),
            |links| links.solution.compliance.wheels,
        ),
    }
}

/// Where the axle goes as it heaves and rolls.
struct Path {
    x: Surface<f64>,
    y: Surface<f64>,
    yaw: Surface<f64>,
    pitch: Surface<f64>,
}

impl Path {
    /// By coefficients, with the axle's center at a height above the road [m].
    fn given(end: End<'_>, height: f64) -> Self {
        let g = |name: &str| end.of(&format!("geometry.{name}"));
        // Surfaces over 1, h, r, h^2, h r, r^2 and the cubic terms.
        let quadratic = |c: [f64; 6]| Surface {
            c: [c[0], c[1], c[2], c[3], c[4], c[5], 0.0, 0.0, 0.0, 0.0],
        };
        let (back, bend) = (g("recession"), g("recession_slope"));
        let (walk, walk_bend) = (g("lateral_walk"), 0.5 * g("lateral_walk_slope"));
        let by_roll = g("roll_center_height") - height;
        let steer = [g("roll_steer"), g("roll_steer_slope")];
        let nod = [g("pinion_gain"), 0.5 * g("pinion_gain_slope")];
        Path {
            x: quadratic([0.0, -back, 0.0, -0.5 * bend, 0.0, 0.0]),
            y: quadratic([0.0, walk, by_roll, walk_bend, g("roll_center_slope"), 0.0]),
            yaw: quadratic([0.0, 0.0, steer[0], 0.0, steer[1], 0.0]),
            pitch: quadratic([0.0, nod[0], 0.0, nod[1], 0.0, 0.0]),
        }
    }

    /// By the links.
    fn of_links(links: &AxleLinks) -> Self {
        let curves = &links.solution.curves;
        Path {
            x: curves.x,
            y: curves.y,
            yaw: curves.yaw,
            pitch: curves.pitch,
        }
    }
}

/// Length of a spring, damper or bar on one side: by its points, else by its coefficients.
fn length(
    end: End<'_>,
    part: &str,
    side: usize,
    links: Option<&AxleLinks>,
    of: impl Fn(&SideSurfaces) -> Option<Surface<f64>>,
) -> Surface<f64> {
    let by_points = links.and_then(|links| of(&links.solution.curves.sides[side]));
    by_points.unwrap_or_else(|| {
        let curvature = end.maybe(&format!("{part}.roll_curvature"));
        surface(end, part, [1.0, -1.0][side], curvature.unwrap_or(0.0))
    })
}
