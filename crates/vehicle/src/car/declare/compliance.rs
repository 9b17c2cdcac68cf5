//! Entries of how the links of both ends yield.

use super::{Place, Row, default, q, row};

const BOTH: Place = Place::Both;
const INDEPENDENT: Place = Place::BothIndependent;
const RIGID: &str = "links and bushings that do not yield in this way";

/// The rows, in the order of a file.
pub(super) const ROWS: &[Row] = &[
    // How each wheel's links yield.
    row(
        INDEPENDENT,
        "compliance.toe_lateral",
        q("deg/kN", -1.0, 1.0),
        default("0 deg/kN", RIGID),
        "Steer of a wheel per lateral force at its contact, positive toward the side the force points to",
    ),
    row(
        INDEPENDENT,
        "compliance.toe_longitudinal",
        q("deg/kN", -1.0, 1.0),
        default("0 deg/kN", RIGID),
        "Toe-in of a wheel per forward force at its contact",
    ),
    row(
        INDEPENDENT,
        "compliance.toe_aligning",
        q("deg/(kN*m)", 0.0, 20.0),
        default("0 deg/(kN*m)", RIGID),
        "Steer of a wheel per aligning moment, in the sense of the moment",
    ),
    row(
        INDEPENDENT,
        "compliance.toe_brake",
        q("deg/(kN*m)", -5.0, 5.0),
        default("0 deg/(kN*m)", RIGID),
        "Toe-in of a wheel per brake torque on it, besides what the longitudinal force does",
    ),
    row(
        INDEPENDENT,
        "compliance.camber_lateral",
        q("deg/kN", 0.0, 2.0),
        default("0 deg/kN", RIGID),
        "Lean of a wheel per lateral force at its contact, top away from where the force points",
    ),
    row(
        INDEPENDENT,
        "compliance.lateral",
        q("mm/kN", 0.0, 20.0),
        default("0 mm/kN", RIGID),
        "Sideways yield of a wheel per lateral force at its contact",
    ),
    row(
        INDEPENDENT,
        "compliance.longitudinal",
        q("mm/kN", 0.0, 20.0),
        default("0 mm/kN", RIGID),
        "Fore-and-aft yield of a wheel per longitudinal force at its contact",
    ),
    // How what both wheels share yields: the axle on its links, or a subframe on its bushings.
    row(
        BOTH,
        "shared.lateral",
        q("mm/kN", 0.0, 20.0),
        default("0 mm/kN", RIGID),
        "Sideways yield of axle or subframe per lateral force through its elastic center",
    ),
    row(
        BOTH,
        "shared.longitudinal",
        q("mm/kN", 0.0, 20.0),
        default("0 mm/kN", RIGID),
        "Fore-and-aft yield of axle or subframe per longitudinal force of both wheels",
    ),
    row(
        BOTH,
        "shared.yaw",
        q("deg/(kN*m)", 0.0, 5.0),
        default("0 deg/(kN*m)", RIGID),
        "Turn of axle or subframe about a vertical axis per moment about it",
    ),
    row(
        BOTH,
        "shared.center_ahead",
        q("mm", -1000.0, 1000.0),
        default("0 mm", "on the axle line"),
        "Elastic center of axle or subframe ahead of the axle line: lateral force turns it where not 0",
    ),
    row(
        INDEPENDENT,
        "shared.roll",
        q("deg/(kN*m)", 0.0, 5.0),
        default("0 deg/(kN*m)", RIGID),
        "Turn of the subframe about a longitudinal axis per moment of the lateral forces about it",
    ),
    row(
        INDEPENDENT,
        "shared.center_height",
        q("mm", 0.0, 800.0),
        default(
            "300 mm",
            "about wheel-center height; common practice, no source",
        ),
        "Elastic center of the subframe above the road",
    ),
];
