//! Broken car files: each ends in the right fault at the right place, all faults at once.

use axletree_linkage::LinkageError;
use axletree_vehicle::Car;
use axletree_vehicle::{CarError, Fault, FaultKind};

/// A solid axle by coefficients.
fn good() -> &'static str {
    include_str!("../cars/bramble-solid-by-coefficients.toml")
}

/// The same axle on three links by their points, with more lines under `[rear.links]`.
fn three_links(lateral: &str, more: &str) -> String {
    let text = good();
    let cut = |text: &str, table: &str| {
        let at = text.find(&format!("[{table}]\n")).expect("a table");
        let end = at + text[at..].find("\n\n").expect("a table's end") + 2;
        format!("{}{}", &text[..at], &text[end..])
    };
    let text = cut(&cut(text, "rear.geometry"), "rear.shared");
    format!(
        "{text}\n[rear.links]\ntype = \"three links\"\n\
         lower.body = {{ x = \"520 mm\", y = \"480 mm\", z = \"250 mm\" }}\n\
         lower.axle = {{ x = \"0 mm\", y = \"500 mm\", z = \"220 mm\" }}\n\
         upper.body = {{ x = \"300 mm\", y = \"0 mm\", z = \"430 mm\" }}\n\
         upper.axle = {{ x = \"0 mm\", y = \"0 mm\", z = \"460 mm\" }}\n\
         {more}\n[rear.lateral]\n{lateral}\n"
    )
}

const PANHARD: &str = "type = \"panhard bar\"\n\
     bar.body = { x = \"-120 mm\", y = \"-450 mm\", z = \"300 mm\" }\n\
     bar.axle = { x = \"-120 mm\", y = \"450 mm\", z = \"260 mm\" }";

const NAME: &str = "name = \"Bramble, solid axle by coefficients\"";

/// The good file with a piece replaced; the piece must be there.
fn with(old: &str, new: &str) -> String {
    assert!(good().contains(old), "{old} is not in the file");
    good().replacen(old, new, 1)
}

/// The good file with lines put under a table's header.
fn under(table: &str, lines: &str) -> String {
    with(&format!("[{table}]\n"), &format!("[{table}]\n{lines}\n"))
}

/// Without the line that starts with `start` in a table.
fn without(table: &str, start: &str) -> String {
    let at = good().find(&format!("[{table}]\n")).expect("a table");
    let line = at + good()[at..].find(&format!("\n{start}")).expect("a line") + 1;
    let end = line + good()[line..].find('\n').expect("a line's end") + 1;
    format!("{}{}", &good()[..line], &good()[end..])
}

fn error(text: &str) -> CarError {
    Car::from_toml(text, Some("broken.toml")).expect_err("a broken file")
}

/// The only fault of a file.
#[track_caller]
fn only(text: &str) -> Fault {
    let error = error(text);
    assert_eq!(error.faults.len(), 1, "{error}");
    error.faults[0].clone()
}

fn line_of(text: &str, piece: &str) -> usize {
    let at = text.find(piece).expect("a piece of the text");
    text[..at].matches('\n').count() + 1
}

/// Number of kinds of faults.
const KINDS: usize = 46;

