//! The linear car with roll about a horizontal axis; form of Segel 1956-57 (from memory):
//! m(v' + V r) - m_s h p' = F_f + F_r; I_z r' - I_xz p' = a F_f - b F_r;
//! (I_x + m_s h^2) p' - m_s h (v' + V r) - I_xz r' = -(K_phi - m_s g h) phi - C_phi p,
//! with roll steer: alpha_f = steer + e_f phi - (v + a r)/V, alpha_r = e_r phi - (v - b r)/V.

use nalgebra::{DMatrix, DVector};

/// Parameters.
#[derive(Clone, Copy, Debug)]
pub struct ThreeDof {
    /// Mass `[kg]`.
    pub mass: f64,
    /// Sprung mass `[kg]`.
    pub sprung: f64,
    /// Height of the sprung center over the roll axis `[m]`.
    pub arm: f64,
    /// Yaw inertia `[kg*m^2]`.
    pub yaw_inertia: f64,
    /// Roll inertia about the roll axis `[kg*m^2]`.
    pub roll_inertia: f64,
    /// Roll-yaw product of inertia `[kg*m^2]`.
    pub product: f64,
    /// Distance from the center of mass to the front axle `[m]`.
    pub a: f64,
    /// Distance from the center of mass to the rear axle `[m]`.
    pub b: f64,
    /// Cornering stiffness of the front axle `[N/rad]`.
    pub front: f64,
    /// Cornering stiffness of the rear axle `[N/rad]`.
    pub rear: f64,
    /// Roll stiffness `[N*m/rad]`.
    pub roll_stiffness: f64,
    /// Roll damping `[N*m*s/rad]`.
    pub roll_damping: f64,
    /// Roll steer, front and rear `[-]`.
    pub roll_steer: [f64; 2],
    /// Acceleration of gravity `[m/s^2]`.
    pub gravity: f64,
}

/// Validation case Y7's inputs (invented).
pub const Y7: ThreeDof = ThreeDof {
    mass: 1500.0,
    sprung: 1350.0,
    arm: 0.45,
    yaw_inertia: 2500.0,
    roll_inertia: 550.0,
    product: 60.0,
    a: 1.1,
    b: 1.6,
    front: 110e3,
    rear: 120e3,
    roll_stiffness: 62e3,
    roll_damping: 4.2e3,
    roll_steer: [-0.02, 0.05],
    gravity: 9.80665,
};

impl ThreeDof {
    /// States (v_y, r, phi, p), input road-wheel angle.
    #[expect(
        clippy::missing_panics_doc,
        reason = "a wrong call is a mistake of the caller"
    )]
    pub fn matrices(&self, v: f64) -> (DMatrix<f64>, DVector<f64>) {
        let s = self;
        let msh = s.sprung * s.arm;
        let inertia = DMatrix::from_row_slice(
            4,
            4,
            &[
                s.mass,
                0.0,
                0.0,
                -msh,
                0.0,
                s.yaw_inertia,
                0.0,
                -s.product,
                0.0,
                0.0,
                1.0,
                0.0,
                -msh,
                -s.product,
                0.0,
                s.roll_inertia + msh * s.arm,
            ],
        );
        let (cf, cr, a, b) = (s.front, s.rear, s.a, s.b);
        let [ef, er] = s.roll_steer;
        let right = DMatrix::from_row_slice(
            4,
            4,
            &[
                -(cf + cr) / v,
                -(a * cf - b * cr) / v - s.mass * v,
                cf * ef + cr * er,
                0.0,
                -(a * cf - b * cr) / v,
                -(a * a * cf + b * b * cr) / v,
                a * cf * ef - b * cr * er,
                0.0,
                0.0,
                0.0,
                0.0,
                1.0,
                0.0,
                msh * v,
                -(s.roll_stiffness - msh * s.gravity),
                -s.roll_damping,
            ],
        );
        let input = DVector::from_row_slice(&[cf, a * cf, 0.0, 0.0]);
        let lu = inertia.lu();
        (lu.solve(&right).unwrap(), lu.solve(&input).unwrap())
    }
}
