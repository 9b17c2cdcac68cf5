//! Entries of the suspension curves of both ends, as coefficients.

use super::{Need, Place, Row, default, q, row};

const BOTH: Place = Place::Both;
const INDEPENDENT: Place = Place::BothIndependent;
const SOLID: Place = Place::RearSolid;
const CONSTANT: &str = "a constant rate";

/// The rows, in the order of a file.
pub(super) const ROWS: &[Row] = &[
    row(
        BOTH,
        "geometry.roll_center_height",
        q("mm", -300.0, 900.0),
        Need::Required,
        "Height of the roll center above the road at rest",
    ),
    row(
        BOTH,
        "geometry.roll_center_slope",
        q("", -10.0, 10.0),
        Need::Optional(
            "wheel centers that move on straight lines (independent), a roll center that moves with the axle (solid)",
        ),
        "Change of that height per bump of both wheels, the road moving with them; a roll center that \
         stays with the body has -1",
    ),
    row(
        INDEPENDENT,
        "geometry.camber_gain",
        q("deg/m", -120.0, 120.0),
        default("0 deg/m", "camber that stays with the body"),
        "Change of camber per bump travel; negative where the top moves inward",
    ),
    row(
        INDEPENDENT,
        "geometry.camber_gain_slope",
        q("deg/m^2", -2000.0, 2000.0),
        default("0 deg/m^2", CONSTANT),
        "Change of the camber gain per bump travel",
    ),
    row(
        INDEPENDENT,
        "geometry.toe_gain",
        q("deg/m", -60.0, 60.0),
        default("0 deg/m", "no bump steer"),
        "Bump steer: change of toe-in per bump travel",
    ),
    row(
        INDEPENDENT,
        "geometry.toe_gain_slope",
        q("deg/m^2", -2000.0, 2000.0),
        default("0 deg/m^2", CONSTANT),
        "Change of the toe gain per bump travel",
    ),
    row(
        BOTH,
        "geometry.recession",
        q("", -1.0, 1.0),
        default("0", "wheel centers that move straight up"),
        "Rearward travel of the wheel center (or of the axle's center) per bump travel",
    ),
    row(
        BOTH,
        "geometry.recession_slope",
        q("1/m", -20.0, 20.0),
        default("0 1/m", CONSTANT),
        "Change of the recession per bump travel",
    ),
    row(
        INDEPENDENT,
        "geometry.caster_gain",
        q("deg/m", -200.0, 200.0),
        default(
            "0 deg/m",
            "a knuckle that does not turn about the wheel's axis",
        ),
        "Turn of the knuckle about the wheel's axis per bump travel, top rearward positive",
    ),
    row(
        INDEPENDENT,
        "geometry.caster_gain_slope",
        q("deg/m^2", -2000.0, 2000.0),
        default("0 deg/m^2", CONSTANT),
        "Change of the caster gain per bump travel",
    ),
    row(
        SOLID,
        "geometry.roll_steer",
        q("deg/deg", -0.5, 0.5),
        default("0 deg/deg", "an axle that rolls about a level line"),
        "Steer of the axle per roll of the axle relative to the body, to the left and left side up \
         positive; positive adds oversteer",
    ),
    row(
        SOLID,
        "geometry.roll_steer_slope",
        q("1/m", -10.0, 10.0),
        default("0 1/m", CONSTANT),
        "Change of the roll steer per bump travel of the axle",
    ),
    row(
        SOLID,
        "geometry.pinion_gain",
        q("deg/m", -200.0, 200.0),
        default(
            "0 deg/m",
            "an axle that does not turn about the wheels' axis",
        ),
        "Turn of the axle about the wheels' axis per bump travel, pinion nose down positive",
    ),
    row(
        SOLID,
        "geometry.pinion_gain_slope",
        q("deg/m^2", -2000.0, 2000.0),
        default("0 deg/m^2", CONSTANT),
        "Change of the pinion gain per bump travel",
    ),
    row(
        SOLID,
        "geometry.lateral_walk",
        q("", -0.5, 0.5),
        default("0", "an axle that stays centered"),
        "Sideways travel of the axle per bump travel, to the left positive",
    ),
    row(
        SOLID,
        "geometry.lateral_walk_slope",
        q("1/m", -20.0, 20.0),
        default("0 1/m", CONSTANT),
        "Change of the lateral walk per bump travel",
    ),
];