/// A name for every kind; a new kind must be named here, counted, and tested.
fn name(kind: &FaultKind) -> &'static str {
    use FaultKind as K;
    match kind {
        K::Unreadable { .. } => "unreadable",
        K::Unwritable { .. } => "unwritable",
        K::NotText { .. } => "not text",
        K::TooLarge { .. } => "too large",
        K::Syntax { .. } => "syntax",
        K::TooDeep { .. } => "too deep",
        K::Duplicate => "duplicate",
        K::More { .. } => "more",
        K::UnknownKey { .. } => "unknown key",
        K::NotApplicable { .. } => "not applicable",
        K::Missing { .. } => "missing",
        K::WrongType { .. } => "wrong type",
        K::TextTooLong { .. } => "text too long",
        K::ControlCharacter { .. } => "control character",
        K::NotANumber { .. } => "not a number",
        K::NotFinite => "not finite",
        K::MissingUnit { .. } => "missing unit",
        K::UnknownUnit { .. } => "unknown unit",
        K::MalformedUnit { .. } => "malformed unit",
        K::WrongDimension { .. } => "wrong dimension",
        K::OutOfRange => "out of range",
        K::UnknownChoice { .. } => "unknown choice",
        K::GivenTwice { .. } => "given twice",
        K::CenterOutsideWheelbase { .. } => "center outside wheelbase",
        K::NoLoad { .. } => "lifted wheel",
        K::WeightsDisagree { .. } => "weights disagree",
        K::WeightsTooLight { .. } => "weights too light",
        K::WallTooThick { .. } => "wall too thick",
        K::BearingsCross { .. } => "bearings cross",
        K::ArmTooShort { .. } => "arm too short",
        K::WireTooThick { .. } => "wire too thick",
        K::SettingBeyondClicks { .. } => "setting beyond clicks",
        K::SettingTakesAll { .. } => "setting takes all",
        K::TireOverloaded { .. } => "flat tires",
        K::PressureTakesAll { .. } => "pressure takes all",
        K::ImpossibleInertia { .. } => "impossible inertia",
        K::BodyNarrowerThanTrack { .. } => "body narrower than track",
        K::SpringPulls { .. } => "spring pulls",
        K::SpeedsOutOfOrder { .. } => "engine speeds out of order",
        K::PowerAboveTorque { .. } => "power above torque",
        K::NotHeldSideways { .. } => "not held sideways",
        K::Linkage { .. } => "linkage",
        K::NoSteeringAxis => "no steering axis",
        K::WheelRateNegative { .. } => "wheel rate",
        K::WheelRateTooLow { .. } => "wheel rate under weight",
        K::RollStiffnessTooLow { .. } => "roll stiffness",
    }
}

type Check = fn(&FaultKind) -> bool;

