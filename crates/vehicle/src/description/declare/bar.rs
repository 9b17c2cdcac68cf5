//! Entries of the anti-roll bars of both ends.

use super::common::WITH_LINKS;
use super::common::{BY_RATIO, ON_KNUCKLE, STEEL};
use super::key::{ChoiceKind, DirectionKind, PointKind};
use super::row::{ConditionTest, Pattern, When, choice, q, table};
use super::shape::{default, optional};
use super::words::{BarArm, FootOn};

const CONSTANT: &str = "a constant rate";

/// The motion ratio is given as a coefficient, not by points.
const BAR_COEFFICIENT: &[When] = &[("bar.pivot.x", ConditionTest::Absent)];

table! {
    /// The rows, in the order of a file.
    ROWS in Bar by Index;

    both BAR_OUTER_DIAMETER: f64 = "bar.outer_diameter", q("mm", 0.0, 60.0),
        default("0 mm", "no bar"),
        "Outer diameter of the anti-roll bar; 0 for none";
    both BAR_WALL: f64 = "bar.wall", q("mm", 0.0, 30.0), default("0 mm", "a solid bar"),
        "Wall of a tubular bar; 0 for a solid one";
    both BAR_LENGTH: Option<f64> = "bar.length", q("mm", 200.0, 2000.0),
        optional("needed where there is a bar"),
        "Length that twists, from arm to arm";
    both BAR_ARM_LENGTH: Option<f64> = "bar.arm_length", q("mm", 50.0, 600.0),
        optional("needed where there is a bar that is not given by points"),
        "Lever of each arm: from the bar's axis to its link, perpendicular to the axis",
        when BAR_COEFFICIENT;
    both BAR_ARM_BEND_LENGTH: Option<f64> = "bar.arm_bend_length", q("mm", 50.0, 900.0),
        optional("as long as its lever"),
        "Length of each arm along itself, which bends";
    both BAR_ARM: ChoiceKind<BarArm> = "bar.arm", choice::<BarArm>(),
        default("same section", "a bar bent from one piece"),
        "Kind of the arms: bent from the bar, or so stiff that they do not bend";
    both BAR_ARM_RATE: Option<f64> = "bar.arm_rate", q("kN/m", 5.0, 1e6),
        optional("from the arm's section"),
        "Bending rate of each arm at its link, in place of its section: a blade";
    both BAR_BEARING_INSET: f64 = "bar.bearing_inset", q("mm", 0.0, 900.0),
        default("0 mm", "bearings at the bends"),
        "Distance of each bearing inboard of its bend";
    both BAR_BUSHING_RATE: Option<f64> = "bar.bushing_rate", q("kN/m", 50.0, 1e6),
        optional("rigid bearings"),
        "Radial rate of each bearing's bushing";
    both BAR_LINK_RATE: Option<f64> = "bar.link_rate", q("kN/m", 10.0, 1e6),
        optional("rigid links"),
        "Rate of each link along itself, with its joints";
    both BAR_SHEAR_MODULUS: f64 = "bar.shear_modulus", q("GPa", 10.0, 150.0),
        default("79.3 GPa", STEEL),
        "Shear modulus of the bar";
    both BAR_YOUNGS_MODULUS: f64 = "bar.youngs_modulus", q("GPa", 20.0, 400.0),
        default("207 GPa", STEEL),
        "Young's modulus of the bar";
    both BAR_MOTION_RATIO: f64 = "bar.motion_ratio", q("", 0.05, 2.0),
        default("1", "links at the wheels or on the axle"),
        "Travel of the bar's end per bump travel of the wheel (or of the axle at the link)",
        when BAR_COEFFICIENT;
    both BAR_MOTION_RATIO_SLOPE: f64 = "bar.motion_ratio_slope", q("1/m", -20.0, 20.0),
        default("0 1/m", CONSTANT),
        "Change of that motion ratio per bump travel", when BAR_COEFFICIENT;
    solid BAR_SPACING: Option<f64> = "bar.spacing", q("m", 0.2, 2.0),
        optional("needed where there is a bar"),
        "Lateral distance between the bar's links on the axle", when BAR_COEFFICIENT;
    both BAR_PIVOT: Option<PointKind> = "bar.pivot", Pattern::Point, BY_RATIO,
        "A point of the bar's axis, on the body", when WITH_LINKS;
    both BAR_END: Option<PointKind> = "bar.end", Pattern::Point, BY_RATIO,
        "End of the bar's left arm, where its link is tied", when WITH_LINKS;
    both BAR_LINK: Option<PointKind> = "bar.link", Pattern::Point, BY_RATIO,
        "Other end of the link, on the moving part", when WITH_LINKS;
    both BAR_AXIS: Option<DirectionKind> = "bar.axis", Pattern::Direction,
        optional("across the car"),
        "Direction of the bar's axis", when WITH_LINKS;
    independent BAR_ON: ChoiceKind<FootOn> = "bar.on", choice::<FootOn>(), ON_KNUCKLE,
        "Part that the bar's link is tied to", when WITH_LINKS;
}
