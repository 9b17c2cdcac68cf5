//! Entries of the links of both ends by their points: linkages, what they are made of, subframe, and
//! the travel over which their curves are fitted.
//!
//! The left side is given and the right is its mirror image; a Panhard bar, a Watt's linkage and a
//! third link are as given.

use super::points::{END_DEFAULT, End, MATERIALS, lasting, point};
use super::{Need, Place, Row, Shape, Test, When, default, q, row};

const SOLID: Place = Place::RearSolid;
const INDEPENDENT: Place = Place::BothIndependent;
const REAR: Place = Place::Rear;
const BOTH: Place = Place::Both;

/// The words of `links.type` for a solid axle.
pub const AXLE_LINKS: &[&str] = &["four links", "three links", "torque arm", "five links"];
/// The words of `links.type` for two wheels sprung on their own; the last of them does not steer.
pub const CORNER_LINKS: &[&str] = &[
    "strut",
    "double wishbone",
    "multi-link",
    "semi-trailing arm",
];
const ALL_LINKS: &[&str] = &[
    "four links",
    "three links",
    "torque arm",
    "five links",
    "strut",
    "double wishbone",
    "multi-link",
    "semi-trailing arm",
];
const STEERED_LINKS: &[&str] = &["strut", "double wishbone", "multi-link"];

const LINKS: &str = "links.type";
const LATERAL: &str = "lateral.type";
const ON_AXLE: &[When] = &[(LINKS, Test::Is(AXLE_LINKS))];
const UPPER: &[When] = &[(
    LINKS,
    Test::Is(&["four links", "three links", "five links"]),
)];
const TORQUE_ARM: &[When] = &[(LINKS, Test::Is(&["torque arm"]))];
const PANHARD: &[When] = &[
    (LINKS, Test::Is(AXLE_LINKS)),
    (LATERAL, Test::Is(&["panhard bar"])),
];
const WATTS: &[When] = &[
    (LINKS, Test::Is(AXLE_LINKS)),
    (LATERAL, Test::Is(&["watts linkage"])),
];
const ON_CORNER: &[When] = &[(LINKS, Test::Is(CORNER_LINKS))];
const STRUT: &[When] = &[(LINKS, Test::Is(&["strut"]))];
const WISHBONES: &[When] = &[(LINKS, Test::Is(&["double wishbone"]))];
const ARM: &[When] = &[(LINKS, Test::Is(&["strut", "double wishbone"]))];
const TOE: &[When] = &[(LINKS, Test::Is(STEERED_LINKS))];
const MULTI: &[When] = &[(LINKS, Test::Is(&["multi-link"]))];
const SEMI: &[When] = &[(LINKS, Test::Is(&["semi-trailing arm"]))];
const MOUNTED: &[When] = &[
    (LINKS, Test::Is(CORNER_LINKS)),
    ("subframe.type", Test::Is(&["mounts"])),
];

const LOWER_ANY: &[When] = &[(
    LINKS,
    Test::Is(&[
        "four links",
        "three links",
        "torque arm",
        "five links",
        "strut",
        "double wishbone",
    ]),
)];
const UPPER_ANY: &[When] = &[(
    LINKS,
    Test::Is(&["four links", "three links", "five links", "double wishbone"]),
)];
const ARM_ANY: &[When] = &[(LINKS, Test::Is(&["torque arm", "semi-trailing arm"]))];
const ANY_LINKS: &[When] = &[(LINKS, Test::Given)];

/// Where the sleeve of a link's end is not given.
const LINK_SLEEVE: Option<&str> = Some("horizontal and square to the link");