/// Broken file, path of its only fault, test of the fault.
#[expect(clippy::too_many_lines, reason = "a table, one row per broken file")]
fn single_faults() -> Vec<(&'static str, String, &'static str, Check)> {
    use FaultKind as K;
    vec![
        (
            "three links alone",
            three_links("type = \"none\"", ""),
            "rear.lateral.type",
            |k| matches!(k, K::NotHeldSideways { links } if links == "three links"),
        ),
        (
            "a point of another kind of links",
            three_links(PANHARD, "top.mount.x = \"1 mm\""),
            "rear.links.top.mount.x",
            |k| matches!(k, K::NotApplicable { needs } if needs == "rear.type = \"independent\""),
        ),
        (
            "a point that is missing",
            three_links(&PANHARD.replace(", z = \"260 mm\"", ""), ""),
            "rear.lateral.bar.axle.z",
            |k| matches!(k, K::Missing { .. }),
        ),
        (
            "coefficients beside links",
            three_links(PANHARD, "[rear.geometry]\nroll_steer = \"0.1 deg/deg\""),
            "rear.geometry.roll_steer",
            |k| matches!(k, K::GivenTwice { other } if other == "rear.links.type"),
        ),
        (
            "a link without a length",
            three_links(
                &PANHARD.replace("\"-450", "\"450").replace("300", "260"),
                "",
            ),
            "rear.lateral.bar",
            |k| matches!(k, K::Linkage { error: LinkageError::TooShort { name, .. } } if name == "Panhard bar"),
        ),
        (
            "a bar along the car holds nothing sideways",
            three_links(
                &PANHARD
                    .replace(
                        "x = \"-120 mm\", y = \"-450 mm\"",
                        "x = \"400 mm\", y = \"450 mm\"",
                    )
                    .replace("300", "260"),
                "",
            ),
            "rear.links.lower",
            |k| {
                matches!(
                    k,
                    K::Linkage {
                        error: LinkageError::FreedomLeft { .. } | LinkageError::Toggles { .. }
                    }
                )
            },
        ),
        (
            "bare number",
            with("outer_diameter = \"22 mm\"", "outer_diameter = 22"),
            "rear.bar.outer_diameter",
            |k| matches!(k, K::MissingUnit { .. }),
        ),
        (
            "number in a text without a unit",
            with("outer_diameter = \"22 mm\"", "outer_diameter = \"22\""),
            "rear.bar.outer_diameter",
            |k| matches!(k, K::MissingUnit { .. }),
        ),
        (
            "wrong dimension",
            with("outer_diameter = \"22 mm\"", "outer_diameter = \"22 kg\""),
            "rear.bar.outer_diameter",
            |k| matches!(k, K::WrongDimension { expected, found, .. } if expected == "a length" && found == "a mass"),
        ),
        (
            "pound of mass for a force",
            with("rate = \"33 kN/m\"", "rate = \"190 lb/in\""),
            "front.spring.rate",
            |k| matches!(k, K::WrongDimension { hint, .. } if hint.contains("lbf/in")),
        ),
        (
            "divisor without parentheses",
            with("yaw = \"0.12 deg/(kN*m)\"", "yaw = \"0.12 deg/kN*m\""),
            "rear.shared.yaw",
            |k| matches!(k, K::WrongDimension { hint, .. } if hint.contains("deg/(kN*m)")),
        ),
        (
            "unknown unit",
            with("outer_diameter = \"22 mm\"", "outer_diameter = \"22 mmm\""),
            "rear.bar.outer_diameter",
            |k| matches!(k, K::UnknownUnit { nearest: Some(n), .. } if n == "mm"),
        ),
        (
            "unit that cannot be read",
            with("rate = \"33 kN/m\"", "rate = \"33 kN/(m\""),
            "front.spring.rate",
            |k| matches!(k, K::MalformedUnit { .. }),
        ),
        (
            "unit of ninety letters",
            with(
                "rate = \"33 kN/m\"",
                &format!("rate = \"33 {}\"", "k".repeat(90)),
            ),
            "front.spring.rate",
            |k| matches!(k, K::MalformedUnit { .. }),
        ),
        (
            "hyphen in a unit",
            with("stiffness = \"350 N*m/deg\"", "stiffness = \"350 N-m/deg\""),
            "steering.stiffness",
            |k| matches!(k, K::MalformedUnit { .. }),
        ),
        (
            "too large",
            with("outer_diameter = \"22 mm\"", "outer_diameter = \"220 mm\""),
            "rear.bar.outer_diameter",
            |k| matches!(k, K::OutOfRange),
        ),
        (
            "negative",
            with("pressure = \"32 psi\"", "pressure = \"-32 psi\""),
            "front.tire.pressure",
            |k| matches!(k, K::OutOfRange),
        ),
        (
            "wrong unit, right dimension",
            with("wheelbase = \"2.57 m\"", "wheelbase = \"2.57 mm\""),
            "wheelbase",
            |k| matches!(k, K::OutOfRange),
        ),
        (
            "number out of range",
            with("front_share = 0.66", "front_share = 66"),
            "brakes.front_share",
            |k| matches!(k, K::OutOfRange),
        ),
        (
            "words for a number",
            with("rate = \"33 kN/m\"", "rate = \"stiff\""),
            "front.spring.rate",
            |k| matches!(k, K::NotANumber { .. }),
        ),
        (
            "thousands comma",
            with("mass = \"1130 kg\"", "mass = \"1,130 kg\""),
            "chassis.mass",
            |k| matches!(k, K::NotANumber { .. }),
        ),
        (
            "empty text",
            with("rate = \"33 kN/m\"", "rate = \"\""),
            "front.spring.rate",
            |k| matches!(k, K::NotANumber { .. }),
        ),
        (
            "not a number in a text",
            with("rate = \"33 kN/m\"", "rate = \"nan kN/m\""),
            "front.spring.rate",
            |k| matches!(k, K::NotFinite),
        ),
        (
            "infinity in a text",
            with("rate = \"33 kN/m\"", "rate = \"-inf kN/m\""),
            "front.spring.rate",
            |k| matches!(k, K::NotFinite),
        ),
        (
            "overflow",
            with("rate = \"33 kN/m\"", "rate = \"1e400 kN/m\""),
            "front.spring.rate",
            |k| matches!(k, K::NotFinite),
        ),
        (
            "bare nan",
            with("ratio = 15", "ratio = nan"),
            "steering.ratio",
            |k| matches!(k, K::NotFinite),
        ),
        (
            "bare inf",
            with("ratio = 15", "ratio = +inf"),
            "steering.ratio",
            |k| matches!(k, K::NotFinite),
        ),
        (
            "flag for a number",
            with("ratio = 15", "ratio = true"),
            "steering.ratio",
            |k| matches!(k, K::WrongType { found, .. } if *found == "true or false"),
        ),
        (
            "array for a number",
            with("ratio = 15", "ratio = [15]"),
            "steering.ratio",
            |k| matches!(k, K::WrongType { found, .. } if *found == "an array"),
        ),
        (
            "date for a number",
            with("ratio = 15", "ratio = 2024-02-29"),
            "steering.ratio",
            |k| matches!(k, K::WrongType { .. }),
        ),
        (
            "table for a number",
            with("ratio = 15", "ratio = { value = 15 }"),
            "steering.ratio",
            |k| matches!(k, K::WrongType { found, .. } if *found == "a table"),
        ),
        ("number for a text", with(NAME, "name = 5"), "name", |k| {
            matches!(k, K::WrongType { .. })
        }),
        (
            "name of two hundred and one letters",
            with(NAME, &format!("name = \"{}\"", "\u{e9}".repeat(201))),
            "name",
            |k| {
                matches!(
                    k,
                    K::TextTooLong {
                        length: 201,
                        limit: 200
                    }
                )
            },
        ),
        (
            "quantity of many digits",
            with(
                "rate = \"33 kN/m\"",
                &format!("rate = \"33.{} kN/m\"", "0".repeat(100)),
            ),
            "front.spring.rate",
            |k| matches!(k, K::TextTooLong { length: 108, .. }),
        ),
        (
            "name of two lines",
            with(NAME, "name = \"Bramble\\nsecond line\""),
            "name",
            |k| {
                matches!(
                    k,
                    K::ControlCharacter {
                        character: '\n',
                        lines: false
                    }
                )
            },
        ),
        (
            "note that colors the terminal",
            with(NAME, &format!("{NAME}\nnote = \"fast\\u001b[31m\"")).replacen(
                "note = \"Inv",
                "# \"Inv",
                1,
            ),
            "note",
            |k| {
                matches!(
                    k,
                    K::ControlCharacter {
                        character: '\u{1b}',
                        lines: true
                    }
                )
            },
        ),
        (
            "key of a hundred names",
            good().replacen(
                "\n[body]",
                &format!("\n{}a = 1\n[body]", "a.".repeat(100)),
                1,
            ),
            "",
            |k| {
                matches!(
                    k,
                    K::TooDeep {
                        limit: 80,
                        needed: 6
                    }
                )
            },
        ),
        (
            "array in eighty arrays",
            with(
                "ratio = 15",
                &format!("ratio = {}{}", "[".repeat(90), "]".repeat(90)),
            ),
            "",
            |k| matches!(k, K::TooDeep { .. }),
        ),
        (
            "spring that loses its motion ratio in bump",
            under("front.spring", "motion_ratio_slope = \"-15 1/m\""),
            "front.spring.motion_ratio_slope",
            |k| matches!(k, K::WheelRateNegative { end: "front", rate } if *rate < 0.0),
        ),
        (
            "flag for a choice",
            with("type = \"open\"", "type = false"),
            "rear.differential.type",
            |k| matches!(k, K::WrongType { .. }),
        ),
        (
            "unknown choice",
            with("type = \"open\"", "type = \"opne\""),
            "rear.differential.type",
            |k| matches!(k, K::UnknownChoice { nearest: Some(n), .. } if n == "open"),
        ),
        (
            "unknown kind of rear end",
            with("type = \"solid\"", "type = \"floating\""),
            "rear.type",
            |k| matches!(k, K::UnknownChoice { nearest: None, .. }),
        ),
        (
            "mistyped key",
            under("steering", "ackerman = 0.4"),
            "steering.ackerman",
            |k| matches!(k, K::UnknownKey { nearest: Some(n) } if n == "steering.ackermann"),
        ),
        (
            "key in the wrong table",
            under("steering", "outer_diameter = \"20 mm\""),
            "steering.outer_diameter",
            |k| matches!(k, K::UnknownKey { nearest: Some(n) } if n.ends_with("bar.outer_diameter")),
        ),
        (
            "unknown table",
            format!("{}\n[turbo]\nboost = 3\nlag = 4\n", good()),
            "turbo",
            |k| matches!(k, K::UnknownKey { .. } | K::WrongType { .. }),
        ),
        (
            "array of tables",
            good().replace("[rear.wheel]", "[[rear.wheel]]"),
            "rear.wheel",
            |_| true,
        ),
        (
            "missing",
            without("front.unsprung", "mass"),
            "front.unsprung.mass",
            |k| matches!(k, K::Missing { .. }),
        ),
        (
            "no mass and no weights",
            without("chassis", "mass"),
            "chassis.mass",
            |k| matches!(k, K::Missing { .. }),
        ),
        (
            "no spring",
            without("front.spring", "rate"),
            "front.spring.rate",
            |k| matches!(k, K::Missing { .. }),
        ),
        (
            "bar without a length",
            without("front.bar", "length"),
            "front.bar.length",
            |k| matches!(k, K::Missing { .. }),
        ),
        (
            "axle's bar without its spacing",
            without("rear.bar", "spacing"),
            "rear.bar.spacing",
            |k| matches!(k, K::Missing { .. }),
        ),
        (
            "entry of the other rear end",
            under("rear", "camber = \"-1 deg\""),
            "rear.camber",
            |k| matches!(k, K::NotApplicable { needs } if needs == "rear.type = \"independent\""),
        ),
        (
            "rate and wire",
            under("front.spring", "wire_diameter = \"13 mm\""),
            "front.spring.wire_diameter",
            |k| matches!(k, K::GivenTwice { .. }),
        ),
        (
            "wire thicker than its coil",
            with(
                "rate = \"33 kN/m\"",
                "wire_diameter = \"30 mm\"\ncoil_diameter = \"50 mm\"\nactive_coils = 6",
            ),
            "front.spring.wire_diameter",
            |k| matches!(k, K::WireTooThick { .. }),
        ),
        (
            "wall beyond the radius",
            with(
                "outer_diameter = \"22 mm\"",
                "outer_diameter = \"22 mm\"\nwall = \"12 mm\"",
            ),
            "rear.bar.wall",
            |k| matches!(k, K::WallTooThick { .. }),
        ),
        (
            "bearings beyond the middle",
            with("bearing_inset = \"60 mm\"", "bearing_inset = \"480 mm\""),
            "rear.bar.bearing_inset",
            |k| matches!(k, K::BearingsCross { .. }),
        ),
        (
            "arm shorter than its lever",
            with(
                "arm_bend_length = \"280 mm\"\nbearing_inset = \"60 mm\"",
                "arm_bend_length = \"250 mm\"\nbearing_inset = \"60 mm\"",
            ),
            "rear.bar.arm_bend_length",
            |k| matches!(k, K::ArmTooShort { .. }),
        ),
        (
            "setting beyond the clicks",
            under("rear.damper", "setting = 3"),
            "rear.damper.setting",
            |k| matches!(k, K::SettingBeyondClicks { .. }),
        ),
        (
            "adjuster that takes all damping",
            under(
                "rear.damper",
                "setting = 10\nclicks = 10\nbump.per_click = -0.1",
            ),
            "rear.damper.bump.per_click",
            |k| matches!(k, K::SettingTakesAll { .. }),
        ),
        (
            "center of gravity behind the rear axle",
            with(
                "center_behind_front_axle = \"1.138 m\"",
                "center_behind_front_axle = \"2.9 m\"",
            ),
            "chassis.center_behind_front_axle",
            |k| matches!(k, K::CenterOutsideWheelbase { .. }),
        ),
        (
            "center of gravity ahead of the front axle",
            with(
                "center_behind_front_axle = \"1.138 m\"",
                "center_behind_front_axle = \"-0.4 m\"",
            ),
            "chassis.center_behind_front_axle",
            |k| matches!(k, K::CenterOutsideWheelbase { .. }),
        ),
        (
            "impossible inertia",
            with(
                "yaw_inertia = \"1620 kg*m^2\"",
                "yaw_inertia = \"2000 kg*m^2\"",
            ),
            "chassis.yaw_inertia",
            |k| matches!(k, K::ImpossibleInertia { .. }),
        ),
        (
            "body narrower than the wheels",
            with("width = \"1.70 m\"", "width = \"1.475 m\""),
            "body.width",
            |k| matches!(k, K::BodyNarrowerThanTrack { .. }),
        ),
        (
            "flat tires",
            with(
                "vertical_stiffness = \"210 kN/m\"",
                "vertical_stiffness = \"25 kN/m\"",
            ),
            "front.tire.unloaded_radius",
            |k| matches!(k, K::TireOverloaded { .. }),
        ),
        (
            "pressure that takes all stiffness",
            with(
                "vertical_damping = \"200 N*s/m\"",
                "vertical_damping = \"200 N*s/m\"\ncarcass_pressure = 2\nnominal_pressure = \"500 kPa\"",
            ),
            "front.tire.carcass_pressure",
            |k| matches!(k, K::PressureTakesAll { .. }),
        ),
        (
            "unsprung weight above the load",
            under("chassis", "cross_weight = 0.3\ncenter_left = \"480 mm\""),
            "front.unsprung.mass",
            |k| matches!(k, K::SpringPulls { side: "right", .. }),
        ),
        (
            "power at a lower engine speed than the torque",
            under("engine", "peak_torque_speed = \"7000 rpm\""),
            "engine.peak_power_speed",
            |k| matches!(k, K::SpeedsOutOfOrder { below, .. } if *below == "engine.peak_torque_speed"),
        ),
        (
            "a power that the torque does not give",
            under("engine", "peak_torque = \"150 N*m\""),
            "engine.peak_power",
            |k| matches!(k, K::PowerAboveTorque { torque, .. } if (torque - 150.0).abs() < 1e-9),
        ),
        (
            "duplicate key",
            with("ratio = 15", "ratio = 15\nratio = 16"),
            "",
            |k| matches!(k, K::Duplicate),
        ),
        (
            "some of the corner weights",
            format!(
                "{}\n[weights]\nfront_left = \"350 kg\"\nfront_right = \"350 kg\"\nrear_left = \"310 kg\"\n",
                good()
            ),
            "weights.rear_right",
            |k| matches!(k, K::Missing { .. }),
        ),
        (
            "corner weights against the mass",
            format!(
                "{}\n[weights]\nfront_left = \"360 kg\"\nfront_right = \"360 kg\"\nrear_left = \"310 kg\"\nrear_right = \"310 kg\"\n",
                good()
            ),
            "chassis.mass",
            |k| matches!(k, K::WeightsDisagree { .. }),
        ),
        (
            "corner weights below the parts",
            format!(
                "{}\n[weights]\nfront_left = \"50 kg\"\nfront_right = \"50 kg\"\nrear_left = \"50 kg\"\nrear_right = \"50 kg\"\n",
                good()
            ),
            "weights.front_left",
            |k| matches!(k, K::WeightsTooLight { .. }),
        ),
    ]
}

