//! A solid axle.
//!
//! Its roll center at height `h_rc` above the road is where a point of the axle would not move
//! sideways in pure roll: the axle center, at height `c_z`, moves to the left by `h_rc - c_z` per
//! roll to the left side up.
//!
//! At rest, heave and roll are in balance: loads on the contacts' rise, the axle's weight, the two
//! springs, and (where unequal loads make the axle lean) the bar. Two equations give the two
//! springs' forces.

use axletree_linkage::{Potential, SideSurfaces};
use axletree_scalar::Vec3;
use axletree_tire::Tire;
use nalgebra::{Matrix2, Vector2};

use super::compliance;
use super::end::EndEntries;
use super::links::solved::AxleLinks;
use super::rest::StaticEquilibrium;
use super::strut::{Coefficients, Part, bar_rate, stop_force, strut};
use super::wheel_at_rest::axes;
use crate::description::declare::keys;
use crate::description::unit::FREE_FALL;
use crate::fault::Fault;
use crate::fault_kind::FaultKind;
use crate::model::numbers::{Axle, AxleSide, Surface, Unsprung, Wheel};

/// The axle.
pub(super) fn assemble(
    end: EndEntries<'_>,
    rest: &StaticEquilibrium,
    tire: &Tire<f64>,
    links: Option<&AxleLinks>,
    faults: &mut Vec<Fault>,
) -> Axle<f64> {
    let wheels = &rest.wheels[2..4];
    let center = (Vec3(wheels[0].center) + Vec3(wheels[1].center)).times(0.5);
    let at = center - Vec3(rest.center);

    let AxlePath { x, y, yaw, pitch } = match links {
        Some(links) => AxlePath::of_links(links),
        None => AxlePath::given(end, center.z()),
    };
    let roll = rest.axle_roll;
    let placed = |mut surface: Surface<f64>, value: f64| {
        surface.c[0] = value - surface.in_roll(roll).value;
        surface
    };
    let (x, y) = (placed(x, at.x()), placed(y, at.y()));

    let side = [0, 1].map(|i| AxleSide {
        spring: length(end, Part::Spring, i, links, |side| side.spring),
        damper: length(end, Part::Damper, i, links, |side| side.damper),
        bar: length(end, Part::Bar, i, links, |side| side.bar),
        strut: strut(end),
        wheel: Wheel {
            spin_inertia: end.value(keys::WHEEL_SPIN_INERTIA),
            tire: *tire,
        },
    });
    let mut axle = Axle {
        x,
        y,
        z: at.z(),
        yaw,
        pitch,
        half_track: rest.half_track,
        side,
        binding: links.map_or_else(Potential::none, |links| links.solution.potential.potential),
        unsprung: Unsprung {
            mass: end.car.value(keys::AXLE_MASS),
            inertia_diametral: end.car.value(keys::AXLE_DIAMETRAL_INERTIA),
            inertia_axial: end.car.value(keys::AXLE_AXIAL_INERTIA),
        },
        bar_rate: bar_rate(end),
        compliance: links.map_or_else(
            || compliance::assemble(end, rest.contacts_left(1)),
            |links| links.solution.compliance.wheels,
        ),
    };
    let force = spring_forces(&axle, rest, center);
    for (i, side) in axle.side.iter_mut().enumerate() {
        if !(force[i] > 0.0 && force[i].is_finite()) {
            faults.push(Fault::new(
                end.spring_stated_by(keys::SPRING_SPACING.path()),
                FaultKind::SpringPulls {
                    side: ["left", "right"][i],
                    force: force[i],
                },
            ));
        }
        let compression = side.spring.in_roll(roll).value;
        side.strut.spring.preload = force[i] - side.strut.spring.rate * compression;
    }
    axle
}

