//! Entries of the springs, dampers, stops and anti-roll bars of both ends.

use super::points::{direction, point};
use super::{Need, Place, Row, Shape, Test, When, default, q, row};

const BOTH: Place = Place::Both;
const SOLID: Place = Place::RearSolid;
const CONSTANT: &str = "a constant rate";
const STEEL: &str = "spring steel; Shigley, Mechanical Engineering Design; from memory";

const INDEPENDENT: Place = Place::BothIndependent;

/// Where it acts is a coefficient, not given by points.
const SPRING_COEFFICIENT: &[When] = &[("spring.body.x", Test::Absent)];
const DAMPER_COEFFICIENT: &[When] = &[("damper.body.x", Test::Absent)];
const BAR_COEFFICIENT: &[When] = &[("bar.pivot.x", Test::Absent)];
/// Points go with the points of the links.
const WITH_LINKS: &[When] = &[("links.type", Test::Given)];
const BY_RATIO: Need = Need::Optional("its motion ratio is given as a coefficient");

/// The rows, in the order of a file.
pub(super) fn rows() -> Vec<Row> {
    let mut rows = SPRING.to_vec();
    unit(&mut rows, "spring", "Spring");
    rows.extend(DAMPER);
    unit(&mut rows, "damper", "Damper");
    rows.extend(STOPS);
    rows.extend(BAR);
    for (name, what) in [
        ("pivot", "A point of the bar's axis, on the body"),
        ("end", "End of the bar's left arm, where its link is tied"),
        ("link", "The link's other end, on what moves"),
    ] {
        point(
            &mut rows,
            BOTH,
            &format!("bar.{name}"),
            what,
            BY_RATIO,
            WITH_LINKS,
        );
    }
    direction(
        &mut rows,
        BOTH,
        "bar.axis",
        "Direction of the bar's axis",
        "across the car",
        WITH_LINKS,
    );
    rows.push(on("bar.on", "What the bar's link is tied to"));
    rows
}

/// The two ends of a spring or damper on the left side.
fn unit(rows: &mut Vec<Row>, path: &str, what: &str) {
    let body = format!("{what}'s end on the body");
    point(
        rows,
        BOTH,
        &format!("{path}.body"),
        &body,
        BY_RATIO,
        WITH_LINKS,
    );
    let axle = format!("{what}'s end on the axle");
    point(
        rows,
        SOLID,
        &format!("{path}.axle"),
        &axle,
        BY_RATIO,
        WITH_LINKS,
    );
    let foot = format!("{what}'s end on what moves");
    point(
        rows,
        INDEPENDENT,
        &format!("{path}.foot"),
        &foot,
        BY_RATIO,
        WITH_LINKS,
    );
    rows.push(match path {
        "spring" => on("spring.on", "What the spring's foot stands on"),
        _ => on("damper.on", "What the damper's foot stands on"),
    });
}

const fn on(path: &'static str, meaning: &'static str) -> Row {
    row(
        INDEPENDENT,
        path,
        Shape::Choice(&["knuckle", "lower arm", "upper arm"]),
        default("knuckle", "what every linkage has"),
        meaning,
    )
    .when(WITH_LINKS)
}

const SPRING: &[Row] = &[
    row(
        BOTH,
        "spring.rate",
        q("kN/m", 1.0, 1000.0),
        Need::Optional("follows from wire and coil"),
        "Rate of one spring along its own axis",
    ),
    row(
        BOTH,
        "spring.wire_diameter",
        q("mm", 2.0, 40.0),
        Need::Optional("the rate is given"),
        "Diameter of the spring's wire, in place of its rate",
    ),
    row(
        BOTH,
        "spring.coil_diameter",
        q("mm", 20.0, 400.0),
        Need::Optional("the rate is given"),
        "Mean diameter of the coil, from wire center to wire center",
    ),
    row(
        BOTH,
        "spring.active_coils",
        q("", 1.0, 40.0),
        Need::Optional("the rate is given"),
        "Number of coils that yield",
    ),
    row(
        BOTH,
        "spring.shear_modulus",
        q("GPa", 10.0, 150.0),
        default("79.3 GPa", STEEL),
        "Shear modulus of the wire",
    ),
    row(
        BOTH,
        "spring.mount_rate",
        q("kN/m", 10.0, 1e6),
        Need::Optional("rigid mounts"),
        "Rate of the spring's mounts together, in series with it",
    ),
    row(
        BOTH,
        "spring.motion_ratio",
        q("", 0.1, 2.0),
        default(
            "1",
            "a spring on the wheel's path or straight above the axle",
        ),
        "Compression of the spring per bump travel of the wheel (or of the axle at the spring)",
    )
    .when(SPRING_COEFFICIENT),
    row(
        BOTH,
        "spring.motion_ratio_slope",
        q("1/m", -20.0, 20.0),
        default("0 1/m", "lengths linear in travel"),
        "Change of the motion ratio per bump travel",
    )
    .when(SPRING_COEFFICIENT),
    row(
        SOLID,
        "spring.spacing",
        q("m", 0.3, 2.0),
        Need::Required,
        "Lateral distance between the springs on the axle",
    )
    .when(SPRING_COEFFICIENT),
    row(
        SOLID,
        "spring.roll_curvature",
        q("mm/deg^2", -0.3, 0.3),
        default("0 mm/deg^2", "lengths linear in roll"),
        "Second derivative of each spring's compression by the axle's roll",
    )
    .when(SPRING_COEFFICIENT),
];