/// The rows, in the order of a file.
pub(super) fn rows() -> Vec<Row> {
    let mut rows = vec![
        row(
            Place::Front,
            LINKS,
            Shape::Choice(STEERED_LINKS),
            Need::Optional("curves and compliance from coefficients"),
            "Kind of linkage given by its points, which settles curves, steering axis and compliance",
        ),
        row(
            REAR,
            LINKS,
            Shape::Choice(ALL_LINKS),
            Need::Optional("curves and compliance from coefficients"),
            "Kind of linkage given by its points, which settles curves, compliance and binding",
        ),
        row(
            BOTH,
            "links.material",
            Shape::Choice(MATERIALS),
            default(
                "rubber",
                "as road cars leave the factory; common practice, no source",
            ),
            "What the ends of all links of this end are made of, where they do not say otherwise",
        )
        .when(ANY_LINKS),
        row(
            SOLID,
            "links.heave",
            q("mm", 10.0, 300.0),
            default(
                "60 mm",
                "the travel of a road car between its stops; common practice, no source",
            ),
            "Heave up and down over which the curves are fitted and binding is told",
        )
        .when(ON_AXLE),
        row(
            SOLID,
            "links.roll",
            q("deg", 0.5, 15.0),
            default(
                "5 deg",
                "some 65 mm at each wheel besides the heave; common practice, no source",
            ),
            "Roll to both sides over which the curves are fitted and binding is told",
        )
        .when(ON_AXLE),
        row(
            INDEPENDENT,
            "links.bump",
            q("mm", 10.0, 300.0),
            default(
                "70 mm",
                "the travel of a road car between its stops; common practice, no source",
            ),
            "Bump travel over which the curves are fitted and binding is told",
        )
        .when(ON_CORNER),
        row(
            INDEPENDENT,
            "links.droop",
            q("mm", 10.0, 300.0),
            default(
                "70 mm",
                "the travel of a road car between its stops; common practice, no source",
            ),
            "Droop travel over which the curves are fitted and binding is told",
        )
        .when(ON_CORNER),
    ];
    // One entry each for parts that several kinds of linkage have.
    material(
        &mut rows,
        BOTH,
        "links.lower",
        "Lower link or arm",
        LOWER_ANY,
    );
    material(
        &mut rows,
        BOTH,
        "links.upper",
        "Upper link or wishbone",
        UPPER_ANY,
    );
    material(
        &mut rows,
        REAR,
        "links.arm",
        "Torque arm or semi-trailing arm",
        ARM_ANY,
    );
    let ends = [("body", "end on the body"), ("axle", "end on the axle")];
    link(
        &mut rows,
        SOLID,
        "links.lower",
        "Left lower link",
        &ends,
        LINK_SLEEVE,
        ON_AXLE,
    );
    link(
        &mut rows,
        SOLID,
        "links.upper",
        "Upper link (the left one of two)",
        &ends,
        LINK_SLEEVE,
        UPPER,
    );
    let mount = [("mount", "front mount, which holds height only")];
    link(
        &mut rows,
        SOLID,
        "links.arm",
        "Torque arm",
        &mount,
        Some("across the car"),
        TORQUE_ARM,
    );
    wishbone(&mut rows, "links.lower", "Left lower arm", ARM);
    wishbone(&mut rows, "links.upper", "Left upper wishbone", WISHBONES);
    let top = [("mount", "mount on the body, on the strut's axis")];
    link(
        &mut rows,
        INDEPENDENT,
        "links.top",
        "Left strut's top",
        &top,
        None,
        STRUT,
    );
    point(
        &mut rows,
        INDEPENDENT,
        "links.foot",
        "Another point of the left strut's axis, fixed to the knuckle",
        Need::Required,
        STRUT,
    );
    for (name, what) in [
        ("lower_front", "Left lower front link"),
        ("lower_rear", "Left lower rear link"),
        ("upper_front", "Left upper front link"),
        ("upper_rear", "Left upper rear link"),
    ] {
        rod(&mut rows, lasting(format!("links.{name}")), what, MULTI);
    }
    rod(&mut rows, "links.toe", "Left toe link or tie rod", TOE);
    let hinge = [
        ("inner", "inner pivot on body or subframe"),
        ("outer", "outer pivot on body or subframe"),
    ];
    link(
        &mut rows,
        REAR,
        "links.arm",
        "Left semi-trailing arm",
        &hinge,
        None,
        SEMI,
    );
    lateral(&mut rows);
    subframe(&mut rows);
    rows
}

/// A part with a material and ends that take it.
fn link(
    rows: &mut Vec<Row>,
    place: Place,
    path: &'static str,
    what: &'static str,
    ends: &[(&str, &str)],
    sleeve: Option<&'static str>,
    when: &'static [When],
) {
    material(rows, place, path, what, when);
    for (end, where_) in ends {
        End {
            place,
            path: lasting(format!("{path}.{end}")),
            what: lasting(format!("{what}'s {where_}")),
            material: END_DEFAULT,
            sleeve,
            when,
        }
        .rows(rows);
    }
}

