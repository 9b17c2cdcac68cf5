//! Entries of points and of link ends.

use super::{Need, Place, Row, Shape, When, q, row};

/// What ends can be made of.
pub(super) const MATERIALS: &[&str] = &["rubber", "polyurethane", "hard plastic", "spherical"];

/// Of an end that does not say what it is made of.
pub(super) const END_DEFAULT: Need =
    Need::Optional("as the link's material, else as links.material of this end");

/// A text of a table that is made once and kept.
pub(super) fn lasting(text: String) -> &'static str {
    Box::leak(text.into_boxed_str())
}

/// The three coordinates of a point.
pub(super) fn point(
    rows: &mut Vec<Row>,
    place: Place,
    path: &str,
    what: &str,
    need: Need,
    when: &'static [When],
) {
    for (axis, low, high, words) in [
        ("x", -2500.0, 2500.0, "ahead of this end's axle line"),
        ("y", -1500.0, 1500.0, "left of the center plane"),
        ("z", -200.0, 1500.0, "above the road at ride height"),
    ] {
        rows.push(
            row(
                place,
                lasting(format!("{path}.{axis}")),
                q("mm", low, high),
                need,
                lasting(format!("{what}: {words}")),
            )
            .when(when),
        );
    }
}

/// A direction, which may be absent.
pub(super) fn direction(
    rows: &mut Vec<Row>,
    place: Place,
    path: &str,
    what: &str,
    absent: &'static str,
    when: &'static [When],
) {
    for (axis, words) in [("x", "forward"), ("y", "to the left"), ("z", "upward")] {
        rows.push(
            row(
                place,
                lasting(format!("{path}.{axis}")),
                q("", -1.0, 1.0),
                Need::Optional(absent),
                lasting(format!("{what}: its part {words}; any length does")),
            )
            .when(when),
        );
    }
}

/// One end of a link.
pub(super) struct End {
    pub place: Place,
    pub path: &'static str,
    pub what: &'static str,
    /// What it is made of where it does not say so.
    pub material: Need,
    /// What direction its sleeve has where none is given; nothing where the linkage settles it.
    pub sleeve: Option<&'static str>,
    pub when: &'static [When],
}

impl End {
    /// Point, material, rates in place of the material's, direction of the sleeve.
    pub fn rows(&self, rows: &mut Vec<Row>) {
        let &End {
            place,
            path,
            what,
            material,
            sleeve,
            when,
        } = self;
        point(rows, place, path, what, Need::Required, when);
        rows.push(
            row(
                place,
                lasting(format!("{path}.material")),
                Shape::Choice(MATERIALS),
                material,
                lasting(format!("{what}: what it is made of")),
            )
            .when(when),
        );
        for (name, unit, low, high, words) in [
            ("radial", "kN/mm", 0.01, 1000.0, "rate square to its sleeve"),
            ("axial", "kN/mm", 0.01, 1000.0, "rate along its sleeve"),
            (
                "torsional",
                "N*m/deg",
                0.0,
                1000.0,
                "rate of a turn about its sleeve",
            ),
            (
                "conical",
                "N*m/deg",
                0.0,
                2000.0,
                "rate of a tilt of its sleeve",
            ),
            (
                "tilt_limit",
                "deg",
                0.5,
                60.0,
                "tilt at which it runs solid",
            ),
        ] {
            rows.push(
                row(
                    place,
                    lasting(format!("{path}.{name}")),
                    q(unit, low, high),
                    Need::Optional("as its material has it"),
                    lasting(format!("{what}: {words}")),
                )
                .when(when),
            );
        }
        if let Some(absent) = sleeve {
            direction(
                rows,
                place,
                &format!("{path}.sleeve"),
                &format!("{what}: direction of its sleeve"),
                absent,
                when,
            );
        }
    }
}