#[test]
fn every_single_fault_is_told_at_its_place() {
    let cases = single_faults();
    assert!(cases.len() >= 40);
    let mut seen = std::collections::BTreeSet::new();
    for (what, text, path, check) in cases {
        let error = error(&text);
        if what == "array of tables" {
            // The entries of the table are told beside it.
            assert!(
                error.faults.iter().any(|f| f.path.starts_with(path)),
                "{what}: {error}"
            );
            continue;
        }
        if what == "flat tires" {
            assert_eq!(error.faults.len(), 2, "{error}");
            assert!(
                error
                    .faults
                    .iter()
                    .all(|f| f.path == path && check(&f.kind)),
                "{error}"
            );
            continue;
        }
        assert_eq!(error.faults.len(), 1, "{what}: {error}");
        let fault = &error.faults[0];
        assert_eq!(fault.path, path, "{what}: {error}");
        assert!(check(&fault.kind), "{what}: {error}");
        // The message carries file, path and reads as a sentence.
        let message = error.to_string();
        assert!(
            message.contains("broken.toml") && message.contains(path),
            "{message}"
        );
        seen.insert(name(&fault.kind));
    }
    // With those of whole files, which have tests of their own, every kind of fault is met.
    seen.extend([
        "flat tires",
        "lifted wheel",
        "unreadable",
        "unwritable",
        "not text",
        "too large",
        "syntax",
        "more",
        // Of a front end on links, in the tests of links.
        "no steering axis",
        // In the tests of cars that do not stay at their ride height.
        "wheel rate under weight",
        "roll stiffness",
    ]);
    assert_eq!(seen.len(), KINDS, "{seen:?}");
}

