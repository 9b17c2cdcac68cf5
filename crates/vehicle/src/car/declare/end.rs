//! Entries of the two ends of the car: the wheels' places, masses, differential.

use super::{BY_COEFFICIENTS, Need, Place, REAR_TYPES, Row, Shape, default, q, row};

const BOTH: Place = Place::Both;
const INDEPENDENT: Place = Place::BothIndependent;
const SOLID: Place = Place::RearSolid;
const FRONT: Place = Place::Front;
const REAR: Place = Place::Rear;

/// The rows, in the order of a file.
pub(super) const ROWS: &[Row] = &[
    row(
        REAR,
        "type",
        Shape::Choice(REAR_TYPES),
        Need::Required,
        "Kind of rear end: two independently sprung wheels, or one solid axle",
    ),
    row(
        BOTH,
        "track",
        q("m", 0.8, 2.5),
        Need::Required,
        "Distance between the centers of the two contacts at rest",
    ),
    row(
        INDEPENDENT,
        "toe_in",
        q("deg", -3.0, 3.0),
        default("0 deg", "wheels straight ahead"),
        "Toe-in of each wheel at rest",
    ),
    row(
        INDEPENDENT,
        "camber",
        q("deg", -8.0, 8.0),
        default("0 deg", "wheels upright"),
        "Camber of each wheel at rest, top outward positive",
    ),
    row(
        FRONT,
        "axis.caster",
        q("deg", -5.0, 20.0),
        Need::Required,
        "Caster: lean of the steering axis, top rearward positive",
    )
    .when(BY_COEFFICIENTS),
    row(
        FRONT,
        "axis.inclination",
        q("deg", -5.0, 30.0),
        Need::Required,
        "Inclination of the steering axis, top inward positive",
    )
    .when(BY_COEFFICIENTS),
    row(
        FRONT,
        "axis.trail",
        q("mm", -100.0, 150.0),
        Need::Required,
        "Mechanical trail: the axis meets the road this far ahead of the contact's center",
    )
    .when(BY_COEFFICIENTS),
    row(
        FRONT,
        "axis.scrub",
        q("mm", -100.0, 150.0),
        Need::Required,
        "Scrub radius: the axis meets the road this far inboard of the contact's center",
    )
    .when(BY_COEFFICIENTS),
    row(
        INDEPENDENT,
        "unsprung.mass",
        q("kg", 5.0, 200.0),
        Need::Required,
        "Unsprung mass of one wheel: wheel, tire, hub, brake, and the links' share",
    ),
    row(
        INDEPENDENT,
        "unsprung.diametral_inertia",
        q("kg*m^2", 0.05, 30.0),
        Need::Required,
        "Its moment of inertia about a diameter of the wheel",
    ),
    row(
        INDEPENDENT,
        "unsprung.axial_inertia",
        q("kg*m^2", 0.0, 30.0),
        default(
            "0.1 kg*m^2",
            "knuckle and caliper close about the axis; common practice, no source",
        ),
        "Moment of inertia about the wheel's axis of what does not spin",
    ),
    row(
        SOLID,
        "axle.mass",
        q("kg", 20.0, 500.0),
        Need::Required,
        "Unsprung mass of the axle: housing, differential, shafts, brakes, wheels, and the links' share",
    ),
    row(
        SOLID,
        "axle.diametral_inertia",
        q("kg*m^2", 1.0, 300.0),
        Need::Required,
        "Its moment of inertia about a vertical or longitudinal axis through its center, wheels included",
    ),
    row(
        SOLID,
        "axle.axial_inertia",
        q("kg*m^2", 0.0, 30.0),
        default(
            "0.6 kg*m^2",
            "housing and differential close about the axis; common practice, no source",
        ),
        "Moment of inertia about the wheels' axis of what does not spin",
    ),
    row(
        REAR,
        "sprung.mass",
        q("kg", 0.0, 300.0),
        default("0 kg", "nothing of the rear end is carried by the body"),
        "Mass of the rear end's parts that the body carries: subframe, differential, springs' share",
    ),
    row(
        REAR,
        "sprung.center_ahead",
        q("mm", -1500.0, 2500.0),
        default("0 mm", "above the axle line"),
        "Their center of gravity ahead of the rear axle line",
    ),
    row(
        REAR,
        "sprung.center_left",
        q("mm", -1000.0, 1000.0),
        default("0 mm", "on the center plane"),
        "Their center of gravity left of the center plane",
    ),
    row(
        REAR,
        "sprung.center_height",
        q("mm", 50.0, 1500.0),
        default(
            "320 mm",
            "about wheel-center height; common practice, no source",
        ),
        "Their center of gravity above the road at ride height",
    ),
    row(
        REAR,
        "sprung.roll_inertia",
        q("kg*m^2", 0.0, 200.0),
        default("0 kg*m^2", "small beside the body's"),
        "Their moment of inertia about the longitudinal axis through their center of gravity",
    ),
    row(
        REAR,
        "sprung.pitch_inertia",
        q("kg*m^2", 0.0, 200.0),
        default("0 kg*m^2", "small beside the body's"),
        "Their moment of inertia about the lateral axis through their center of gravity",
    ),
    row(
        REAR,
        "sprung.yaw_inertia",
        q("kg*m^2", 0.0, 200.0),
        default("0 kg*m^2", "small beside the body's"),
        "Their moment of inertia about the vertical axis through their center of gravity",
    ),
];
