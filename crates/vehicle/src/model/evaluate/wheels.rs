//! Stages 3 to 5 for the two wheels of one end, and how its links yield.

use axletree_scalar::{Real, Vec3};

use crate::model::contact::{Contact, Hub};
use crate::model::fixed::End;
use crate::model::frame::Frame;
use crate::model::grip::{EndGrip, end_grip};
use crate::model::layout::{DEFLECTION, SPIN, STATES, TILT, TOE};
use crate::model::numbers::{Compliance, Wheel};
use crate::model::road::Road;

/// Wheel speed over which the sense of brake torque changes [rad/s].
const BRAKE_SPEED: f64 = 0.5;

/// What the two wheels of one end put on their carriers and take for themselves.
pub(super) struct EndLoads<T> {
    pub contacts: [Contact<T>; 2],
    pub grip: EndGrip<T>,
    /// Force of the road, at the wheel center [N, b].
    pub force: [Vec3<T>; 2],
    /// Moment on the carrier about the wheel center: of the road less what spins the wheel, and the
    /// brake's reaction [N m, b].
    pub moment: [Vec3<T>; 2],
    /// Torque of road and brake about the wheel axis [N m].
    pub torque: [T; 2],
    /// Brake torque, positive when it slows a wheel that rolls forward [N m].
    pub brake: [T; 2],
}

/// Stage 3 for one wheel.
#[inline(always)]
fn contact<T: Real, R: Road<T> + ?Sized>(
    frame: &Frame<T>,
    state: &[T; STATES],
    hub: &Hub<T>,
    wheel: &Wheel<T>,
    road: &R,
    w: usize,
) -> Contact<T> {
    let p = frame.rot_eb * hub.center + frame.position;
    let v = frame.rot_eb * hub.velocity;
    let patch = road.under(w, [p.x(), p.y()], [v.x(), v.y()]);
    Contact::of(
        frame,
        hub,
        wheel,
        state[TOE + w],
        state[TILT + w],
        state[SPIN + w],
        &patch,
    )
}

/// Stages 3 to 5 for one end whose wheels start at number `first`; `holder` is the turn about the
/// wheels' axis of what holds the brakes, relative to the carrier [rad/s].
#[inline(always)]
pub(super) fn end_loads<T: Real, R: Road<T> + ?Sized>(
    frame: &Frame<T>,
    state: &[T; STATES],
    hubs: &[Hub<T>; 2],
    wheels: [&Wheel<T>; 2],
    fixed: &End<T>,
    brake_torque: T,
    holder: T,
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
    let grip = end_grip(&contacts, wheels, fixed, deflection, friction);

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

        // The brake acts against the wheel's turning relative to what holds the brake.
        let turning = state[SPIN + first + i] - c.axis.dot(hubs[i].rate) - holder;
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

/// Rates of the compliance toe and tilt of one end.
#[inline(always)]
pub(super) fn yield_rates<T: Real>(
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
