//! Entries of the springs, dampers and stops of both ends.

use super::common::WITH_LINKS;
use super::common::{BY_RATIO, ON_KNUCKLE, STEEL};
use super::key::{ChoiceKind, PointKind};
use super::row::{ConditionTest, Pattern, When, choice, q, table};
use super::shape::{REQUIRED, default, optional};
use super::words::FootOn;

/// Motion ratios are given as coefficients, not by points.
const SPRING_COEFFICIENT: &[When] = &[("spring.body.x", ConditionTest::Absent)];
const DAMPER_COEFFICIENT: &[When] = &[("damper.body.x", ConditionTest::Absent)];

table! {
    /// The rows, in the order of a file.
    ROWS in Spring by Index;

    both SPRING_RATE: Option<f64> = "spring.rate", q("kN/m", 1.0, 1000.0),
        optional("follows from wire and coil"),
        "Rate of one spring along its own axis";
    both SPRING_WIRE_DIAMETER: Option<f64> = "spring.wire_diameter", q("mm", 2.0, 40.0),
        optional("the rate is given"),
        "Diameter of the spring's wire, in place of its rate";
    both SPRING_COIL_DIAMETER: Option<f64> = "spring.coil_diameter", q("mm", 20.0, 400.0),
        optional("the rate is given"),
        "Mean diameter of the coil, from wire center to wire center";
    both SPRING_ACTIVE_COILS: Option<f64> = "spring.active_coils", q("", 1.0, 40.0),
        optional("the rate is given"),
        "Number of active coils";
    both SPRING_SHEAR_MODULUS: f64 = "spring.shear_modulus", q("GPa", 10.0, 150.0),
        default("79.3 GPa", STEEL),
        "Shear modulus of the wire";
    both SPRING_MOUNT_RATE: Option<f64> = "spring.mount_rate", q("kN/m", 10.0, 1e6),
        optional("rigid mounts"),
        "Rate of the spring's mounts together, in series with it";
    both SPRING_MOTION_RATIO: f64 = "spring.motion_ratio", q("", 0.1, 2.0),
        default("1", "a spring on the wheel's path or straight above the axle"),
        "Compression of the spring per bump travel of the wheel (or of the axle at the spring)",
        when SPRING_COEFFICIENT;
    both SPRING_MOTION_RATIO_SLOPE: f64 = "spring.motion_ratio_slope", q("1/m", -20.0, 20.0),
        default("0 1/m", "lengths linear in travel"),
        "Change of the motion ratio per bump travel", when SPRING_COEFFICIENT;
    solid SPRING_SPACING: f64 = "spring.spacing", q("m", 0.3, 2.0), REQUIRED,
        "Lateral distance between the springs on the axle", when SPRING_COEFFICIENT;
    solid SPRING_ROLL_CURVATURE: f64 = "spring.roll_curvature", q("mm/deg^2", -0.3, 0.3),
        default("0 mm/deg^2", "lengths linear in roll"),
        "Second derivative of each spring's compression by the axle's roll",
        when SPRING_COEFFICIENT;
    both SPRING_BODY: Option<PointKind> = "spring.body", Pattern::Point, BY_RATIO,
        "Body end of the spring", when WITH_LINKS;
    solid SPRING_AXLE: Option<PointKind> = "spring.axle", Pattern::Point, BY_RATIO,
        "Axle end of the spring", when WITH_LINKS;
    independent SPRING_FOOT: Option<PointKind> = "spring.foot", Pattern::Point, BY_RATIO,
        "Moving end of the spring", when WITH_LINKS;
    independent SPRING_ON: ChoiceKind<FootOn> = "spring.on", choice::<FootOn>(), ON_KNUCKLE,
        "Part that the moving end of the spring is on", when WITH_LINKS;

    both DAMPER_MOTION_RATIO: f64 = "damper.motion_ratio", q("", 0.1, 2.0),
        default("1", "a damper on the wheel's path or straight above the axle"),
        "Compression of the damper per bump travel of the wheel (or of the axle at the damper)",
        when DAMPER_COEFFICIENT;
    both DAMPER_MOTION_RATIO_SLOPE: f64 = "damper.motion_ratio_slope", q("1/m", -20.0, 20.0),
        default("0 1/m", "lengths linear in travel"),
        "Change of the motion ratio per bump travel", when DAMPER_COEFFICIENT;
    solid DAMPER_SPACING: f64 = "damper.spacing", q("m", 0.3, 2.0), REQUIRED,
        "Lateral distance between the dampers on the axle", when DAMPER_COEFFICIENT;
    both DAMPER_BUMP_LOW: f64 = "damper.bump.low", q("N*s/m", 0.0, 50000.0), REQUIRED,
        "Force over speed at small speed in bump, at setting 0";
    both DAMPER_BUMP_HIGH: f64 = "damper.bump.high", q("N*s/m", 0.0, 50000.0), REQUIRED,
        "Slope of the force at large speed in bump, at setting 0";
    both DAMPER_BUMP_KNEE: f64 = "damper.bump.knee", q("m/s", 0.005, 5.0),
        default("0.1 m/s", "where blow-off valves of car dampers open; common practice, no source"),
        "Speed at which the slope turns in bump";
    both DAMPER_BUMP_PER_CLICK: f64 = "damper.bump.per_click", q("", -0.5, 0.5),
        default("0", "no adjuster"),
        "Relative change of the bump force per click";
    both DAMPER_REBOUND_LOW: f64 = "damper.rebound.low", q("N*s/m", 0.0, 50000.0), REQUIRED,
        "Force over speed at small speed in rebound, at setting 0";
    both DAMPER_REBOUND_HIGH: f64 = "damper.rebound.high", q("N*s/m", 0.0, 50000.0), REQUIRED,
        "Slope of the force at large speed in rebound, at setting 0";
    both DAMPER_REBOUND_KNEE: f64 = "damper.rebound.knee", q("m/s", 0.005, 5.0),
        default("0.1 m/s", "where blow-off valves of car dampers open; common practice, no source"),
        "Speed at which the slope turns in rebound";
    both DAMPER_REBOUND_PER_CLICK: f64 = "damper.rebound.per_click", q("", -0.5, 0.5),
        default("0", "no adjuster"),
        "Relative change of the rebound force per click";
    both DAMPER_CLICKS: f64 = "damper.clicks", q("", 0.0, 100.0), default("0", "no adjuster"),
        "Number of clicks of the adjuster";
    both DAMPER_SETTING: f64 = "damper.setting", q("", 0.0, 100.0),
        default("0", "the values above"),
        "Clicks from the setting at which the values above hold";
    both DAMPER_BODY: Option<PointKind> = "damper.body", Pattern::Point, BY_RATIO,
        "Body end of the damper", when WITH_LINKS;
    solid DAMPER_AXLE: Option<PointKind> = "damper.axle", Pattern::Point, BY_RATIO,
        "Axle end of the damper", when WITH_LINKS;
    independent DAMPER_FOOT: Option<PointKind> = "damper.foot", Pattern::Point, BY_RATIO,
        "Moving end of the damper", when WITH_LINKS;
    independent DAMPER_ON: ChoiceKind<FootOn> = "damper.on", choice::<FootOn>(), ON_KNUCKLE,
        "Part that the moving end of the damper is on", when WITH_LINKS;

    // Stops, on the damper.
    both BUMP_STOP_GAP: f64 = "bump_stop.gap", q("mm", 1.0, 400.0),
        default("60 mm", "free bump travel of a road car; common practice, no source"),
        "Compression of the damper from rest to the bump stop";
    both BUMP_STOP_RATE: f64 = "bump_stop.rate", q("kN/m", 0.0, 5000.0),
        default("30 kN/m", "a foam stop at first touch; common practice, no source"),
        "First rate of the bump stop";
    both BUMP_STOP_PROGRESSION: f64 = "bump_stop.progression", q("N/mm^2", 0.0, 1000.0),
        default("3 N/mm^2", "a foam stop that doubles its rate in 5 mm; common practice, no \
         source"),
        "Growth of the bump stop's force with the square of its compression";
    both DROOP_STOP_GAP: f64 = "droop_stop.gap", q("mm", 1.0, 400.0),
        default("80 mm", "free droop travel of a road car; common practice, no source"),
        "Extension of the damper from rest to the droop stop";
    both DROOP_STOP_RATE: f64 = "droop_stop.rate", q("kN/m", 0.0, 5000.0),
        default("100 kN/m", "a rubber ring in the damper; common practice, no source"),
        "First rate of the droop stop";
    both DROOP_STOP_PROGRESSION: f64 = "droop_stop.progression", q("N/mm^2", 0.0, 1000.0),
        default("20 N/mm^2", "a rubber ring in the damper; common practice, no source"),
        "Growth of the droop stop's force with the square of its compression";
}
