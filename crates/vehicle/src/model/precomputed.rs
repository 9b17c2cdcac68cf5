//! Quotients and inverses that depend on a car's numbers alone, computed once for many evaluations.
//!
//! Computed by the same operations in every caller, so that a car evaluated once and a car
//! evaluated many times give the same bits.

use axletree_scalar::{Real, numbers};

use super::numbers::{Compliance, Driveline, Numbers, Rear, Wheel};
use super::steering::KnuckleTurn;

/// Share of the highest engine speed over which the limiter takes the torque away `[-]`.
pub(super) const LIMITER_BAND: f64 = 0.03;

numbers! {
    /// Stiffnesses and inverses of one end.
    pub struct EndPrecomputed {
        /// Stiffness of linkage and carcasses in series, `[direction][of wheel][by wheel]` with the
        /// directions along and across `[N/m]`.
        pub rigid: [[[T; 2]; 2]; 2],
        /// One over its diagonal, `[direction][wheel]` `[m/N]`.
        pub diagonal_compliance: [[T; 2]; 2],
        /// One over the spin inertia of each wheel `[1/(kg*m^2)]`.
        pub inverse_spin: [T; 2],
    }

    /// Inverses of the divisors of the driveline's equations.
    pub struct DrivelineInverses {
        /// One over the stiffness of a half shaft `[rad/(N*m)]`.
        pub shaft: T,
        /// One over the stiffness of the clutch `[rad/(N*m)]`.
        pub clutch: T,
        /// One over the inertia of the engine `[1/(kg*m^2)]`.
        pub engine: T,
        /// One over the inertia of the housing that winds up `[1/(kg*m^2)]`.
        pub housing: T,
        /// One over the lag of the throttle `[1/s]`.
        pub throttle: T,
        /// One over the span of speed of the torque's fall `[s/rad]`.
        pub fall: T,
        /// One over the span of speed of the limiter `[s/rad]`.
        pub limiter: T,
        /// One over the efficiency `[-]`.
        pub efficiency: T,
        /// The propeller shaft's sense over the final drive `[-]`.
        pub sense: T,
    }

    /// Quotients and inverses of a whole car.
    pub struct Precomputed {
        /// Front and rear.
        pub ends: [EndPrecomputed<T>; 2],
        /// Turns of the front knuckles by the angles of their wheels: left, right.
        pub knuckles: [KnuckleTurn<T>; 2],
        /// Driveline.
        pub driveline: DrivelineInverses<T>,
        /// One over the angle limits of the front links' ends, for the energy of binding: left,
        /// right `[1/rad]`.
        pub front_limits: [[T; 3]; 2],
        /// The same of the rear: of an axle, or the left corner's before the right's `[1/rad]`.
        pub rear_limits: [T; 6],
        /// One over the time constant of toe, lean and twist under load `[1/s]`.
        pub inverse_lag: T,
    }
}

/// The inverse of a symmetric 2 x 2 compliance with the carcasses in series `[N/m]`.
#[inline(always)]
fn stiffness<T: Real>(linkage: &[[T; 2]; 2], carcass: [T; 2]) -> [[T; 2]; 2] {
    let a = linkage[0][0] + carcass[0].recip();
    let d = linkage[1][1] + carcass[1].recip();
    let (b, c) = (linkage[0][1], linkage[1][0]);
    let inverse = a.mul_add(d, -(b * c)).recip();
    [[d * inverse, -(b * inverse)], [-(c * inverse), a * inverse]]
}

impl<T: Real> EndPrecomputed<T> {
    #[inline(always)]
    fn of(compliance: &Compliance<T>, wheels: [&Wheel<T>; 2]) -> Self {
        let [a, b] = [&wheels[0].tire, &wheels[1].tire];
        let rigid = [
            stiffness(
                &compliance.longitudinal,
                [a.x.carcass_stiffness, b.x.carcass_stiffness],
            ),
            stiffness(
                &compliance.lateral,
                [a.y.carcass_stiffness, b.y.carcass_stiffness],
            ),
        ];
        let [along, across] = &rigid;
        EndPrecomputed {
            diagonal_compliance: [
                [along[0][0].recip(), along[1][1].recip()],
                [across[0][0].recip(), across[1][1].recip()],
            ],
            rigid,
            inverse_spin: [
                wheels[0].spin_inertia.recip(),
                wheels[1].spin_inertia.recip(),
            ],
        }
    }
}

impl<T: Real> DrivelineInverses<T> {
    /// Inverses of a driveline.
    #[inline(always)]
    pub fn of(line: &Driveline<T>) -> Self {
        DrivelineInverses {
            shaft: line.half_shafts.stiffness.recip(),
            clutch: line.clutch.stiffness.recip(),
            engine: line.engine.inertia.recip(),
            housing: line.windup.inertia.recip(),
            throttle: line.throttle_lag.recip(),
            fall: line.engine.fall_span.recip(),
            limiter: line.engine.limit.scale(LIMITER_BAND).recip(),
            efficiency: line.efficiency.recip(),
            sense: line.propshaft_sense / line.final_drive,
        }
    }
}

impl<T: Real> Precomputed<T> {
    /// Quotients and inverses of a car.
    #[inline(always)]
    pub fn of(numbers: &Numbers<T>) -> Self {
        let [a, b] = &numbers.front.side;
        let (rear, rear_limits) = match &numbers.rear {
            Rear::Independent(corners) => {
                let [a, b] = &corners.side;
                let [p, q, r] = a.binding.inverse_limits();
                let [s, t, u] = b.binding.inverse_limits();
                (
                    EndPrecomputed::of(&corners.compliance, [&a.wheel, &b.wheel]),
                    [p, q, r, s, t, u],
                )
            }
            Rear::Solid(axle) => {
                let [a, b] = &axle.side;
                (
                    EndPrecomputed::of(&axle.compliance, [&a.wheel, &b.wheel]),
                    axle.binding.inverse_limits(),
                )
            }
        };
        Precomputed {
            ends: [
                EndPrecomputed::of(&numbers.front.compliance, [&a.wheel, &b.wheel]),
                rear,
            ],
            knuckles: [KnuckleTurn::of(a), KnuckleTurn::of(b)],
            driveline: DrivelineInverses::of(&numbers.chassis.driveline),
            front_limits: [a.binding.inverse_limits(), b.binding.inverse_limits()],
            rear_limits,
            inverse_lag: numbers.chassis.lag.recip(),
        }
    }
}
