//! The tires of one end: slip memory on the compliance that the two wheels share, and forces.
//!
//! The deflection e of a contact is that of the carcass and of the linkage together. Forces of one
//! wheel may move the other (an axle, a subframe), so per direction, with C the symmetric matrix of
//! linkage compliance plus the carcass compliances on its diagonal,
//!
//! ```text
//! e_i = sum_j C_ij K_j zeta_j        =>        zeta_j = (C^-1 e)_j / K_j
//! ```
//!
//! with zeta the remembered slip and K the slip stiffness at zero slip (Pacejka, *Tire and Vehicle
//! Dynamics*, 3rd ed. 2012, ch. 7, for a single wheel: relaxation length = K C).

use axletree_scalar::Real;
use axletree_tire::{TireContact, TireForce, driving_velocity, rolling_sense};

use super::contact::RoadContact;
use super::numbers::Wheel;
use super::precomputed::EndPrecomputed;

/// Forces, slips and deflection rates of the tires of one end, left first.
#[derive(Clone, Copy, Debug)]
pub struct EndGrip<T> {
    /// Forces and moments of the road on each tire.
    pub force: [TireForce<T>; 2],
    /// Moment of rolling resistance about each wheel axis `[N*m]`.
    pub rolling_moment: [T; 2],
    /// Slip at each contact: forward, left `[rad]`.
    pub slip: [[T; 2]; 2],
    /// Rates of the deflections: forward, left, of each wheel `[m/s]`.
    pub deflection_rate: [[T; 2]; 2],
}

/// Remembered slip of wheel `i` in one direction, from the deflections of both wheels.
#[inline(always)]
fn remembered<T: Real>(rigid: &[[T; 2]; 2], e: [T; 2], inverse: T, i: usize) -> T {
    rigid[i][0].mul_add(e[0], rigid[i][1] * e[1]) * inverse
}

/// Forces of the road on the two tires of one end, and the rates of their deflections. `deflection`
/// is forward and left of each wheel `[m]`.
#[inline(always)]
pub fn end_grip<T: Real>(
    contacts: &[RoadContact<T>; 2],
    wheels: [&Wheel<T>; 2],
    pre: &EndPrecomputed<T>,
    deflection: [[T; 2]; 2],
    friction: T,
) -> EndGrip<T> {
    let [t0, t1] = [&wheels[0].tire, &wheels[1].tire];
    let [along, across] = &pre.rigid;
    let grips: [TireContact<T>; 2] = [
        t0.contact(contacts[0].load, contacts[0].inclination, friction),
        t1.contact(contacts[1].load, contacts[1].inclination, friction),
    ];
    let sense = [
        rolling_sense(contacts[0].rolling),
        rolling_sense(contacts[1].rolling),
    ];

    // Remembered slip of each wheel from the deflections of both.
    let slip_stiffness = [grips[0].memory_stiffness(), grips[1].memory_stiffness()];
    let (along_e, across_e) = (
        [deflection[0][0], deflection[1][0]],
        [deflection[0][1], deflection[1][1]],
    );
    let mut deflection_rate = [[T::zero(); 2]; 2];
    let mut zeta = [[T::zero(); 2]; 2];
    let mut inverse = [[T::zero(); 2]; 2];
    for i in 0..2 {
        let c = &contacts[i];
        // One division for both directions.
        let both = (slip_stiffness[i][0] * slip_stiffness[i][1]).recip();
        inverse[i] = [slip_stiffness[i][1] * both, slip_stiffness[i][0] * both];
        zeta[i] = [
            remembered(along, along_e, inverse[i][0], i),
            remembered(across, across_e, inverse[i][1], i),
        ];
        let own = [
            slip_stiffness[i][0] * pre.diagonal_compliance[0][i],
            slip_stiffness[i][1] * pre.diagonal_compliance[1][i],
        ];
        let drive = driving_velocity(c.sliding, c.rolling, grips[i].camber_slip);
        deflection_rate[i] = grips[i].deflection_rate(zeta[i], drive, c.rolling, own);
    }

    let (along_rate, across_rate) = (
        [deflection_rate[0][0], deflection_rate[1][0]],
        [deflection_rate[0][1], deflection_rate[1][1]],
    );
    let mut slip = [[T::zero(); 2]; 2];
    for i in 0..2 {
        let zeta_rate = [
            remembered(along, along_rate, inverse[i][0], i),
            remembered(across, across_rate, inverse[i][1], i),
        ];
        slip[i] = grips[i].contact_slip(zeta[i], zeta_rate);
    }
    EndGrip {
        force: [
            grips[0].force(slip[0], sense[0]),
            grips[1].force(slip[1], sense[1]),
        ],
        rolling_moment: [
            grips[0].rolling_moment(t0.unloaded_radius - contacts[0].deflection, sense[0]),
            grips[1].rolling_moment(t1.unloaded_radius - contacts[1].deflection, sense[1]),
        ],
        slip,
        deflection_rate,
    }
}
