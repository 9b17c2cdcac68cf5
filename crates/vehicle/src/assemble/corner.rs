//! One independently sprung wheel.
//!
//! The roll-center height h of a mirrored pair is where the normal to the path of the knuckle's
//! point at the contact meets the center plane: with T/2 the contact's distance from that plane,
//! the contact moves outward by h/(T/2) per rise. That fixes the slope of the wheel center's path,
//!
//! ```text
//! y' = (h/|C_y|) v_z - (w x r)_y,   r = C - c,   v = c' + w x r
//! ```
//!
//! with w the turn of the knuckle per travel. Where the roll center's own slope is given, the same
//! equation holds at every travel, and its derivative gives the second-order term of y.

use axletree_linkage::{CornerCurves, TravelPotential};
use axletree_scalar::{Dual, Real, Vec3};
use axletree_tire::Tire;

use super::end::EndEntries;
use super::links::solved::CornerLinks;
use super::strut::{Coefficients, Part, strut};
use super::wheel_at_rest::{WheelAtRest, axes};
use crate::description::declare::key::{CarEnd, EndKey};
use crate::description::declare::keys;
use crate::description::unit::FREE_FALL;
use crate::fault::Fault;
use crate::fault_kind::FaultKind;
use crate::model::numbers::{Corner, Curve, Unsprung, Wheel};

/// The corner on one side (0 left, 1 right) of an end; `origin` is O in the frame of the
/// car at rest.
pub(super) fn assemble(
    end: EndEntries<'_>,
    side: usize,
    wheel: &WheelAtRest,
    origin: [f64; 3],
    tire: &Tire<f64>,
    links: Option<&CornerLinks>,
    faults: &mut Vec<Fault>,
) -> Corner<f64> {
    let left = if side == 0 { 1.0 } else { -1.0 };
    let center = Vec3(wheel.center) - Vec3(origin);
    let by_links = links.map(|links| {
        let left_side = &links.solution.curves;
        if side == 0 {
            left_side.clone()
        } else {
            left_side.mirrored()
        }
    });
    let (knuckle, y) = match &by_links {
        Some(curves) => Knuckle::of_links(curves, left, wheel, center),
        None => Knuckle::given(end, left, wheel, center),
    };
    let part = |part: Part, by_points: Option<Curve<f64>>| {
        by_points.unwrap_or_else(|| Coefficients::of_corner(end, part).curve())
    };
    let [spring, damper, bar] = [
        part(Part::Spring, by_links.as_ref().and_then(|c| c.spring)),
        part(Part::Damper, by_links.as_ref().and_then(|c| c.damper)),
        part(Part::Bar, by_links.as_ref().and_then(|c| c.bar)),
    ];

    let unsprung = Unsprung {
        mass: end.value(keys::UNSPRUNG_MASS),
        inertia_diametral: end.value(keys::UNSPRUNG_DIAMETRAL_INERTIA),
        inertia_axial: end.value(keys::UNSPRUNG_AXIAL_INERTIA),
    };
    // Virtual work at rest: the load on the contact's rise carries the wheel's weight and the spring.
    let mut strut = strut(end);
    let rise = knuckle.patch(0.0, y.c[1]).rate.z();
    let force = (wheel.load * rise - unsprung.mass * FREE_FALL) / spring.c[1];
    if !(force > 0.0 && force.is_finite()) {
        faults.push(Fault::new(
            end.spring_stated_by(keys::UNSPRUNG_MASS.at(end.end).path()),
            FaultKind::SpringPulls {
                side: ["left", "right"][side],
                force,
            },
        ));
    }
    strut.spring.preload = force;

    let (steering_axis, steering_arm) = steering(end, left, wheel, by_links.as_ref());
    Corner {
        x: knuckle.x,
        y,
        z: Curve {
            c: [center.z(), 1.0, 0.0, 0.0, 0.0],
        },
        toe: knuckle.toe,
        tilt: knuckle.tilt,
        pitch: knuckle.pitch,
        spring,
        damper,
        bar,
        strut,
        binding: links.map_or_else(TravelPotential::none, |links| {
            TravelPotential::of(&links.solution.potential.potential)
        }),
        unsprung,
        wheel: Wheel {
            spin_inertia: end.value(keys::WHEEL_SPIN_INERTIA),
            tire: *tire,
        },
        steering_axis,
        steering_arm,
    }
}