/// What the ends of one part are made of.
fn material(
    rows: &mut Vec<Row>,
    place: Place,
    path: &'static str,
    what: &'static str,
    when: &'static [When],
) {
    let path = lasting(format!("{path}.material"));
    if rows.iter().any(|row| row.path == path) {
        return;
    }
    rows.push(
        row(
            place,
            path,
            Shape::Choice(MATERIALS),
            Need::Optional("as links.material of this end"),
            lasting(format!("{what}: what its ends are made of")),
        )
        .when(when),
    );
}

/// A ball joint or an outer end on the knuckle.
fn ball(
    rows: &mut Vec<Row>,
    path: String,
    what: String,
    sleeve: Option<&'static str>,
    when: &'static [When],
) {
    End {
        place: INDEPENDENT,
        path: lasting(path),
        what: lasting(what),
        material: default("spherical", "a ball joint"),
        sleeve,
        when,
    }
    .rows(rows);
}

fn wishbone(rows: &mut Vec<Row>, path: &'static str, what: &'static str, when: &'static [When]) {
    let inner = [("front", "front inner pivot"), ("rear", "rear inner pivot")];
    link(rows, INDEPENDENT, path, what, &inner, None, when);
    ball(
        rows,
        format!("{path}.ball"),
        format!("{what}'s ball joint on the knuckle"),
        None,
        when,
    );
}

/// A rod of a corner.
fn rod(rows: &mut Vec<Row>, path: &'static str, what: &'static str, when: &'static [When]) {
    let inner = [("inner", "inner end")];
    link(rows, INDEPENDENT, path, what, &inner, LINK_SLEEVE, when);
    ball(
        rows,
        format!("{path}.outer"),
        format!("{what}'s outer end on the knuckle"),
        LINK_SLEEVE,
        when,
    );
}

/// What holds an axle sideways besides its links.
fn lateral(rows: &mut Vec<Row>) {
    rows.push(
        row(
            SOLID,
            LATERAL,
            Shape::Choice(&["none", "panhard bar", "watts linkage"]),
            default("none", "triangulated links hold the axle sideways"),
            "What holds the axle sideways besides its links",
        )
        .when(ON_AXLE),
    );
    link(
        rows,
        SOLID,
        "lateral.bar",
        "Panhard bar",
        &[("body", "end on the body"), ("axle", "end on the axle")],
        LINK_SLEEVE,
        PANHARD,
    );
    rows.push(
        row(
            SOLID,
            "lateral.pivot_on",
            Shape::Choice(&["axle", "body"]),
            default(
                "axle",
                "the crank on the differential's cover; common practice, no source",
            ),
            "Where the pivot of the Watt's crank is; its rods run to the other",
        )
        .when(WATTS),
    );
    rows.push(
        row(
            SOLID,
            "lateral.pivot_length",
            q("mm", 5.0, 300.0),
            default(
                "50 mm",
                "a bearing as long as the crank is thick; common practice, no source",
            ),
            "Length of the pivot's bearing along its axis",
        )
        .when(WATTS),
    );
    End {
        place: SOLID,
        path: "lateral.pivot",
        what: "Pivot of the Watt's crank",
        material: default(
            "hard plastic",
            "a plain bearing; common practice, no source",
        ),
        sleeve: Some("along the car"),
        when: WATTS,
    }
    .rows(rows);
    for side in ["left", "right"] {
        link(
            rows,
            SOLID,
            lasting(format!("lateral.{side}")),
            lasting(format!("Watt's {side} rod")),
            &[
                ("crank", "end on the crank"),
                (
                    "end",
                    "far end (on the body where the pivot is on the axle, else on the axle)",
                ),
            ],
            LINK_SLEEVE,
            WATTS,
        );
    }
}

/// A subframe on mounts of its own.
fn subframe(rows: &mut Vec<Row>) {
    rows.push(
        row(
            REAR,
            "subframe.type",
            Shape::Choice(&["rigid", "mounts"]),
            default(
                "rigid",
                "links bolt to the body or to a subframe that bolts to it",
            ),
            "What carries the inner ends of the links: the body, or a subframe on four mounts",
        )
        .when(ON_CORNER),
    );
    material(rows, REAR, "subframe", "Subframe on its mounts", MOUNTED);
    for end in ["front", "rear"] {
        End {
            place: REAR,
            path: lasting(format!("subframe.{end}")),
            what: lasting(format!("Subframe's left {end} mount")),
            material: Need::Optional("as subframe.material, else as links.material of this end"),
            sleeve: Some("upright"),
            when: MOUNTED,
        }
        .rows(rows);
    }
}