#[test]
fn messages_say_what_was_read_where_and_what_is_allowed() {
    let text = with("outer_diameter = \"22 mm\"", "outer_diameter = \"220 mm\"");
    let fault = only(&text);
    assert_eq!(fault.line, Some(line_of(&text, "\"220 mm\"")));
    assert_eq!(fault.read.as_deref(), Some("\"220 mm\""));
    assert_eq!(fault.unit.as_deref(), Some("mm"));
    assert_eq!(fault.allowed, Some([0.0, 60.0]));
    let message = error(&text).to_string();
    assert!(
        message
            .contains("rear.bar.outer_diameter = \"220 mm\" is out of range (allowed: 0 to 60 mm)"),
        "{message}"
    );
    // A check between entries finds its line too.
    let text = with(
        "outer_diameter = \"22 mm\"",
        "outer_diameter = \"22 mm\"\nwall = \"12 mm\"",
    );
    assert_eq!(only(&text).line, Some(line_of(&text, "wall =")));
}

#[test]
fn all_faults_are_reported_together() {
    let text = with("outer_diameter = \"22 mm\"", "outer_diameter = \"22 kg\"")
        .replacen("ratio = 15", "ratio = -1", 1)
        .replacen("pressure = \"32 psi\"", "pressure = \"32 furlong\"", 1)
        .replacen("[body]", "[body]\ncolour = \"red\"", 1)
        .replacen("peak_power = \"150 kW\"", "", 1);
    let error = error(&text);
    let paths: Vec<&str> = error.faults.iter().map(|f| f.path.as_str()).collect();
    assert_eq!(
        paths,
        [
            "body.colour",
            "steering.ratio",
            "front.tire.pressure",
            "rear.bar.outer_diameter",
            "engine.peak_power",
        ]
    );
    // In the order of the file.
    assert!(error.faults[..4].windows(2).all(|w| w[0].line < w[1].line));
}