/// Axis and arm of a steered wheel in knuckle axes; upright through the wheel center where the end
/// does not steer.
fn steering(
    end: EndEntries<'_>,
    left: f64,
    wheel: &WheelAtRest,
    links: Option<&CornerCurves>,
) -> ([f64; 3], [f64; 3]) {
    if end.end != CarEnd::Front {
        return ([0.0, 0.0, 1.0], [0.0; 3]);
    }
    let knuckle = axes(wheel.toe, wheel.tilt);
    if let Some(links) = links {
        // The axes of the links' knuckle are the body's at rest, before toe and camber are set.
        let [axis, arm] = [
            links.steering_axis.unwrap_or([0.0, 0.0, 1.0]),
            links.steering_arm.unwrap_or_default(),
        ];
        return (
            knuckle.transpose_times(Vec3(axis)).0,
            knuckle.transpose_times(Vec3(arm)).0,
        );
    }
    // Top rearward by the caster, inward by the inclination.
    let axis = Vec3([
        -Real::tan(end.car.value(keys::AXIS_CASTER)),
        -left * Real::tan(end.car.value(keys::AXIS_INCLINATION)),
        1.0,
    ])
    .unit();
    let on_road = Vec3(wheel.contact)
        + Vec3([
            end.car.value(keys::AXIS_TRAIL),
            -left * end.car.value(keys::AXIS_SCRUB),
            0.0,
        ]);
    let arm = on_road - Vec3(wheel.center);
    (
        knuckle.transpose_times(axis).0,
        knuckle.transpose_times(arm).0,
    )
}

/// Turns and longitudinal path of a knuckle, from which its lateral path follows.
struct Knuckle {
    toe: Curve<f64>,
    tilt: Curve<f64>,
    pitch: Curve<f64>,
    x: Curve<f64>,
    loaded_radius: f64,
    left: f64,
}

/// The knuckle's point at the contact.
struct KnuckleContact<T> {
    /// From the wheel center `[m]`.
    arm: Vec3<T>,
    /// Part of its velocity per travel that comes from the turn of the knuckle `[-]`.
    turn: Vec3<T>,
    /// Its velocity per travel `[-]`.
    rate: Vec3<T>,
}

impl Knuckle {
    /// By coefficients, with the wheel center's sideways path from O; `center` is the wheel's from
    /// O.
    fn given(
        end: EndEntries<'_>,
        left: f64,
        wheel: &WheelAtRest,
        center: Vec3<f64>,
    ) -> (Self, Curve<f64>) {
        let gains = |value: f64, gain: EndKey<f64>, slope: EndKey<f64>, sign: f64| Curve {
            c: [
                value,
                sign * end.value(gain),
                sign * 0.5 * end.value(slope),
                0.0,
                0.0,
            ],
        };
        let (toe, toe_slope) = (keys::GEOMETRY_TOE_GAIN, keys::GEOMETRY_TOE_GAIN_SLOPE);
        let (camber, camber_slope) = (keys::GEOMETRY_CAMBER_GAIN, keys::GEOMETRY_CAMBER_GAIN_SLOPE);
        let (caster, caster_slope) = (keys::GEOMETRY_CASTER_GAIN, keys::GEOMETRY_CASTER_GAIN_SLOPE);
        let (recession, bend) = (keys::GEOMETRY_RECESSION, keys::GEOMETRY_RECESSION_SLOPE);
        let knuckle = Knuckle {
            toe: gains(wheel.toe, toe, toe_slope, -left),
            tilt: gains(wheel.tilt, camber, camber_slope, -left),
            pitch: gains(0.0, caster, caster_slope, -1.0),
            x: gains(center.x(), recession, bend, -1.0),
            loaded_radius: wheel.loaded_radius,
            left,
        };
        let mut y = knuckle.path(
            wheel.center[1],
            end.value(keys::GEOMETRY_ROLL_CENTER_HEIGHT),
            end.value(keys::GEOMETRY_ROLL_CENTER_SLOPE),
        );
        y.c[0] = center.y();
        (knuckle, y)
    }