const DAMPER: &[Row] = &[
    row(
        BOTH,
        "damper.motion_ratio",
        q("", 0.1, 2.0),
        default(
            "1",
            "a damper on the wheel's path or straight above the axle",
        ),
        "Compression of the damper per bump travel of the wheel (or of the axle at the damper)",
    )
    .when(DAMPER_COEFFICIENT),
    row(
        BOTH,
        "damper.motion_ratio_slope",
        q("1/m", -20.0, 20.0),
        default("0 1/m", "lengths linear in travel"),
        "Change of the motion ratio per bump travel",
    )
    .when(DAMPER_COEFFICIENT),
    row(
        SOLID,
        "damper.spacing",
        q("m", 0.3, 2.0),
        Need::Required,
        "Lateral distance between the dampers on the axle",
    )
    .when(DAMPER_COEFFICIENT),
    row(
        BOTH,
        "damper.bump.low",
        q("N*s/m", 0.0, 50000.0),
        Need::Required,
        "Force over speed at small speed in bump, at setting 0",
    ),
    row(
        BOTH,
        "damper.bump.high",
        q("N*s/m", 0.0, 50000.0),
        Need::Required,
        "Slope of the force at large speed in bump, at setting 0",
    ),
    row(
        BOTH,
        "damper.bump.knee",
        q("m/s", 0.005, 5.0),
        default(
            "0.1 m/s",
            "where blow-off valves of car dampers open; common practice, no source",
        ),
        "Speed at which the slope turns in bump",
    ),
    row(
        BOTH,
        "damper.bump.per_click",
        q("", -0.5, 0.5),
        default("0", "no adjuster"),
        "Relative change of the bump force per click",
    ),
    row(
        BOTH,
        "damper.rebound.low",
        q("N*s/m", 0.0, 50000.0),
        Need::Required,
        "Force over speed at small speed in rebound, at setting 0",
    ),
    row(
        BOTH,
        "damper.rebound.high",
        q("N*s/m", 0.0, 50000.0),
        Need::Required,
        "Slope of the force at large speed in rebound, at setting 0",
    ),
    row(
        BOTH,
        "damper.rebound.knee",
        q("m/s", 0.005, 5.0),
        default(
            "0.1 m/s",
            "where blow-off valves of car dampers open; common practice, no source",
        ),
        "Speed at which the slope turns in rebound",
    ),
    row(
        BOTH,
        "damper.rebound.per_click",
        q("", -0.5, 0.5),
        default("0", "no adjuster"),
        "Relative change of the rebound force per click",
    ),
    row(
        BOTH,
        "damper.clicks",
        q("", 0.0, 100.0),
        default("0", "no adjuster"),
        "Number of clicks of the adjuster",
    ),
    row(
        BOTH,
        "damper.setting",
        q("", 0.0, 100.0),
        default("0", "the figures above as they stand"),
        "Clicks from the setting at which the figures above hold",
    ),
];

