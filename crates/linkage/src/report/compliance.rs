//! Compliance of the left wheel.

use axletree_report::{Column, Quantity};

use crate::compliance::{ByWheel, EndCompliance};

/// Toe by lateral force.
const TOE_LATERAL: Quantity = Quantity::new(
    "toe_by_lateral_force",
    "rad/N",
    "Steer to the left per force to the left at the contact",
);
/// Toe by longitudinal force.
const TOE_LONGITUDINAL: Quantity = Quantity::new(
    "toe_by_longitudinal_force",
    "rad/N",
    "Steer to the left per force forward at the wheel center",
);
/// Toe by aligning moment.
const TOE_ALIGNING: Quantity = Quantity::new(
    "toe_by_aligning_moment",
    "rad/(N*m)",
    "Steer to the left per moment about the vertical",
);
/// Toe by brake torque.
const TOE_BRAKE: Quantity = Quantity::new(
    "toe_by_brake_torque",
    "rad/(N*m)",
    "Steer to the left per brake torque",
);
/// Tilt by lateral force.
const TILT_LATERAL: Quantity = Quantity::new(
    "tilt_by_lateral_force",
    "rad/N",
    "Lean to the right per force to the left at the contact",
);
/// Lateral displacement by lateral force.
const LATERAL: Quantity = Quantity::new(
    "lateral_by_lateral_force",
    "m/N",
    "Displacement to the left per force to the left at the contact",
);
/// Longitudinal displacement by longitudinal force.
const LONGITUDINAL: Quantity = Quantity::new(
    "longitudinal_by_longitudinal_force",
    "m/N",
    "Displacement forward per force forward at the wheel center",
);

impl EndCompliance {
    /// Compliance of the left wheel: by its own load, by the load of the right wheel.
    pub(super) fn columns(&self) -> Vec<Column> {
        let left = |quantity: Quantity, matrix: ByWheel| Column {
            quantity,
            values: matrix[0].to_vec(),
        };
        let c = &self.wheels;
        vec![
            left(TOE_LATERAL, c.toe_lateral),
            left(TOE_LONGITUDINAL, c.toe_longitudinal),
            left(TOE_ALIGNING, c.toe_aligning),
            left(TOE_BRAKE, c.toe_brake),
            left(TILT_LATERAL, c.tilt_lateral),
            left(LATERAL, c.lateral),
            left(LONGITUDINAL, c.longitudinal),
        ]
    }

    /// Stiffness against wind-up; none where nothing winds up `[N*m/rad]`.
    pub fn windup_stiffness(&self) -> Option<f64> {
        (self.windup > 0.0).then(|| self.windup.recip())
    }
}