#[test]
fn syntax_and_other_faults_are_told_together() {
    let text = with("ratio = 15", "ratio = = 15").replacen("r = \"22 mm\"", "r = \"22 kg\"", 1);
    let error = error(&text);
    assert!(
        error
            .faults
            .iter()
            .any(|f| matches!(f.kind, FaultKind::Syntax { .. })
                && f.line == Some(line_of(&text, "= = 15"))),
        "{error}"
    );
    assert!(
        error
            .faults
            .iter()
            .any(|f| f.path == "rear.bar.outer_diameter"),
        "{error}"
    );
}

#[test]
fn a_car_that_cannot_stand_is_refused() {
    let lifted = under("chassis", "cross_weight = 0.7\ncenter_left = \"480 mm\"");
    let error = error(&lifted);
    assert!(
        error
            .faults
            .iter()
            .all(|f| matches!(f.kind, FaultKind::NoLoad { load, .. } if load <= 0.0)),
        "{error}"
    );
    assert_eq!(error.faults[0].path, "chassis.cross_weight");
}

/// Control characters of keys, values, units and names of files are escaped: a message has one line
/// for each fault, and nothing in it acts on a terminal.
#[test]
fn control_characters_are_escaped() {
    let bell = "\\u0007\\u001b[31m\\nfalse line\\u202e\\u0000";
    for text in [
        with("ratio = 15", &format!("ratio = \"{bell}\"")),
        with("ratio = 15", &format!("ratio = \"15 {bell}\"")),
        with("ratio = 15", &format!("ratio = \"15 m{bell}\"")),
        with("type = \"open\"", &format!("type = \"{bell}\"")),
        with("ratio = 15", &format!("ratio = 15\n\"{bell}\" = 1")),
        with("ratio = 15", &format!("ratio = 15\n\"{bell}\".b = 1")),
        with(
            "ratio = 15",
            &format!("ratio = 15\n[\"{bell}\"]\na = 1\n[steering]"),
        ),
        with(NAME, &format!("name = \"{bell}\"")),
        with("ratio = 15", "ratio = \u{1b}[31m"),
        with("ratio = 15", "ratio = 15\u{7}"),
        with("ratio = 15", "ra\u{1b}tio = 15"),
    ] {
        let error = Car::from_toml(&text, Some("a\u{1b}[2J\nb.toml")).unwrap_err();
        let message = error.to_string();
        assert_eq!(message.lines().count(), error.faults.len() + 1, "{message}");
        let seen = |text: &str| text.chars().all(|c| !c.is_control() && c != '\u{202e}');
        assert!(message.lines().all(seen), "{message:?}");
        assert!(message.starts_with("a\\u{1b}[2J\\nb.toml has"), "{message}");
        for fault in &error.faults {
            assert!(
                seen(&fault.path) && fault.read.as_deref().is_none_or(seen),
                "{fault:?}"
            );
        }
    }
    let car = Car::from_toml(good(), None).unwrap();
    let error = car.get("wheel\u{1b}base").unwrap_err();
    assert!(
        error
            .to_string()
            .contains("wheel\\u{1b}base is not an entry"),
        "{error}"
    );
}