/// Stops, on the damper.
const STOPS: &[Row] = &[
    row(
        BOTH,
        "bump_stop.gap",
        q("mm", 1.0, 400.0),
        default(
            "60 mm",
            "free bump travel of a road car; common practice, no source",
        ),
        "Compression of the damper from rest to the bump stop",
    ),
    row(
        BOTH,
        "bump_stop.rate",
        q("kN/m", 0.0, 5000.0),
        default(
            "30 kN/m",
            "a foam stop at first touch; common practice, no source",
        ),
        "First rate of the bump stop",
    ),
    row(
        BOTH,
        "bump_stop.progression",
        q("N/mm^2", 0.0, 1000.0),
        default(
            "3 N/mm^2",
            "a foam stop that doubles its rate in 5 mm; common practice, no source",
        ),
        "Growth of the bump stop's force with the square of its compression",
    ),
    row(
        BOTH,
        "droop_stop.gap",
        q("mm", 1.0, 400.0),
        default(
            "80 mm",
            "free droop travel of a road car; common practice, no source",
        ),
        "Extension of the damper from rest to the droop stop",
    ),
    row(
        BOTH,
        "droop_stop.rate",
        q("kN/m", 0.0, 5000.0),
        default(
            "100 kN/m",
            "a rubber ring in the damper; common practice, no source",
        ),
        "First rate of the droop stop",
    ),
    row(
        BOTH,
        "droop_stop.progression",
        q("N/mm^2", 0.0, 1000.0),
        default(
            "20 N/mm^2",
            "a rubber ring in the damper; common practice, no source",
        ),
        "Growth of the droop stop's force with the square of its compression",
    ),
];

/// Anti-roll bar.
const BAR: &[Row] = &[
    row(
        BOTH,
        "bar.outer_diameter",
        q("mm", 0.0, 60.0),
        default("0 mm", "no bar"),
        "Outer diameter of the anti-roll bar; 0 for none",
    ),
    row(
        BOTH,
        "bar.wall",
        q("mm", 0.0, 30.0),
        default("0 mm", "a solid bar"),
        "Wall of a tubular bar; 0 for a solid one",
    ),
    row(
        BOTH,
        "bar.length",
        q("mm", 200.0, 2000.0),
        Need::Optional("needed where there is a bar"),
        "Length that twists, from arm to arm",
    ),
    row(
        BOTH,
        "bar.arm_length",
        q("mm", 50.0, 600.0),
        Need::Optional("needed where there is a bar that is not given by points"),
        "Lever of each arm: from the bar's axis square to its link",
    )
    .when(BAR_COEFFICIENT),
    row(
        BOTH,
        "bar.arm_bend_length",
        q("mm", 50.0, 900.0),
        Need::Optional("as long as its lever"),
        "Length of each arm along itself, which bends",
    ),
    row(
        BOTH,
        "bar.arm",
        Shape::Choice(&["same section", "rigid"]),
        default("same section", "a bar bent from one piece"),
        "What the arms are: bent from the bar, or so stiff that they do not bend",
    ),
    row(
        BOTH,
        "bar.arm_rate",
        q("kN/m", 5.0, 1e6),
        Need::Optional("from the arm's section"),
        "Bending rate of each arm at its link, in place of its section: a blade",
    ),
    row(
        BOTH,
        "bar.bearing_inset",
        q("mm", 0.0, 900.0),
        default("0 mm", "bearings at the bends"),
        "Distance of each bearing inboard of its bend",
    ),
    row(
        BOTH,
        "bar.bushing_rate",
        q("kN/m", 50.0, 1e6),
        Need::Optional("bearings that do not yield"),
        "Radial rate of each bearing's bushing",
    ),
    row(
        BOTH,
        "bar.link_rate",
        q("kN/m", 10.0, 1e6),
        Need::Optional("links that do not yield"),
        "Rate of each link along itself, with its joints",
    ),
    row(
        BOTH,
        "bar.shear_modulus",
        q("GPa", 10.0, 150.0),
        default("79.3 GPa", STEEL),
        "Shear modulus of the bar",
    ),
    row(
        BOTH,
        "bar.youngs_modulus",
        q("GPa", 20.0, 400.0),
        default("207 GPa", STEEL),
        "Young's modulus of the bar",
    ),
    row(
        BOTH,
        "bar.motion_ratio",
        q("", 0.05, 2.0),
        default("1", "links at the wheels or on the axle"),
        "Travel of the bar's end per bump travel of the wheel (or of the axle at the link)",
    )
    .when(BAR_COEFFICIENT),
    row(
        BOTH,
        "bar.motion_ratio_slope",
        q("1/m", -20.0, 20.0),
        default("0 1/m", CONSTANT),
        "Change of that motion ratio per bump travel",
    )
    .when(BAR_COEFFICIENT),
    row(
        SOLID,
        "bar.spacing",
        q("m", 0.2, 2.0),
        Need::Optional("needed where there is a bar"),
        "Lateral distance between the bar's links on the axle",
    )
    .when(BAR_COEFFICIENT),
];
