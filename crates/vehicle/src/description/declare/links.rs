//! Entries of the links of both ends by their points: linkages, materials, subframe, and the travel
//! over which their curves are fitted.
//!
//! The left side is given and the right is its mirror image; a Panhard bar, a Watt's linkage and a
//! third link are as given.

use axletree_linkage::Material;

use super::common::WITH_LINKS;
use super::key::{ChoiceKind, EndKey, LinkEndKind, PointKind};
use super::row::{ConditionTest, Pattern, When, choice, q, table};
use super::shape::{EntryNeed, REQUIRED, default, optional};
use super::words::{LateralType, LinksType, PivotOn, SubframeType};

/// The words of `links.type` for a solid axle.
const AXLE_LINKS: &[&str] = &["four links", "three links", "torque arm", "five links"];
/// The words of `links.type` for two wheels sprung on their own; the last of them does not steer.
const CORNER_LINKS: &[&str] = &[
    "strut",
    "double wishbone",
    "multi-link",
    "semi-trailing arm",
];
const STEERED_LINKS: &[&str] = &["strut", "double wishbone", "multi-link"];

const LINKS: &str = "links.type";
const LATERAL: &str = "lateral.type";
const ON_AXLE: &[When] = &[(LINKS, ConditionTest::Is(AXLE_LINKS))];
const UPPER: &[When] = &[(
    LINKS,
    ConditionTest::Is(&["four links", "three links", "five links"]),
)];
const TORQUE_ARM: &[When] = &[(LINKS, ConditionTest::Is(&["torque arm"]))];
const PANHARD: &[When] = &[
    (LINKS, ConditionTest::Is(AXLE_LINKS)),
    (LATERAL, ConditionTest::Is(&["panhard bar"])),
];
const WATTS: &[When] = &[
    (LINKS, ConditionTest::Is(AXLE_LINKS)),
    (LATERAL, ConditionTest::Is(&["watts linkage"])),
];
const ON_CORNER: &[When] = &[(LINKS, ConditionTest::Is(CORNER_LINKS))];
const STRUT: &[When] = &[(LINKS, ConditionTest::Is(&["strut"]))];
const WISHBONES: &[When] = &[(LINKS, ConditionTest::Is(&["double wishbone"]))];
const ARM: &[When] = &[(LINKS, ConditionTest::Is(&["strut", "double wishbone"]))];
const TOE: &[When] = &[(LINKS, ConditionTest::Is(STEERED_LINKS))];
const MULTI: &[When] = &[(LINKS, ConditionTest::Is(&["multi-link"]))];
const SEMI: &[When] = &[(LINKS, ConditionTest::Is(&["semi-trailing arm"]))];
const MOUNTED: &[When] = &[
    (LINKS, ConditionTest::Is(CORNER_LINKS)),
    ("subframe.type", ConditionTest::Is(&["mounts"])),
];