/// Between a number and its unit any space is read; it is kept as one that is seen.
#[test]
fn spaces_of_quantities_are_kept_plain() {
    let car = Car::from_toml(&with("= \"33 kN/m\"", "= \"33\\t\\nkN/m\""), None).unwrap();
    let entry = car.get("front.spring.rate").unwrap();
    assert_eq!(entry.written.as_deref(), Some("33  kN/m"));
    assert_eq!(car, Car::from_toml(good(), None).unwrap());
}

#[test]
fn a_fault_without_a_place_gets_its_line() {
    let deep = "a.".repeat(100) + "a = 1";
    let fault = only(&good().replacen("\n[body]", &format!("\n{deep}\n[body]"), 1));
    assert_eq!(fault.line, Some(line_of(good(), "[body]")));
    let text = fault.to_string();
    assert!(text.ends_with("a car file needs 6 levels"), "{text}");
    // Dots in a comment or a text are no key.
    let dots = format!(
        "# {}\nnote = \"{}\"\n{deep}\n",
        ".".repeat(100),
        ".".repeat(100)
    );
    let text =
        good()
            .replacen("note = ", "# ", 1)
            .replacen("\n[body]", &format!("\n{dots}\n[body]"), 1);
    assert_eq!(only(&text).line, Some(line_of(&text, &deep)));
}
