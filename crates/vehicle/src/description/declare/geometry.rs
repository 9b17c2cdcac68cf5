//! Entries of the suspension curves of both ends, as coefficients.

use super::row::{q, table};
use super::shape::{REQUIRED, default, optional};

const CONSTANT: &str = "a constant rate";

table! {
    /// The rows, in the order of a file.
    ROWS in Geometry by Index;

    both GEOMETRY_ROLL_CENTER_HEIGHT: f64 = "geometry.roll_center_height", q("mm", -300.0, 900.0),
        REQUIRED,
        "Height of the roll center above the road at rest";
    both GEOMETRY_ROLL_CENTER_SLOPE: Option<f64> = "geometry.roll_center_slope", q("", -10.0, 10.0),
        optional("wheel centers that move on straight lines (independent), a roll center that \
         moves with the axle (solid)"),
        "Change of that height per bump of both wheels, the road moving with them; a roll center \
         that stays with the body has -1";
    independent GEOMETRY_CAMBER_GAIN: f64 = "geometry.camber_gain", q("deg/m", -120.0, 120.0),
        default("0 deg/m", "camber that stays with the body"),
        "Change of camber per bump travel; negative where the top moves inward";
    independent GEOMETRY_CAMBER_GAIN_SLOPE: f64 = "geometry.camber_gain_slope",
        q("deg/m^2", -2000.0, 2000.0),
        default("0 deg/m^2", CONSTANT),
        "Change of the camber gain per bump travel";
    independent GEOMETRY_TOE_GAIN: f64 = "geometry.toe_gain", q("deg/m", -60.0, 60.0),
        default("0 deg/m", "no bump steer"),
        "Bump steer: change of toe-in per bump travel";
    independent GEOMETRY_TOE_GAIN_SLOPE: f64 = "geometry.toe_gain_slope",
        q("deg/m^2", -2000.0, 2000.0),
        default("0 deg/m^2", CONSTANT),
        "Change of the toe gain per bump travel";
    both GEOMETRY_RECESSION: f64 = "geometry.recession", q("", -1.0, 1.0),
        default("0", "wheel centers that move straight up"),
        "Rearward travel of the wheel center (or of the axle's center) per bump travel";
    both GEOMETRY_RECESSION_SLOPE: f64 = "geometry.recession_slope", q("1/m", -20.0, 20.0),
        default("0 1/m", CONSTANT),
        "Change of the recession per bump travel";
    independent GEOMETRY_CASTER_GAIN: f64 = "geometry.caster_gain", q("deg/m", -200.0, 200.0),
        default("0 deg/m", "a knuckle that does not turn about the wheel's axis"),
        "Turn of the knuckle about the wheel's axis per bump travel, top rearward positive";
    independent GEOMETRY_CASTER_GAIN_SLOPE: f64 = "geometry.caster_gain_slope",
        q("deg/m^2", -2000.0, 2000.0),
        default("0 deg/m^2", CONSTANT),
        "Change of the caster gain per bump travel";
    solid GEOMETRY_ROLL_STEER: f64 = "geometry.roll_steer", q("deg/deg", -0.5, 0.5),
        default("0 deg/deg", "an axle that rolls about a level line"),
        "Steer of the axle per roll of the axle relative to the body, to the left and left side \
         up positive; positive adds oversteer";
    solid GEOMETRY_ROLL_STEER_SLOPE: f64 = "geometry.roll_steer_slope", q("1/m", -10.0, 10.0),
        default("0 1/m", CONSTANT),
        "Change of the roll steer per bump travel of the axle";
    solid GEOMETRY_PINION_GAIN: f64 = "geometry.pinion_gain", q("deg/m", -200.0, 200.0),
        default("0 deg/m", "an axle that does not turn about the wheels' axis"),
        "Turn of the axle about the wheels' axis per bump travel, pinion nose down positive";
    solid GEOMETRY_PINION_GAIN_SLOPE: f64 = "geometry.pinion_gain_slope",
        q("deg/m^2", -2000.0, 2000.0),
        default("0 deg/m^2", CONSTANT),
        "Change of the pinion gain per bump travel";
    solid GEOMETRY_LATERAL_WALK: f64 = "geometry.lateral_walk", q("", -0.5, 0.5),
        default("0", "an axle that stays centered"),
        "Sideways travel of the axle per bump travel, to the left positive";
    solid GEOMETRY_LATERAL_WALK_SLOPE: f64 = "geometry.lateral_walk_slope", q("1/m", -20.0, 20.0),
        default("0 1/m", CONSTANT),
        "Change of the lateral walk per bump travel";
}
