//! The car at rest: wheels, masses, center of mass.

use super::wheel_at_rest::WheelAtRest;
use crate::description::rear::ChassisWeights;

/// A mass at a point, in the frame of the car at rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PointMass {
    /// Mass `[kg]`.
    pub mass: f64,
    /// Place `[m]`.
    pub at: [f64; 3],
}

/// A car at rest on its wheels, the body level at ride height.
#[derive(Clone, Copy, Debug)]
pub(crate) struct StaticEquilibrium {
    /// Front left, front right, rear left and rear right wheel.
    pub wheels: [WheelAtRest; 4],
    /// Mass of the whole car `[kg]`.
    pub mass: f64,
    /// Its center `[m]`.
    pub center: [f64; 3],
    /// The sprung car without its rear end.
    pub chassis: PointMass,
    /// The rear end's sprung parts.
    pub rear_sprung: PointMass,
    /// Roll of a solid rear axle, left side up `[rad]`.
    pub axle_roll: f64,
    /// Half the distance between the wheel centers of a solid axle `[m]`.
    pub half_track: f64,
    /// Share of the weight on the front right and rear left wheels `[-]`.
    pub cross_weight: f64,
}

impl StaticEquilibrium {
    /// The contacts of one end, left of the center of mass: left, right `[m]`.
    pub(super) fn contacts_left(&self, end: usize) -> [f64; 2] {
        [0, 1].map(|side| self.wheels[2 * end + side].contact[1] - self.center[1])
    }

    /// Mass and center of the chassis, and the cross weight, in place of corner weights.
    pub fn chassis_weights(&self) -> ChassisWeights {
        ChassisWeights {
            mass: self.chassis.mass,
            behind: -self.chassis.at[0],
            left: self.chassis.at[1],
            cross_weight: self.cross_weight,
        }
    }
}

/// Mass and center of several masses.
pub(super) fn together(parts: &[PointMass]) -> PointMass {
    let mass: f64 = parts.iter().map(|p| p.mass).sum();
    let at = std::array::from_fn(|k| parts.iter().map(|p| p.mass * p.at[k]).sum::<f64>() / mass);
    PointMass { mass, at }
}
