//! The tires of one end: slip memory over the compliance that two wheels share, and forces.
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
use axletree_tire::combined::rolling_sense;
use axletree_tire::{Contact as Grip, TireForce, slip};

use super::contact::Contact;
use super::numbers::{Compliance, Wheel};

/// What the tires of one end do, left first.
#[derive(Clone, Copy, Debug)]
pub struct EndGrip<T> {
    /// Forces and moments of the road on each tire.
    pub force: [TireForce<T>; 2],
    /// Moment of rolling resistance about each wheel axis [N m].
    pub rolling_moment: [T; 2],
    /// Slip at each contact: forward, left [rad].
    pub slip: [[T; 2]; 2],
    /// Rates of the deflections: forward, left, of each wheel [m/s].
    pub deflection_rate: [[T; 2]; 2],
}

/// The inverse of a symmetric 2 x 2 compliance with the carcasses in series [N/m].
#[inline(always)]
fn stiffness<T: Real>(linkage: &[[T; 2]; 2], carcass: [T; 2]) -> [[T; 2]; 2] {
    let a = linkage[0][0] + carcass[0].recip();
    let d = linkage[1][1] + carcass[1].recip();
    let (b, c) = (linkage[0][1], linkage[1][0]);
    let inverse = (a * d - b * c).recip();
    [
        [d * inverse, -(b * inverse)],
        [-(c * inverse), a * inverse],
    ]
}

/// Forces of the road on the two tires of one end, and how the slip memory moves.
#[inline(always)]
pub fn end_grip<T: Real>(
    contacts: &[Contact<T>; 2],
    wheels: [&Wheel<T>; 2],
    compliance: &Compliance<T>,
    deflection: [[T; 2]; 2],
    friction: T,
) -> EndGrip<T> {
    let grips: [Grip<T>; 2] = std::array::from_fn(|i| {
        wheels[i]
            .tire
            .contact(contacts[i].load, contacts[i].inclination, friction)
    });
    let held = grips.map(|g| g.memory_stiffness());

    // Remembered slip of each wheel: forward and left each over both wheels.
    let tires = wheels.map(|w| &w.tire);
    let rigid = [
        stiffness(&compliance.longitudinal, tires.map(|t| t.x.carcass_stiffness)),
        stiffness(&compliance.lateral, tires.map(|t| t.y.carcass_stiffness)),
    ];
    let inverse: [[T; 2]; 2] = held.map(|k| [k[0].recip(), k[1].recip()]);
    let remembered = |e: [[T; 2]; 2], wheel: usize| -> [T; 2] {
        std::array::from_fn(|d| {
            (rigid[d][wheel][0] * e[0][d] + rigid[d][wheel][1] * e[1][d]) * inverse[wheel][d]
        })
    };

    let own: [[T; 2]; 2] = std::array::from_fn(|i| {
        std::array::from_fn(|d| held[i][d] / rigid[d][i][i])
    });
    let zeta: [[T; 2]; 2] = std::array::from_fn(|i| remembered(deflection, i));
    let deflection_rate: [[T; 2]; 2] = std::array::from_fn(|i| {
        let c = &contacts[i];
        let drive = slip::drive(c.sliding, c.rolling, grips[i].camber_slip);
        grips[i].deflection_rate(zeta[i], drive, c.rolling, own[i])
    });
    let slip: [[T; 2]; 2] = std::array::from_fn(|i| {
        grips[i].contact_slip(zeta[i], remembered(deflection_rate, i))
    });

    let sense = contacts.map(|c| rolling_sense(c.rolling));
    EndGrip {
        force: std::array::from_fn(|i| grips[i].force(slip[i], sense[i])),
        rolling_moment: std::array::from_fn(|i| {
            let loaded = wheels[i].tire.unloaded_radius - contacts[i].deflection;
            grips[i].rolling_moment(loaded, sense[i])
        }),
        slip,
        deflection_rate,
    }
}