/// Forces of the two springs that balance the axle at rest, its center at `center`: heave and roll
/// give two equations `[N]`.
fn spring_forces(axle: &Axle<f64>, rest: &StaticEquilibrium, center: Vec3<f64>) -> Vector2<f64> {
    let wheels = &rest.wheels[2..4];
    let roll = rest.axle_roll;
    // The rise of each contact per heave and per roll: points of the axle at C.
    let wheel_axes = axes(wheels[0].toe, wheels[0].tilt);
    let (forward, axis) = (wheel_axes.0[0], wheel_axes.0[1]);
    let vertical = Vec3([0.0, 0.0, 1.0]);
    let (yaw, pitch) = (axle.yaw.in_roll(roll), axle.pitch.in_roll(roll));
    let turn = [
        vertical.times(yaw.by_heave) + axis.times(pitch.by_heave),
        forward + vertical.times(yaw.by_roll) + axis.times(pitch.by_roll),
    ];
    let rise_of_center = [1.0, 0.0];
    let mut generalized = [-axle.unsprung.mass * FREE_FALL, 0.0];
    for wheel in wheels {
        let arm = Vec3(wheel.contact) - center;
        for q in 0..2 {
            generalized[q] += wheel.load * (rise_of_center[q] + turn[q].cross(arm).z());
        }
    }
    // Binding, bar and stops, where the axle leans.
    let [_, by_heave, by_roll] = axle.binding.at(0.0, roll);
    generalized[0] -= by_heave;
    generalized[1] -= by_roll;
    let bars = [0, 1].map(|side| axle.side[side].bar.in_roll(roll));
    let bar_force = axle.bar_rate * (bars[0].value - bars[1].value);
    generalized[0] -= bar_force * (bars[0].by_heave - bars[1].by_heave);
    generalized[1] -= bar_force * (bars[0].by_roll - bars[1].by_roll);
    for side in &axle.side {
        let damper = side.damper.in_roll(roll);
        let force = stop_force(&side.strut, damper.value);
        generalized[0] -= force * damper.by_heave;
        generalized[1] -= force * damper.by_roll;
    }
    let springs = [0, 1].map(|side| axle.side[side].spring.in_roll(roll));
    let matrix = Matrix2::new(
        springs[0].by_heave,
        springs[1].by_heave,
        springs[0].by_roll,
        springs[1].by_roll,
    );
    // Springs without a lever in roll have no solution: their force is then zero, which is a fault.
    matrix
        .lu()
        .solve(&Vector2::from(generalized))
        .unwrap_or_default()
}

/// Path of the axle as it heaves and rolls.
struct AxlePath {
    x: Surface<f64>,
    y: Surface<f64>,
    yaw: Surface<f64>,
    pitch: Surface<f64>,
}

impl AxlePath {
    /// By coefficients, with the axle's center at a height above the road `[m]`.
    fn given(end: EndEntries<'_>, height: f64) -> Self {
        let car = end.car;
        // Surfaces over 1, h, r, h^2, h r, r^2 and the cubic terms.
        let quadratic = |c: [f64; 6]| Surface {
            c: [c[0], c[1], c[2], c[3], c[4], c[5], 0.0, 0.0, 0.0, 0.0],
        };
        let back = end.value(keys::GEOMETRY_RECESSION);
        let bend = end.value(keys::GEOMETRY_RECESSION_SLOPE);
        let walk = car.value(keys::GEOMETRY_LATERAL_WALK);
        let walk_bend = 0.5 * car.value(keys::GEOMETRY_LATERAL_WALK_SLOPE);
        let by_roll = end.value(keys::GEOMETRY_ROLL_CENTER_HEIGHT) - height;
        // Without a slope the roll center moves with the axle.
        let by_both = end.value(keys::GEOMETRY_ROLL_CENTER_SLOPE).unwrap_or(0.0);
        let steer = car.value(keys::GEOMETRY_ROLL_STEER);
        let steer_bend = car.value(keys::GEOMETRY_ROLL_STEER_SLOPE);
        let nod = car.value(keys::GEOMETRY_PINION_GAIN);
        let nod_bend = 0.5 * car.value(keys::GEOMETRY_PINION_GAIN_SLOPE);
        AxlePath {
            x: quadratic([0.0, -back, 0.0, -0.5 * bend, 0.0, 0.0]),
            y: quadratic([0.0, walk, by_roll, walk_bend, by_both, 0.0]),
            yaw: quadratic([0.0, 0.0, steer, 0.0, steer_bend, 0.0]),
            pitch: quadratic([0.0, nod, 0.0, nod_bend, 0.0, 0.0]),
        }
    }

    /// By the links.
    fn of_links(links: &AxleLinks) -> Self {
        let curves = &links.solution.curves;
        AxlePath {
            x: curves.x,
            y: curves.y,
            yaw: curves.yaw,
            pitch: curves.pitch,
        }
    }
}

/// Length of a spring, damper or bar on one side: by its points, else by its coefficients.
fn length(
    end: EndEntries<'_>,
    part: Part,
    side: usize,
    links: Option<&AxleLinks>,
    of: impl Fn(&SideSurfaces) -> Option<Surface<f64>>,
) -> Surface<f64> {
    let by_points = links.and_then(|links| of(&links.solution.curves.sides[side]));
    by_points.unwrap_or_else(|| Coefficients::of_axle(end, part).surface([1.0, -1.0][side]))
}
