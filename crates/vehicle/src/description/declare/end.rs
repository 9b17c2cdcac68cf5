//! Entries of the two ends: places and masses of wheels and axle, steering axis, sprung parts.

use super::common::BY_COEFFICIENTS;
use super::key::ChoiceKind;
use super::row::{choice, q, table};
use super::shape::{REQUIRED, default};
use super::words::RearType;

table! {
    /// The rows, in the order of a file.
    ROWS in End by Index;

    rear REAR_TYPE: ChoiceKind<RearType> = "type", choice::<RearType>(), REQUIRED,
        "Kind of rear end: two independently sprung wheels, or one solid axle";
    both TRACK: f64 = "track", q("m", 0.8, 2.5), REQUIRED,
        "Distance between the centers of the two contacts at rest";
    independent TOE_IN: f64 = "toe_in", q("deg", -3.0, 3.0),
        default("0 deg", "wheels straight ahead"),
        "Toe-in of each wheel at rest";
    independent CAMBER: f64 = "camber", q("deg", -8.0, 8.0), default("0 deg", "wheels upright"),
        "Camber of each wheel at rest, top outward positive";
    front AXIS_CASTER: f64 = "axis.caster", q("deg", -5.0, 20.0), REQUIRED,
        "Caster: lean of the steering axis, top rearward positive", when BY_COEFFICIENTS;
    front AXIS_INCLINATION: f64 = "axis.inclination", q("deg", -5.0, 30.0), REQUIRED,
        "Inclination of the steering axis, top inward positive", when BY_COEFFICIENTS;
    front AXIS_TRAIL: f64 = "axis.trail", q("mm", -100.0, 150.0), REQUIRED,
        "Mechanical trail: the axis meets the road this far ahead of the contact's center",
        when BY_COEFFICIENTS;
    front AXIS_SCRUB: f64 = "axis.scrub", q("mm", -100.0, 150.0), REQUIRED,
        "Scrub radius: the axis meets the road this far inboard of the contact's center",
        when BY_COEFFICIENTS;
    independent UNSPRUNG_MASS: f64 = "unsprung.mass", q("kg", 5.0, 200.0), REQUIRED,
        "Unsprung mass of one wheel: wheel, tire, hub, brake, and the links' share";
    independent UNSPRUNG_DIAMETRAL_INERTIA: f64 = "unsprung.diametral_inertia",
        q("kg*m^2", 0.05, 30.0),
        REQUIRED,
        "Its moment of inertia about a diameter of the wheel";
    independent UNSPRUNG_AXIAL_INERTIA: f64 = "unsprung.axial_inertia", q("kg*m^2", 0.0, 30.0),
        default("0.1 kg*m^2", "knuckle and caliper close about the axis; common practice, no \
         source"),
        "Moment of inertia about the wheel's axis of the parts that do not spin";
    solid AXLE_MASS: f64 = "axle.mass", q("kg", 20.0, 500.0), REQUIRED,
        "Unsprung mass of the axle: housing, differential, shafts, brakes, wheels, and the links' \
         share";
    solid AXLE_DIAMETRAL_INERTIA: f64 = "axle.diametral_inertia", q("kg*m^2", 1.0, 300.0), REQUIRED,
        "Its moment of inertia about a vertical or longitudinal axis through its center, wheels \
         included";
    solid AXLE_AXIAL_INERTIA: f64 = "axle.axial_inertia", q("kg*m^2", 0.0, 30.0),
        default("0.6 kg*m^2", "housing and differential close about the axis; common practice, no \
         source"),
        "Moment of inertia about the wheels' axis of the parts that do not spin";
    rear SPRUNG_MASS: f64 = "sprung.mass", q("kg", 0.0, 300.0),
        default("0 kg", "no parts of the rear end on the body"),
        "Mass of the rear end's parts that the body carries: subframe, differential, share \
         of the springs";
    rear SPRUNG_CENTER_AHEAD: f64 = "sprung.center_ahead", q("mm", -1500.0, 2500.0),
        default("0 mm", "above the axle line"),
        "Their center of gravity ahead of the rear axle line";
    rear SPRUNG_CENTER_LEFT: f64 = "sprung.center_left", q("mm", -1000.0, 1000.0),
        default("0 mm", "on the center plane"),
        "Their center of gravity left of the center plane";
    rear SPRUNG_CENTER_HEIGHT: f64 = "sprung.center_height", q("mm", 50.0, 1500.0),
        default("320 mm", "about wheel-center height; common practice, no source"),
        "Their center of gravity above the road at ride height";
    rear SPRUNG_ROLL_INERTIA: f64 = "sprung.roll_inertia", q("kg*m^2", 0.0, 200.0),
        default("0 kg*m^2", "small beside the body's"),
        "Their moment of inertia about the longitudinal axis through their center of gravity";
    rear SPRUNG_PITCH_INERTIA: f64 = "sprung.pitch_inertia", q("kg*m^2", 0.0, 200.0),
        default("0 kg*m^2", "small beside the body's"),
        "Their moment of inertia about the lateral axis through their center of gravity";
    rear SPRUNG_YAW_INERTIA: f64 = "sprung.yaw_inertia", q("kg*m^2", 0.0, 200.0),
        default("0 kg*m^2", "small beside the body's"),
        "Their moment of inertia about the vertical axis through their center of gravity";
}
