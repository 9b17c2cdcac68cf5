//! Compliance matrices of the two wheels of one end.

use axletree_scalar::numbers;

/// A matrix `[of wheel][by wheel]`, left first.
pub type ByWheel = [[f64; 2]; 2];

numbers! {
    /// Quasi-static compliance of the links of one end. Every matrix is `[of wheel][by wheel]`,
    /// left first, with forces and displacements forward and left, moments and angles by the
    /// right-hand rule, so that on both sides toe is positive to the left and tilt positive with
    /// the top to the right.
    pub struct Compliance {
        /// Toe by lateral force at the patch `[rad/N]`.
        pub toe_lateral: [[T; 2]; 2],
        /// Toe by longitudinal force at the wheel center `[rad/N]`.
        pub toe_longitudinal: [[T; 2]; 2],
        /// Toe by aligning moment `[rad/(N*m)]`.
        pub toe_aligning: [[T; 2]; 2],
        /// Toe by brake torque, positive when it slows a wheel that rolls forward `[rad/(N*m)]`.
        pub toe_brake: [[T; 2]; 2],
        /// Tilt by lateral force at the patch `[rad/N]`.
        pub tilt_lateral: [[T; 2]; 2],
        /// Lateral displacement of the patch by lateral force there, symmetric `[m/N]`.
        pub lateral: [[T; 2]; 2],
        /// Longitudinal displacement of the wheel center by longitudinal force there, symmetric
        /// `[m/N]`.
        pub longitudinal: [[T; 2]; 2],
    }
}

/// Compliance of one end, from its links, in axes of the body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EndCompliance {
    /// Matrices of the equations of motion.
    pub wheels: Compliance<f64>,
    /// Tilt by longitudinal force at the wheel center `[rad/N]`.
    pub tilt_longitudinal: ByWheel,
    /// Toe by longitudinal force at the patch fixed to the carrier `[rad/N]`.
    pub toe_patch: ByWheel,
    /// Longitudinal displacement of the patch fixed to the carrier by force there `[m/N]`.
    pub longitudinal_patch: ByWheel,
    /// Wind-up: turn about the wheels' axis of the body that carries the differential (an axle on
    /// its links, a subframe on its mounts), per torque about it; zero for corners on the body
    /// `[rad/(N*m)]`.
    pub windup: f64,
}
