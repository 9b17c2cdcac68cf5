//! Stages 3 to 5 for the two wheels of one end, and the compliance of its links.

use axletree_scalar::{Real, Vec3};

use crate::model::carrier::Carrier;
use crate::model::contact::{Hub, RoadContact};
use crate::model::frame::BodyFrame;
use crate::model::grip::{EndGrip, end_grip};
use crate::model::layout::{DEFLECTION, SPIN, STATES, TILT, TOE};
use crate::model::numbers::{Compliance, Wheel};
use crate::model::precomputed::EndPrecomputed;
use crate::model::road::Road;

/// Wheel speed over which the brake torque changes its sense `[rad/s]`.
const BRAKE_SPEED: f64 = 0.5;

/// Contacts of the two wheels of one end, and the loads on their carriers and on the wheels.
pub(super) struct EndLoads<T> {
    pub contacts: [RoadContact<T>; 2],
    pub grip: EndGrip<T>,
    /// Force of the road, at the wheel center `[N, b]`.
    pub force: [Vec3<T>; 2],
    /// Moment on the carrier about the wheel center: the road's without its part about the wheel
    /// axis, and the reaction of the brake `[N*m, b]`.
    pub moment: [Vec3<T>; 2],
    /// Torque of road and brake about the wheel axis `[N*m]`.
    pub torque: [T; 2],
    /// Brake torque, positive when it slows a wheel that rolls forward `[N*m]`.
    pub brake: [T; 2],
}

/// The hub of a carrier of one wheel.
#[inline(always)]
pub(super) fn hub_of<T: Real>(carrier: &Carrier<T, 1>) -> Hub<T> {
    Hub {
        center: carrier.center,
        axis: carrier.axis,
        velocity: carrier.velocity,
        rate: carrier.rate,
    }
}

/// Stage 3 for one wheel.
#[inline(always)]
fn contact<T: Real, R: Road<T> + ?Sized>(
    frame: &BodyFrame<T>,
    state: &[T; STATES],
    hub: &Hub<T>,
    wheel: &Wheel<T>,
    road: &R,
    w: usize,
) -> RoadContact<T> {
    let p = frame.rot_eb * hub.center + frame.position;
    let v = frame.rot_eb * hub.velocity;
    let patch = road.under(w, [p.x(), p.y()], [v.x(), v.y()]);
    RoadContact::of(
        frame,
        hub,
        wheel,
        state[TOE + w],
        state[TILT + w],
        state[SPIN + w],
        &patch,
    )
}

/// Stages 3 to 5 for one end whose wheels start at number `first`; `caliper_rate` is the angular
/// velocity of the brake calipers about the wheels' axis, relative to the carrier `[rad/s]`.
#[expect(
    clippy::too_many_arguments,
    reason = "a stage takes the results of the stages before it"
)]
#[inline(always)]
pub(super) fn end_loads<T: Real, R: Road<T> + ?Sized>(
    frame: &BodyFrame<T>,
    state: &[T; STATES],
    hubs: &[Hub<T>; 2],
    wheels: [&Wheel<T>; 2],
    pre: &EndPrecomputed<T>,
    brake_torque: T,
    caliper_rate: T,
    friction: T,
    road: &R,
    first: usize,
) -> EndLoads<T> {
    let contacts = [
        contact(frame, state, &hubs[0], wheels[0], road, first),
        contact(frame, state, &hubs[1], wheels[1], road, first + 1),
    ];
    let at = DEFLECTION + 2 * first;
    let deflection = [[state[at], state[at + 1]], [state[at + 2], state[at + 3]]];
    let grip = end_grip(&contacts, wheels, pre, deflection, friction);

    let mut force = [Vec3::zero(); 2];
    let mut moment = [Vec3::zero(); 2];
    let mut torque = [T::zero(); 2];
    let mut brake = [T::zero(); 2];
    for i in 0..2 {
        let (c, f) = (&contacts[i], &grip.force[i]);
        let road_force = c
            .forward
            .times_plus(f.fx, c.left.times_plus(f.fy, frame.up.times(c.load)));
        let road_moment = c.axis.times_plus(
            grip.rolling_moment[i],
            frame.up.times_plus(f.mz, c.arm.cross(road_force)),
        );
        let spinning = c.axis.dot(road_moment);

        // The brake acts against the rotation of the wheel relative to the caliper.
        let turning = state[SPIN + first + i] - c.axis.dot(hubs[i].rate) - caliper_rate;
        let sense = turning
            * turning
                .mul_add(turning, T::c(BRAKE_SPEED * BRAKE_SPEED))
                .sqrt()
                .recip();
        brake[i] = brake_torque.scale(0.5) * sense;

        force[i] = road_force;
        moment[i] = c.axis.times_plus(brake[i] - spinning, road_moment);
        torque[i] = spinning - brake[i];
    }
    EndLoads {
        contacts,
        grip,
        force,
        moment,
        torque,
        brake,
    }
}

/// Rates of the toe and lean by compliance of one end.
#[inline(always)]
pub(super) fn compliance_rates<T: Real>(
    state: &[T; STATES],
    rate: &mut [T; STATES],
    compliance: &Compliance<T>,
    loads: &EndLoads<T>,
    inverse_lag: T,
    first: usize,
) {
    for i in 0..2 {
        let mut toe = T::zero();
        let mut tilt = T::zero();
        for j in 0..2 {
            let f = &loads.grip.force[j];
            toe = compliance.toe_lateral[i][j].mul_add(f.fy, toe);
            toe = compliance.toe_longitudinal[i][j].mul_add(f.fx, toe);
            toe = compliance.toe_aligning[i][j].mul_add(f.mz, toe);
            toe = compliance.toe_brake[i][j].mul_add(loads.brake[j], toe);
            tilt = compliance.tilt_lateral[i][j].mul_add(f.fy, tilt);
        }
        let w = first + i;
        rate[TOE + w] = (toe - state[TOE + w]) * inverse_lag;
        rate[TILT + w] = (tilt - state[TILT + w]) * inverse_lag;
    }
}