const LOWER_ANY: &[When] = &[(
    LINKS,
    ConditionTest::Is(&[
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
    ConditionTest::Is(&["four links", "three links", "five links", "double wishbone"]),
)];
const ARM_ANY: &[When] = &[(
    LINKS,
    ConditionTest::Is(&["torque arm", "semi-trailing arm"]),
)];

/// Material of the ends of one part, where it states its own.
type PartMaterial = Option<ChoiceKind<Material>>;

/// The end of a link whose sleeve lies across it where no direction is given.
const LINK_SLEEVE: Pattern = sleeve("horizontal and square to the link");
/// An end whose sleeve the linkage settles.
const NO_SLEEVE: Pattern = Pattern::LinkEnd { sleeve: None };

/// An end of a link, with the direction of its sleeve where none is given.
const fn sleeve(absent: &'static str) -> Pattern {
    Pattern::LinkEnd {
        sleeve: Some(absent),
    }
}

/// Material of the ends of one part.
const LINK_MATERIAL: EntryNeed = optional("as links.material of this end");
/// Material of one end.
const END_MATERIAL: EntryNeed =
    optional("as the link's material, else as links.material of this end");
const BALL_JOINT: EntryNeed = default("spherical", "a ball joint");

/// `links.type` at either end.
pub const LINKS_TYPE: EndKey<Option<ChoiceKind<LinksType>>> =
    EndKey::of_rows(FRONT_LINKS_TYPE, REAR_LINKS_TYPE);

table! {
    /// The rows, in the order of a file.
    ROWS in Links by Index;

    front FRONT_LINKS_TYPE: Option<ChoiceKind<LinksType>> = "links.type",
        Pattern::Choice(STEERED_LINKS),
        optional("curves and compliance from coefficients"),
        "Kind of linkage given by its points, which settles curves, steering axis and compliance";
    rear REAR_LINKS_TYPE: Option<ChoiceKind<LinksType>> = "links.type", choice::<LinksType>(),
        optional("curves and compliance from coefficients"),
        "Kind of linkage given by its points, which settles curves, compliance and binding";
    both LINKS_MATERIAL: ChoiceKind<Material> = "links.material", choice::<Material>(),
        default("rubber", "as road cars leave the factory; common practice, no source"),
        "Material of the ends of all links of this end, where neither link nor end states its own",
        when WITH_LINKS;
    solid LINKS_HEAVE: f64 = "links.heave", q("mm", 10.0, 300.0),
        default("60 mm", "the travel of a road car between its stops; common practice, no source"),
        "Heave up and down over which the curves are fitted and binding is reported", when ON_AXLE;
    solid LINKS_ROLL: f64 = "links.roll", q("deg", 0.5, 15.0),
        default("5 deg", "some 65 mm at each wheel besides the heave; common practice, no source"),
        "Roll to both sides over which the curves are fitted and binding is reported", when ON_AXLE;
    independent LINKS_BUMP: f64 = "links.bump", q("mm", 10.0, 300.0),
        default("70 mm", "the travel of a road car between its stops; common practice, no source"),
        "Bump travel over which the curves are fitted and binding is reported", when ON_CORNER;
    independent LINKS_DROOP: f64 = "links.droop", q("mm", 10.0, 300.0),
        default("70 mm", "the travel of a road car between its stops; common practice, no source"),
        "Droop travel over which the curves are fitted and binding is reported", when ON_CORNER;

    // Materials of parts that several kinds of linkage have.
    both LINKS_LOWER_MATERIAL: PartMaterial = "links.lower.material", choice::<Material>(),
        LINK_MATERIAL,
        "Lower link or arm: material of its ends", when LOWER_ANY;
    both LINKS_UPPER_MATERIAL: PartMaterial = "links.upper.material", choice::<Material>(),
        LINK_MATERIAL,
        "Upper link or wishbone: material of its ends", when UPPER_ANY;
    rear LINKS_ARM_MATERIAL: PartMaterial = "links.arm.material", choice::<Material>(),
        LINK_MATERIAL,
        "Torque arm or semi-trailing arm: material of its ends", when ARM_ANY;

    // A solid axle.
    solid LINKS_LOWER_BODY: LinkEndKind = "links.lower.body", LINK_SLEEVE, END_MATERIAL,
        "Left lower link's end on the body", when ON_AXLE;
    solid LINKS_LOWER_AXLE: LinkEndKind = "links.lower.axle", LINK_SLEEVE, END_MATERIAL,
        "Left lower link's end on the axle", when ON_AXLE;
    solid LINKS_UPPER_BODY: LinkEndKind = "links.upper.body", LINK_SLEEVE, END_MATERIAL,
        "Upper link (the left one of two)'s end on the body", when UPPER;
    solid LINKS_UPPER_AXLE: LinkEndKind = "links.upper.axle", LINK_SLEEVE, END_MATERIAL,
        "Upper link (the left one of two)'s end on the axle", when UPPER;
    solid LINKS_ARM_MOUNT: LinkEndKind = "links.arm.mount", sleeve("across the car"), END_MATERIAL,
        "Torque arm's front mount, which holds height only", when TORQUE_ARM;

    // Struts and wishbones.
    independent LINKS_LOWER_FRONT: LinkEndKind = "links.lower.front", NO_SLEEVE, END_MATERIAL,
        "Left lower arm's front inner pivot", when ARM;
    independent LINKS_LOWER_REAR: LinkEndKind = "links.lower.rear", NO_SLEEVE, END_MATERIAL,
        "Left lower arm's rear inner pivot", when ARM;
    independent LINKS_LOWER_BALL: LinkEndKind = "links.lower.ball", NO_SLEEVE, BALL_JOINT,
        "Left lower arm's ball joint on the knuckle", when ARM;
    independent LINKS_UPPER_FRONT: LinkEndKind = "links.upper.front", NO_SLEEVE, END_MATERIAL,
        "Left upper wishbone's front inner pivot", when WISHBONES;
    independent LINKS_UPPER_REAR: LinkEndKind = "links.upper.rear", NO_SLEEVE, END_MATERIAL,
        "Left upper wishbone's rear inner pivot", when WISHBONES;
    independent LINKS_UPPER_BALL: LinkEndKind = "links.upper.ball", NO_SLEEVE, BALL_JOINT,
        "Left upper wishbone's ball joint on the knuckle", when WISHBONES;
    independent LINKS_TOP_MATERIAL: PartMaterial = "links.top.material", choice::<Material>(),
        LINK_MATERIAL,
        "Left strut's top: material of its ends", when STRUT;
    independent LINKS_TOP_MOUNT: LinkEndKind = "links.top.mount", NO_SLEEVE, END_MATERIAL,
        "Left strut's top's mount on the body, on the strut's axis", when STRUT;
    independent LINKS_FOOT: PointKind = "links.foot", Pattern::Point, REQUIRED,
        "Another point of the left strut's axis, fixed to the knuckle", when STRUT;

    // Rods of corners.
    independent LINKS_LOWER_FRONT_MATERIAL: PartMaterial = "links.lower_front.material",
        choice::<Material>(), LINK_MATERIAL,
        "Left lower front link: material of its ends", when MULTI;
    independent LINKS_LOWER_FRONT_INNER: LinkEndKind = "links.lower_front.inner", LINK_SLEEVE,
        END_MATERIAL,
        "Left lower front link's inner end", when MULTI;
    independent LINKS_LOWER_FRONT_OUTER: LinkEndKind = "links.lower_front.outer", LINK_SLEEVE,
        BALL_JOINT,
        "Left lower front link's outer end on the knuckle", when MULTI;
    independent LINKS_LOWER_REAR_MATERIAL: PartMaterial = "links.lower_rear.material",
        choice::<Material>(), LINK_MATERIAL,
        "Left lower rear link: material of its ends", when MULTI;
    independent LINKS_LOWER_REAR_INNER: LinkEndKind = "links.lower_rear.inner", LINK_SLEEVE,
        END_MATERIAL,
        "Left lower rear link's inner end", when MULTI;
    independent LINKS_LOWER_REAR_OUTER: LinkEndKind = "links.lower_rear.outer", LINK_SLEEVE,
        BALL_JOINT,
        "Left lower rear link's outer end on the knuckle", when MULTI;
    independent LINKS_UPPER_FRONT_MATERIAL: PartMaterial = "links.upper_front.material",
        choice::<Material>(), LINK_MATERIAL,
        "Left upper front link: material of its ends", when MULTI;
    independent LINKS_UPPER_FRONT_INNER: LinkEndKind = "links.upper_front.inner", LINK_SLEEVE,
        END_MATERIAL,
        "Left upper front link's inner end", when MULTI;
    independent LINKS_UPPER_FRONT_OUTER: LinkEndKind = "links.upper_front.outer", LINK_SLEEVE,
        BALL_JOINT,
        "Left upper front link's outer end on the knuckle", when MULTI;
    independent LINKS_UPPER_REAR_MATERIAL: PartMaterial = "links.upper_rear.material",
        choice::<Material>(), LINK_MATERIAL,
        "Left upper rear link: material of its ends", when MULTI;
    independent LINKS_UPPER_REAR_INNER: LinkEndKind = "links.upper_rear.inner", LINK_SLEEVE,
        END_MATERIAL,
        "Left upper rear link's inner end", when MULTI;
    independent LINKS_UPPER_REAR_OUTER: LinkEndKind = "links.upper_rear.outer", LINK_SLEEVE,
        BALL_JOINT,
        "Left upper rear link's outer end on the knuckle", when MULTI;
    independent LINKS_TOE_MATERIAL: PartMaterial = "links.toe.material", choice::<Material>(),
        LINK_MATERIAL,
        "Left toe link or tie rod: material of its ends", when TOE;
    independent LINKS_TOE_INNER: LinkEndKind = "links.toe.inner", LINK_SLEEVE, END_MATERIAL,
        "Left toe link or tie rod's inner end", when TOE;
    independent LINKS_TOE_OUTER: LinkEndKind = "links.toe.outer", LINK_SLEEVE, BALL_JOINT,
        "Left toe link or tie rod's outer end on the knuckle", when TOE;

    // A semi-trailing arm.
    rear LINKS_ARM_INNER: LinkEndKind = "links.arm.inner", NO_SLEEVE, END_MATERIAL,
        "Left semi-trailing arm's inner pivot on body or subframe", when SEMI;
    rear LINKS_ARM_OUTER: LinkEndKind = "links.arm.outer", NO_SLEEVE, END_MATERIAL,
        "Left semi-trailing arm's outer pivot on body or subframe", when SEMI;

    // Lateral location of an axle.
    solid LATERAL_TYPE: ChoiceKind<LateralType> = "lateral.type", choice::<LateralType>(),
        default("none", "triangulated links hold the axle sideways"),
        "Lateral location of the axle besides its links", when ON_AXLE;
    solid LATERAL_BAR_MATERIAL: PartMaterial = "lateral.bar.material", choice::<Material>(),
        LINK_MATERIAL,
        "Panhard bar: material of its ends", when PANHARD;
    solid LATERAL_BAR_BODY: LinkEndKind = "lateral.bar.body", LINK_SLEEVE, END_MATERIAL,
        "Panhard bar's end on the body", when PANHARD;
    solid LATERAL_BAR_AXLE: LinkEndKind = "lateral.bar.axle", LINK_SLEEVE, END_MATERIAL,
        "Panhard bar's end on the axle", when PANHARD;
    solid LATERAL_PIVOT_ON: ChoiceKind<PivotOn> = "lateral.pivot_on", choice::<PivotOn>(),
        default("axle", "the crank on the differential's cover; common practice, no source"),
        "Part that carries the pivot of the Watt's crank; its rods run to the other part",
        when WATTS;
    solid LATERAL_PIVOT_LENGTH: f64 = "lateral.pivot_length", q("mm", 5.0, 300.0),
        default("50 mm", "a bearing as long as the crank is thick; common practice, no source"),
        "Length of the pivot's bearing along its axis", when WATTS;
    solid LATERAL_PIVOT: LinkEndKind = "lateral.pivot", sleeve("along the car"),
        default("hard plastic", "a plain bearing; common practice, no source"),
        "Pivot of the Watt's crank", when WATTS;
    solid LATERAL_LEFT_MATERIAL: PartMaterial = "lateral.left.material", choice::<Material>(),
        LINK_MATERIAL,
        "Watt's left rod: material of its ends", when WATTS;
    solid LATERAL_LEFT_CRANK: LinkEndKind = "lateral.left.crank", LINK_SLEEVE, END_MATERIAL,
        "Watt's left rod's end on the crank", when WATTS;
    solid LATERAL_LEFT_END: LinkEndKind = "lateral.left.end", LINK_SLEEVE, END_MATERIAL,
        "Watt's left rod's far end (on the body where the pivot is on the axle, else on the \
         axle)", when WATTS;
    solid LATERAL_RIGHT_MATERIAL: PartMaterial = "lateral.right.material", choice::<Material>(),
        LINK_MATERIAL,
        "Watt's right rod: material of its ends", when WATTS;
    solid LATERAL_RIGHT_CRANK: LinkEndKind = "lateral.right.crank", LINK_SLEEVE, END_MATERIAL,
        "Watt's right rod's end on the crank", when WATTS;
    solid LATERAL_RIGHT_END: LinkEndKind = "lateral.right.end", LINK_SLEEVE, END_MATERIAL,
        "Watt's right rod's far end (on the body where the pivot is on the axle, else on the \
         axle)", when WATTS;

    // A subframe on mounts of its own.
    rear SUBFRAME_TYPE: ChoiceKind<SubframeType> = "subframe.type", choice::<SubframeType>(),
        default("rigid", "links bolt to the body or to a subframe that bolts to it"),
        "Part that carries the inner ends of the links: the body, or a subframe on four mounts",
        when ON_CORNER;
    rear SUBFRAME_MATERIAL: PartMaterial = "subframe.material", choice::<Material>(),
        LINK_MATERIAL,
        "Subframe on its mounts: material of its ends", when MOUNTED;
    rear SUBFRAME_FRONT: LinkEndKind = "subframe.front", sleeve("upright"),
        optional("as subframe.material, else as links.material of this end"),
        "Subframe's left front mount", when MOUNTED;
    rear SUBFRAME_REAR: LinkEndKind = "subframe.rear", sleeve("upright"),
        optional("as subframe.material, else as links.material of this end"),
        "Subframe's left rear mount", when MOUNTED;
}
