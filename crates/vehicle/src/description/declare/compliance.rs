//! Entries of the compliance of both ends, as coefficients.

use super::row::{q, table};
use super::shape::default;

const RIGID: &str = "rigid links and bushings";

table! {
    /// The rows, in the order of a file.
    ROWS in Compliance by Index;

    // Compliance of each wheel alone.
    independent COMPLIANCE_TOE_LATERAL: f64 = "compliance.toe_lateral", q("deg/kN", -1.0, 1.0),
        default("0 deg/kN", RIGID),
        "Steer of a wheel per lateral force at its contact, positive toward the side the force \
         points to";
    independent COMPLIANCE_TOE_LONGITUDINAL: f64 = "compliance.toe_longitudinal",
        q("deg/kN", -1.0, 1.0),
        default("0 deg/kN", RIGID),
        "Toe-in of a wheel per forward force at its contact";
    independent COMPLIANCE_TOE_ALIGNING: f64 = "compliance.toe_aligning",
        q("deg/(kN*m)", 0.0, 20.0),
        default("0 deg/(kN*m)", RIGID),
        "Steer of a wheel per aligning moment, in the sense of the moment";
    independent COMPLIANCE_TOE_BRAKE: f64 = "compliance.toe_brake", q("deg/(kN*m)", -5.0, 5.0),
        default("0 deg/(kN*m)", RIGID),
        "Toe-in of a wheel per brake torque on it, besides the effect of the longitudinal force";
    independent COMPLIANCE_CAMBER_LATERAL: f64 = "compliance.camber_lateral", q("deg/kN", 0.0, 2.0),
        default("0 deg/kN", RIGID),
        "Lean of a wheel per lateral force at its contact, top away from where the force points";
    independent COMPLIANCE_LATERAL: f64 = "compliance.lateral", q("mm/kN", 0.0, 20.0),
        default("0 mm/kN", RIGID),
        "Lateral deflection of a wheel per lateral force at its contact";
    independent COMPLIANCE_LONGITUDINAL: f64 = "compliance.longitudinal", q("mm/kN", 0.0, 20.0),
        default("0 mm/kN", RIGID),
        "Longitudinal deflection of a wheel per longitudinal force at its contact";

    // Compliance of what both wheels share: an axle on its links, or a subframe on its bushings.
    both SHARED_LATERAL: f64 = "shared.lateral", q("mm/kN", 0.0, 20.0), default("0 mm/kN", RIGID),
        "Lateral deflection of axle or subframe per lateral force through its elastic center";
    both SHARED_LONGITUDINAL: f64 = "shared.longitudinal", q("mm/kN", 0.0, 20.0),
        default("0 mm/kN", RIGID),
        "Longitudinal deflection of axle or subframe per longitudinal force of both wheels";
    both SHARED_YAW: f64 = "shared.yaw", q("deg/(kN*m)", 0.0, 5.0), default("0 deg/(kN*m)", RIGID),
        "Turn of axle or subframe about a vertical axis per moment about it";
    both SHARED_CENTER_AHEAD: f64 = "shared.center_ahead", q("mm", -1000.0, 1000.0),
        default("0 mm", "on the axle line"),
        "Elastic center of axle or subframe ahead of the axle line: lateral force turns it where \
         not 0";
    independent SHARED_ROLL: f64 = "shared.roll", q("deg/(kN*m)", 0.0, 5.0),
        default("0 deg/(kN*m)", RIGID),
        "Turn of the subframe about a longitudinal axis per moment of the lateral forces about it";
    independent SHARED_CENTER_HEIGHT: f64 = "shared.center_height", q("mm", 0.0, 800.0),
        default("300 mm", "about wheel-center height; common practice, no source"),
        "Elastic center of the subframe above the road";
}
