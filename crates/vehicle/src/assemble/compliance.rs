//! Compliance of the links of one end: of each wheel alone, and of the part that both wheels share.
//!
//! A shared part (an axle on its links, a subframe on its bushings) turns about its elastic center
//! E and shifts with it. With r the contact as seen from E, one wheel's forces make the moments
//!
//! ```text
//! M_z = r_x F_y - r_y F_x + moment of the tire,     M_x = h F_y        (h height of E)
//! ```
//!
//! and a turn of the part moves every contact by turn x r. The longitudinal effect of lateral
//! forces, and the reverse, is left out.

use super::end::EndEntries;
use crate::description::declare::keys;
use crate::model::numbers::Compliance;

/// The matrices of one end; `y` are its contacts to the left: left, right `[m]`.
pub(super) fn assemble(end: EndEntries<'_>, y: [f64; 2]) -> Compliance<f64> {
    // Toe-in is to the right on the left wheel: the sense is turned there.
    let alone = |value: f64| [[value, 0.0], [0.0, value]];
    let inward = |value: f64| [[-value, 0.0], [0.0, value]];
    let mut out = Compliance {
        toe_lateral: alone(end.value(keys::COMPLIANCE_TOE_LATERAL)),
        toe_longitudinal: inward(end.value(keys::COMPLIANCE_TOE_LONGITUDINAL)),
        toe_aligning: alone(end.value(keys::COMPLIANCE_TOE_ALIGNING)),
        toe_brake: inward(end.value(keys::COMPLIANCE_TOE_BRAKE)),
        tilt_lateral: alone(end.value(keys::COMPLIANCE_CAMBER_LATERAL)),
        lateral: alone(end.value(keys::COMPLIANCE_LATERAL)),
        longitudinal: alone(end.value(keys::COMPLIANCE_LONGITUDINAL)),
    };

    let (yaw, roll) = (end.value(keys::SHARED_YAW), end.value(keys::SHARED_ROLL));
    let ahead = end.value(keys::SHARED_CENTER_AHEAD);
    let height = end.value(keys::SHARED_CENTER_HEIGHT);
    for i in 0..2 {
        for j in 0..2 {
            out.toe_lateral[i][j] -= yaw * ahead;
            out.toe_longitudinal[i][j] -= yaw * y[j];
            out.toe_aligning[i][j] += yaw;
            out.tilt_lateral[i][j] += roll * height;
            out.lateral[i][j] +=
                end.value(keys::SHARED_LATERAL) + yaw * ahead * ahead + roll * height * height;
            out.longitudinal[i][j] += end.value(keys::SHARED_LONGITUDINAL) + yaw * y[i] * y[j];
        }
    }
    out
}