    /// By the links, whose curves are those of the aligned wheel; values at rest are those of the
    /// wheel on its tire, which they meet to rounding.
    fn of_links(
        curves: &CornerCurves,
        left: f64,
        wheel: &WheelAtRest,
        center: Vec3<f64>,
    ) -> (Self, Curve<f64>) {
        let from = |value: f64, curve: &Curve<f64>| {
            let mut c = curve.c;
            c[0] = value;
            Curve { c }
        };
        let knuckle = Knuckle {
            toe: from(wheel.toe, &curves.toe),
            tilt: from(wheel.tilt, &curves.tilt),
            pitch: from(0.0, &curves.pitch),
            x: from(center.x(), &curves.x),
            loaded_radius: wheel.loaded_radius,
            left,
        };
        (knuckle, from(center.y(), &curves.y))
    }

    /// The knuckle's point at the contact at travel s, for a sideways slope of the wheel center.
    fn patch<T: Real>(&self, s: T, slope: T) -> KnuckleContact<T> {
        let [toe, toe_rate, _] = at(&self.toe, s);
        let [tilt, tilt_rate, _] = at(&self.tilt, s);
        let [_, pitch_rate, _] = at(&self.pitch, s);
        let [_, x_rate, _] = at(&self.x, s);
        let (st, ct) = toe.sin_cos();
        let (sg, cg) = tilt.sin_cos();
        let o = T::zero();
        let forward = Vec3([ct, st, o]);
        let axis = Vec3([-(st * cg), ct * cg, sg]);
        let upward = forward.cross(axis);
        let arm = upward.times(T::c(-self.loaded_radius));
        let w = Vec3([o, o, toe_rate]) + forward.times(tilt_rate) + axis.times(pitch_rate);
        let turn = w.cross(arm);
        KnuckleContact {
            arm,
            turn,
            rate: Vec3([x_rate, slope, T::one()]) + turn,
        }
    }

    /// The wheel center's sideways path from the center plane, for a roll-center height `[m]` and,
    /// where given, its slope.
    fn path(&self, y: f64, height: f64, slope: Option<f64>) -> Curve<f64> {
        let first = self.slope(y, height);
        let second = slope.map_or(0.0, |slope| {
            let s = Dual::<f64, 1>::variable(0.0, 0);
            let y = s.scale(first) + Dual::c(y);
            let height = s.scale(slope) + Dual::c(height);
            0.5 * self.slope_at(s, y, height).d[0]
        });
        Curve {
            c: [y, first, second, 0.0, 0.0],
        }
    }

    fn slope(&self, y: f64, height: f64) -> f64 {
        self.slope_at(0.0, y, height)
    }

    /// The slope that puts the roll center at a height `[m]` above the road, at travel s with the
    /// wheel center at y from the center plane.
    fn slope_at<T: Real>(&self, s: T, y: T, height: T) -> T {
        let patch = self.patch(s, T::zero());
        let outward = (y + patch.arm.y()).scale(self.left);
        (height / outward * patch.rate.z()).scale(self.left) - patch.turn.y()
    }
}

/// A curve's value, slope and curvature, over any number type.
fn at<T: Real>(curve: &Curve<f64>, s: T) -> [T; 3] {
    Curve {
        c: curve.c.map(T::c),
    }
    .at(s)
}
