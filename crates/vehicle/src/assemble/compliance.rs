//! How the links of one end yield: what each wheel does alone, and what both wheels share.
//!
//! A shared part (an axle on its links, a subframe on its bushings) turns about its elastic center E
//! and shifts with it. With r the contact as seen from E, one wheel's forces make the moments
//!
//! ```text
//! M_z = r_x F_y - r_y F_x + moment of the tire,     M_x = h F_y        (h height of E)
//! ```
//!
//! and a turn of the part moves every contact by turn x r. What a lateral force does along the car,
//! and the reverse, is left out.

use super::End;
use crate::model::numbers::Compliance;

/// The matrices of one end; `y` are its contacts to the left: left, right [m].
pub(super) fn assemble(end: End<'_>, y: [f64; 2]) -> Compliance<f64> {
    let own = |name: &str| end.of(&format!("compliance.{name}"));
    let shared = |name: &str| end.of(&format!("shared.{name}"));

    // Toe-in is to the right on the left wheel: the sense is turned there.
    let alone = |value: f64| [[value, 0.0], [0.0, value]];
    let inward = |value: f64| [[-value, 0.0], [0.0, value]];
    let mut out = Compliance {
        toe_lateral: alone(own("toe_lateral")),
        toe_longitudinal: inward(own("toe_longitudinal")),
        toe_aligning: alone(own("toe_aligning")),
        toe_brake: inward(own("toe_brake")),
        tilt_lateral: alone(own("camber_lateral")),
        lateral: alone(own("lateral")),
        longitudinal: alone(own("longitudinal")),
    };

    let (yaw, roll) = (shared("yaw"), shared("roll"));
    let ahead = shared("center_ahead");
    let height = shared("center_height");
    for i in 0..2 {
        for j in 0..2 {
            out.toe_lateral[i][j] -= yaw * ahead;
            out.toe_longitudinal[i][j] -= yaw * y[j];
            out.toe_aligning[i][j] += yaw;
            out.tilt_lateral[i][j] += roll * height;
            out.lateral[i][j] += shared("lateral") + yaw * ahead * ahead + roll * height * height;
            out.longitudinal[i][j] += shared("longitudinal") + yaw * y[i] * y[j];
        }
    }
    out
}
