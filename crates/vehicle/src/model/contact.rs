//! Geometry and velocities of the contact between wheel and road.
//!
//! The wheel is a thin disc with axis n (turned by compliance), the road has the normal k:
//!
//! ```text
//! sin g = n . k,  t = n x k / cos g  (forward),  l = k x t  (left),  e_r = t x n  (up in the disc)
//! R_l = H / cos g,  rho = R_0 - R_l,  C = c - R_l e_r,  N = F_r / cos g
//! ```
//!
//! H is the height of the wheel center c over the road, rho the deflection of the tire in the disc,
//! F_r the radial force. With `N = F_r / cos g` along k at C the radial spring's energy depends on
//! rho alone: the power of N is `N k . v_C = -F_r rho'`, at any inclination.
//!
//! Slip velocities: `V_sx = v_c . t - Omega R_e`, `V_sy = v_C . l`, with v_C the velocity of the
//! carrier's point at C and Omega the wheel's absolute spin; rolling speed `V_r = Omega R_e`.

use axletree_scalar::{Real, Vec3, numbers};

use super::frame::BodyFrame;
use super::numbers::Wheel;
use super::road::Patch;

numbers! {
    /// Geometry and velocities of one contact, in body axes.
    pub struct RoadContact {
        /// Wheel axis with compliance, to the left `[-]`.
        pub axis: Vec3<T>,
        /// Forward along the road in the wheel's plane `[-]`.
        pub forward: Vec3<T>,
        /// Left along the road `[-]`.
        pub left: Vec3<T>,
        /// From the wheel center to the contact `[m]`.
        pub arm: Vec3<T>,
        /// Deflection of the tire in its plane `[m]`.
        pub deflection: T,
        /// Load along the road's normal `[N]`.
        pub load: T,
        /// Sine of the inclination, top to the right positive `[-]`.
        pub inclination: T,
        /// Sliding velocity of the tread's root over the road: forward, left `[m/s]`.
        pub sliding: [T; 2],
        /// Rolling speed `[m/s]`.
        pub rolling: T,
        /// Speed of the wheel center along the road `[m/s]`.
        pub forward_speed: T,
        /// Speed at which the carrier's point at the contact leaves the road `[m/s]`.
        pub climb: T,
    }
}

/// The hub of a wheel: position and motion that the contact reads from its carrier.
#[derive(Clone, Copy, Debug)]
pub struct Hub<T> {
    /// Wheel center `[m from O, b]`.
    pub center: Vec3<T>,
    /// Wheel axis of the unloaded linkage, to the left `[-]`.
    pub axis: Vec3<T>,
    /// Velocity of the wheel center `[m/s]`.
    pub velocity: Vec3<T>,
    /// Angular velocity of the carrier `[rad/s]`.
    pub rate: Vec3<T>,
}

impl<T: Real> RoadContact<T> {
    /// The contact of a wheel with spin `spin`, its axis turned by compliance: `toe` to the left,
    /// `tilt` top to the right `[rad]`.
    #[inline(always)]
    pub fn of(
        frame: &BodyFrame<T>,
        hub: &Hub<T>,
        wheel: &Wheel<T>,
        toe: T,
        tilt: T,
        spin: T,
        patch: &Patch<T>,
    ) -> Self {
        let k = frame.up;
        let axis = (hub.axis + Vec3([tilt, T::zero(), toe]).cross(hub.axis)).unit();
        let inclination = axis.dot(k);
        let inverse_cos = (-inclination).mul_add(inclination, T::one()).sqrt().recip();
        let forward = axis.cross(k).times(inverse_cos);
        let left = k.cross(forward);
        let radial = forward.cross(axis);

        let height = frame.position.z() + k.dot(hub.center) - patch.height;
        let loaded_radius = height * inverse_cos;
        let deflection = wheel.tire.unloaded_radius - loaded_radius;
        let arm = radial.times(-loaded_radius);
        let at_contact = hub.velocity + hub.rate.cross(arm);
        let climb = at_contact.dot(k) - patch.rise;
        let closing = -(climb * inverse_cos);
        let load = wheel.tire.normal_load(deflection, closing) * inverse_cos;

        let rolling = spin * wheel.tire.effective_radius(deflection);
        let forward_speed = hub.velocity.dot(forward);
        RoadContact {
            axis,
            forward,
            left,
            arm,
            deflection,
            load,
            inclination,
            sliding: [forward_speed - rolling, at_contact.dot(left)],
            rolling,
            forward_speed,
            climb,
        }
    }
}
